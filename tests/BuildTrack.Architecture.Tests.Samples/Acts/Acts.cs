namespace Samples.Acts;

public static class SampleActs
{
    public const string Weld = "weld";
    public const string Mill = "mill";
    public const string Paint = "paint";
    public const string Forgotten = "forgotten";

    public static IReadOnlyList<string> All { get; } = [Weld, Mill, Paint];

    public static IReadOnlyList<string> RolesFor(string act) => act switch
    {
        Weld => ["technician"],
        Paint => ["painter"],
        _ => throw new KeyNotFoundException(act),
    };
}
