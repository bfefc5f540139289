using System.Diagnostics;

namespace BuildTrack.Domain.Tests.Honesty;

/// <summary>The promise of docs/method/verdict.md: a part exactly at the limit is wrongly accepted in at most one of twenty cases, and wrongly rejected likewise.</summary>
/// <remarks>Exactly at the limit either answer is wrong. The four classes below run beside each other.</remarks>
public abstract class HonestyTests
{
    private const int Trials = 2000;

    /// <summary>5 % and four standard errors of the trials.</summary>
    private static readonly double Most = 0.05 + (4 * Math.Sqrt(0.05 * 0.95 / Trials));

    private protected static TheoryData<string> Names(Func<Cell, bool> which) => [.. Grid.Now.Where(which).Select(c => c.Name)];

    private protected static void Check(string name)
    {
        var cell = Grid.Now.Single(c => c.Name == name);
        var begun = Stopwatch.GetTimestamp();
        var repeated = cell.Special == Special.RepeatedAttempts;
        var tally = Honesty.Trials.Run(cell, Trials, attempts: repeated ? 5 : 1, addPasses: repeated);
        var told = FormattableString.Invariant(
            $"{name}, seed {cell.Seed}: of {Trials} accepted {tally.Accepted}, rejected {tally.Rejected}; at most {Most * Trials:0} each; {Stopwatch.GetElapsedTime(begun).TotalSeconds:0.0} s");
        TestContext.Current.TestOutputHelper!.WriteLine(told);
        Assert.True(tally.Accepted <= Most * Trials && tally.Rejected <= Most * Trials, told);
    }
}

public sealed class HonestBedTests : HonestyTests
{
    public static TheoryData<string> Cells => Names(c => c is { Part: Part.Bed, Data: Data.Independent });

    [Theory]
    [MemberData(nameof(Cells))]
    public void Heights_of_a_bed(string cell) => Check(cell);
}

public sealed class HonestRailTests : HonestyTests
{
    public static TheoryData<string> Cells => Names(c => c.Part == Part.Rail);

    [Theory]
    [MemberData(nameof(Cells))]
    public void Rails_by_heights_and_by_steps(string cell) => Check(cell);
}

public sealed class HonestNetworkTests : HonestyTests
{
    public static TheoryData<string> Cells => Names(c => c is { Part: Part.Bed, Data: Data.Network });

    [Theory]
    [MemberData(nameof(Cells))]
    public void Level_networks_over_a_bed(string cell) => Check(cell);
}

public sealed class HonestStepTests : HonestyTests
{
    public static TheoryData<string> Cells => Names(c => c is { Part: Part.Bed, Data: Data.Steps });

    [Theory]
    [MemberData(nameof(Cells))]
    public void Beds_by_steps_without_a_loop(string cell) => Check(cell);
}
