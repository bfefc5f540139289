using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Acceptance;

/// <summary>What a coating must reach. Company rule: the mean of the spots, and 80 % in every spot; the further conditions are those of ISO 19840 and off unless given.</summary>
/// <param name="NominalUm">Nominal dry film thickness, µm, above zero.</param>
/// <param name="LeastPart">Smallest single spot as a part of the nominal, dimensionless, 0 to 1.</param>
/// <param name="LargestThinShare">Share of spots between that part and the nominal that must not be reached, dimensionless, 0 to 1; null: no such condition.</param>
/// <param name="ShareItselfAllowed">Whether exactly that share is still good: copies of the standard differ here, so it is a setting.</param>
/// <param name="LargestUm">Largest single spot, µm; null: no such condition.</param>
public sealed record CoatingRule(
    double NominalUm, double LeastPart = 0.8, double? LargestThinShare = null, bool ShareItselfAllowed = false, double? LargestUm = null);

/// <summary>The thickness of a coating and what came of it.</summary>
/// <param name="SpotsUm">Mean of the readings of each spot, µm.</param>
/// <param name="MeanUm">Mean of the spots, µm.</param>
/// <param name="SmallestUm">Thinnest spot, µm.</param>
/// <param name="LargestUm">Thickest spot, µm.</param>
/// <param name="ThinShare">Share of spots from the least part up to, but not including, the nominal; dimensionless.</param>
/// <param name="Verdict">Accepted where every condition is kept, rejected where one is broken.</param>
/// <param name="Because">One sentence for each broken condition.</param>
public sealed record CoatingDecision(
    ImmutableArray<double> SpotsUm, double MeanUm, double SmallestUm, double LargestUm, double ThinShare, Verdict Verdict, ImmutableArray<string> Because);

/// <summary>Dry film thickness: spots against a rule. The readings are compared as they stand; the gauge's uncertainty belongs into the nominal that is asked.</summary>
/// <remarks>Method and sources: docs/method/acceptance.md. A spot is the mean of its readings.</remarks>
public static class CoatingThickness
{
    /// <summary>Largest thickness that is taken, µm (1 m).</summary>
    public const double LargestThicknessUm = 1e6;

    /// <summary>Judges spots.</summary>
    /// <param name="spotsUm">Readings of each spot, µm, zero or more; at least one spot, each with at least one reading.</param>
    /// <param name="rule">What must be reached.</param>
    /// <exception cref="ArgumentException">No spot, a spot without reading, a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative reading, a number beyond <see cref="LargestThicknessUm"/>, a rule that cannot be met.</exception>
    public static CoatingDecision Decide(IReadOnlyList<IReadOnlyList<double>> spotsUm, CoatingRule rule)
    {
        ArgumentNullException.ThrowIfNull(spotsUm);
        ArgumentNullException.ThrowIfNull(rule);
        Check(rule);
        if (spotsUm.Count == 0)
            throw new ArgumentException("There is no spot; a coating is judged by at least one.", nameof(spotsUm));

        var spots = spotsUm.Select(Spot).ToImmutableArray();
        var mean = spots.Average();
        var least = rule.LeastPart * rule.NominalUm;

        // Comparisons go through the one verdict function: fifteen digits, as on paper.
        var thin = spots.Count(s => !Below(s, least) && Below(s, rule.NominalUm)) / (double)spots.Length;
        var because = ImmutableArray.CreateBuilder<string>();
        if (Below(mean, rule.NominalUm))
            because.Add(Sentence($"The mean is {mean:G6} µm, nominal is {rule.NominalUm:G6} µm."));
        if (Below(spots.Min(), least))
            because.Add(Sentence($"The thinnest spot is {spots.Min():G6} µm; at least {least:G6} µm is asked."));
        if (rule.LargestUm is { } largest && Below(largest, spots.Max()))
            because.Add(Sentence($"The thickest spot is {spots.Max():G6} µm; at most {largest:G6} µm is allowed."));
        if (rule.LargestThinShare is { } share && (rule.ShareItselfAllowed ? Below(share, thin) : !Below(thin, share)))
            because.Add(Sentence($"{100 * thin:G4} % of the spots are below nominal; {(rule.ShareItselfAllowed ? "at most" : "less than")} {100 * share:G4} % is asked."));
        return new CoatingDecision(
            spots, mean, spots.Min(), spots.Max(), thin, because.Count == 0 ? Verdict.Accepted : Verdict.Rejected, because.ToImmutable());
    }

    private static double Spot(IReadOnlyList<double> readings, int index)
    {
        var name = string.Create(CultureInfo.InvariantCulture, $"spotsUm[{index}]");
        if (readings is not { Count: > 0 })
            throw new ArgumentException($"{name} has no reading.", nameof(readings));
        foreach (var reading in readings)
        {
            if (Guard.FiniteNotNegative(reading, name) > LargestThicknessUm)
                Guard.ThrowOutOfRange(reading, name, "at most 1 m");
        }

        return readings.Average();
    }

    private static void Check(CoatingRule rule)
    {
        if (Guard.FinitePositive(rule.NominalUm, nameof(rule.NominalUm)) > LargestThicknessUm)
            Guard.ThrowOutOfRange(rule.NominalUm, nameof(rule.NominalUm), "at most 1 m");
        Part(rule.LeastPart, nameof(rule.LeastPart));
        if (rule.LargestThinShare is { } share)
            Part(share, nameof(rule.LargestThinShare));
        if (rule.LargestUm is { } largest && Guard.Finite(largest, nameof(rule.LargestUm)) < rule.NominalUm)
            Guard.ThrowOutOfRange(largest, nameof(rule.LargestUm), "not below the nominal");
    }

    private static void Part(double value, string name)
    {
        if (Guard.FiniteNotNegative(value, name) > 1)
            Guard.ThrowOutOfRange(value, name, "from 0 to 1");
    }

    private static bool Below(double value, double limit) =>
        Conformity.Decide(value, new Conformity.Limits(null, limit), 0, 0).Verdict != Verdict.Accepted;

    private static string Sentence(FormattableString text) => FormattableString.Invariant(text);
}
