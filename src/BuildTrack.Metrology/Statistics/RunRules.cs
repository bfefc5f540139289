using System.Collections.Immutable;

namespace BuildTrack.Metrology.Statistics;

/// <summary>What a control chart looks for, each named by what it notices. Only values strictly beyond a line are beyond it.</summary>
public enum RunRule
{
    /// <summary>One value beyond three standard deviations: a sudden large change.</summary>
    BeyondThreeSigma,

    /// <summary>Two of three in a row beyond two standard deviations on one side: a large shift.</summary>
    TwoOfThreeBeyondTwoSigma,

    /// <summary>Four of five in a row beyond one standard deviation on one side: a moderate shift.</summary>
    FourOfFiveBeyondOneSigma,

    /// <summary>Eight in a row on one side of the centre: a small lasting shift. A value on the centre itself ends the run.</summary>
    EightOnOneSide,

    /// <summary>Six in a row, each above the one before or each below it: a drift.</summary>
    SixRisingOrFalling,

    /// <summary>Fourteen in a row that go up and down by turns: two processes mixed, or over-correction.</summary>
    FourteenUpAndDown,

    /// <summary>Fifteen in a row within one standard deviation: limits too wide, or groups formed across a difference.</summary>
    FifteenWithinOneSigma,

    /// <summary>Eight in a row beyond one standard deviation on either side: two levels mixed.</summary>
    EightBeyondOneSigma,
}

/// <summary>A pattern that is complete at a value.</summary>
/// <param name="Rule">The rule.</param>
/// <param name="Point">Number of the value, from 1: the one that completes the pattern and itself lies in its zone.</param>
/// <param name="Above">The pattern lies above the centre, or rises; null for patterns of both sides.</param>
public sealed record ChartSignal(RunRule Rule, int Point, bool? Above);

/// <summary>The run rules, on values in standard deviations from the centre.</summary>
/// <remarks>
/// Values beyond three standard deviations count for the other rules too, and a rule looks back over everything before it. The first four with eight on
/// one side are those whose run lengths C. W. Champ and W. H. Woodall published (1987).
/// </remarks>
internal static class RunRules
{
    // Limits are sums of decimals: a value that is on a line on paper is not beyond it by a last bit.
    private const double Least = 1e-9;

    public static ImmutableArray<RunRule> All { get; } = [.. Enum.GetValues<RunRule>()];

    /// <summary>Signals in order of the values, at one value in order of the rules.</summary>
    public static ImmutableArray<ChartSignal> Signals(ReadOnlySpan<double> z, IReadOnlyCollection<RunRule> rules)
    {
        var signals = ImmutableArray.CreateBuilder<ChartSignal>();
        for (var at = 0; at < z.Length; at++)
        {
            var seen = z[..(at + 1)];
            foreach (var rule in All)
            {
                if (rules.Contains(rule) && Complete(seen, rule, out var above))
                    signals.Add(new ChartSignal(rule, at + 1, above));
            }
        }

        return signals.ToImmutable();
    }

    /// <summary>Whether the last value completes the pattern.</summary>
    private static bool Complete(ReadOnlySpan<double> z, RunRule rule, out bool? above)
    {
        above = z[^1] > 0;
        var side = z[^1] > 0 ? 1 : -1;
        switch (rule)
        {
            case RunRule.BeyondThreeSigma:
                return Beyond(z, side, 3, 1, 1);
            case RunRule.TwoOfThreeBeyondTwoSigma:
                return Beyond(z, side, 2, 2, 3);
            case RunRule.FourOfFiveBeyondOneSigma:
                return Beyond(z, side, 1, 4, 5);
            case RunRule.EightOnOneSide:
                return Beyond(z, side, 0, 8, 8);
            case RunRule.SixRisingOrFalling:
                above = z.Length > 1 && z[^1] > z[^2];
                return z.Length >= 6 && Steps(z[^6..], alternating: false);
            case RunRule.FourteenUpAndDown:
                above = null;
                return z.Length >= 14 && Steps(z[^14..], alternating: true);
            case RunRule.FifteenWithinOneSigma:
                above = null;
                return z.Length >= 15 && Count(z[^15..], v => Math.Abs(v) < 1 - Least) == 15;
            default:
                above = null;
                return z.Length >= 8 && Count(z[^8..], v => Math.Abs(v) > 1 + Least) == 8;
        }
    }

    /// <summary>The last value, and enough of the last ones, beyond a line on its side.</summary>
    private static bool Beyond(ReadOnlySpan<double> z, int side, double line, int needed, int of)
    {
        if (z.Length < needed || side * z[^1] <= line + Least)
            return false;
        return Count(z[^Math.Min(of, z.Length)..], v => side * v > line + Least) >= needed;
    }

    private static bool Steps(ReadOnlySpan<double> z, bool alternating)
    {
        var before = 0;
        for (var i = 1; i < z.Length; i++)
        {
            var step = z[i].CompareTo(z[i - 1]);
            if (step == 0 || (before != 0 && step != (alternating ? -before : before)))
                return false;
            before = step;
        }

        return true;
    }

    private static int Count(ReadOnlySpan<double> z, Func<double, bool> fits)
    {
        var count = 0;
        foreach (var value in z)
            count += fits(value) ? 1 : 0;
        return count;
    }
}
