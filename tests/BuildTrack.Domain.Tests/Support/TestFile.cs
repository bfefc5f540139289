namespace BuildTrack.Domain.Tests.Support;

/// <summary>Rows of a data file; the lines before its header tell where the figures come from, and a file without them is refused.</summary>
internal static class TestFile
{
    public static string[] Rows(string name) => Read(name).Rows;

    public static string Origin(string name) => Read(name).Origin;

    private static (string Origin, string[] Rows) Read(string name)
    {
        var lines = File.ReadAllLines(Path.Combine(AppContext.BaseDirectory, "Data", name));
        var origin = string.Join(' ', lines.Where(l => l.StartsWith('#')).Select(l => l[1..].Trim()));
        Assert.Contains("Origin: ", origin, StringComparison.Ordinal);
        return (origin, [.. lines.Where(l => l.Length > 0 && l[0] != '#').Skip(1)]);
    }
}
