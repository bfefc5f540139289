namespace BuildTrack.Architecture.Tests;

/// <summary>How a rule speaks: all offenders at once.</summary>
internal static class Report
{
    public static void None(string rule, IEnumerable<string> offenders)
    {
        var list = offenders.Distinct().Order(StringComparer.Ordinal).ToList();
        Assert.True(list.Count == 0, $"{rule}: {list.Count} offenders\n  {string.Join("\n  ", list)}");
    }

    /// <summary>The planted violations, each of them, and nothing else below the sample's name.</summary>
    public static void Finds(IEnumerable<string> offenders, params string[] planted)
    {
        var list = offenders.Distinct().Order(StringComparer.Ordinal).ToList();
        Assert.Equal(planted.Order(StringComparer.Ordinal), list);
    }
}
