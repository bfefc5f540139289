namespace BuildTrack.Metrology.Tests.Support;

internal static class Refusal
{
    /// <summary>The act is refused with a sentence that says this.</summary>
    public static void Refused(string expected, Action act) =>
        Assert.Contains(expected, Assert.ThrowsAny<ArgumentException>(act).Message, StringComparison.Ordinal);
}
