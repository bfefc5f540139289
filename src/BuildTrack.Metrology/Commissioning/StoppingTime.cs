using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Commissioning;

/// <summary>Stops of one dangerous movement in figures.</summary>
/// <param name="Stops">How many stops, dimensionless.</param>
/// <param name="HighestMs">The longest stop, ms.</param>
/// <param name="MeanMs">Mean of the stops, ms.</param>
/// <param name="StandardDeviationMs">s with divisor n − 1, ms.</param>
/// <param name="TimeMs">What counts: the larger of the highest and mean + 3 s, ms.</param>
/// <param name="NeededDistanceMm">Least distance of the guard, mm; null where no speed of approach was given.</param>
/// <param name="Decision">Distance that is there against the needed one; null where none was given.</param>
/// <param name="DefectSentence">Why there are no figures; null where there are.</param>
public sealed record StoppingResult(
    int Stops, double HighestMs, double MeanMs, double StandardDeviationMs, double TimeMs, double? NeededDistanceMm, Conformity.Decision? Decision, string? DefectSentence);

/// <summary>Where the guard stands, and how fast it is passed.</summary>
/// <param name="ApproachMmPerS">Speed of approach K, mm/s, above zero: 2000 for hands, 1600 for walking (ISO 13855, recalled).</param>
/// <param name="ResponseMs">Time the protective device takes itself where the stops do not hold it, ms, zero or more.</param>
/// <param name="IntrusionMm">What is reached over before it responds, C, mm, zero or more; of a light curtain 8 (d − 14) for a resolution d.</param>
/// <param name="DistanceMm">Distance that is there, mm, zero or more; null where only the needed one is asked for.</param>
public sealed record GuardPlace(double ApproachMmPerS, double ResponseMs = 0, double IntrusionMm = 0, double? DistanceMm = null);

/// <summary>Stopping time of a movement and the distance of its guard, S = K T + C (ISO 13855, recalled).</summary>
/// <remarks>Method and sources: docs/method/commissioning.md. A record, not a proof of safety: it stands beside the risk assessment.</remarks>
public static class StoppingTime
{
    /// <summary>Fewest stops, dimensionless: at the worst speed, load and place.</summary>
    public const int FewestStops = 10;

    /// <summary>Longest stop that is taken, ms.</summary>
    public const double LongestMs = 1e5;

    /// <summary>Figures of the stops, and the distance the guard needs.</summary>
    /// <param name="stopsMs">Each stop, ms, zero or more.</param>
    /// <param name="guard">Where the guard stands; null for the time alone.</param>
    /// <param name="expandedUncertaintyMs">U of the measured time, ms, zero or more; it is added to the time before a distance is worked out.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static StoppingResult Of(ReadOnlySpan<double> stopsMs, GuardPlace? guard = null, double expandedUncertaintyMs = 0)
    {
        Guard.Finite(stopsMs, nameof(stopsMs));
        foreach (var stop in stopsMs)
        {
            if (stop is < 0 or > LongestMs)
                Guard.ThrowOutOfRange(stop, nameof(stopsMs), "from 0 to 100000 ms");
        }

        Guard.FiniteNotNegative(expandedUncertaintyMs, nameof(expandedUncertaintyMs));
        if (guard is not null)
            Check(guard);
        if (stopsMs.Length < FewestStops)
            return new StoppingResult(stopsMs.Length, 0, 0, 0, 0, null, null, FormattableString.Invariant($"There are {stopsMs.Length} stops; ten are needed at the worst speed, load and place."));
        double sum = 0, highest = 0, squares = 0;
        foreach (var stop in stopsMs)
        {
            sum += stop;
            highest = Math.Max(highest, stop);
        }

        var mean = sum / stopsMs.Length;
        foreach (var stop in stopsMs)
            squares += (stop - mean) * (stop - mean);
        var deviation = Math.Sqrt(squares / (stopsMs.Length - 1));
        var time = Math.Max(highest, mean + (3 * deviation));
        var result = new StoppingResult(stopsMs.Length, highest, mean, deviation, time, null, null, null);
        if (guard is null)
            return result;
        var needed = (guard.ApproachMmPerS * (time + expandedUncertaintyMs + guard.ResponseMs) / 1000) + guard.IntrusionMm;
        return result with { NeededDistanceMm = needed, Decision = guard.DistanceMm is { } there ? Conformity.Decide(there, new Conformity.Limits(null, needed), 0, 0) : null };
    }

    private static void Check(GuardPlace guard)
    {
        if (Guard.FinitePositive(guard.ApproachMmPerS, nameof(guard.ApproachMmPerS)) > 1e5)
            Guard.ThrowOutOfRange(guard.ApproachMmPerS, nameof(guard.ApproachMmPerS), "above 0, at most 100000 mm/s");
        Guard.FiniteNotNegative(guard.ResponseMs, nameof(guard.ResponseMs));
        Guard.FiniteNotNegative(guard.IntrusionMm, nameof(guard.IntrusionMm));
        if (guard.DistanceMm is { } distance)
            Guard.FiniteNotNegative(distance, nameof(guard.DistanceMm));
    }
}
