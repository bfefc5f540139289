using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Metrology.RailPair;

/// <summary>Two rails from heights at common stations: cross-level, twist, level, parallelism and gauge.</summary>
public static class RailPairCalculation
{
    /// <summary>Largest gauge that is taken, mm; the smallest is its inverse.</summary>
    public const double LargestGaugeMm = 1e6;

    /// <summary>Calculates.</summary>
    /// <remarks>Definitions and limits: docs/method/rail-pair.md. Any order of the stations. The heights of both rails must have one datum: levels stepped along each rail alone have none.</remarks>
    /// <param name="positionsMm">Position along the rails, mm.</param>
    /// <param name="r1Um">Height of R1, the master rail, µm.</param>
    /// <param name="r2Um">Height of R2 at the same stations, µm.</param>
    /// <param name="gaugeMm">Distance of the rails, mm.</param>
    /// <param name="gaugesUm">Readings of the gauge at the same stations from any zero, µm; empty where it was not read.</param>
    /// <param name="windowMm">Length of the stretch of the local twist and of the worst stretch of each rail, mm.</param>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite; the sentence names the place.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A gauge or window not above zero, or a number too large.</exception>
    public static RailPairResult Of(
        ReadOnlySpan<double> positionsMm, ReadOnlySpan<double> r1Um, ReadOnlySpan<double> r2Um, double gaugeMm, ReadOnlySpan<double> gaugesUm = default,
        double windowMm = StraightnessCalculation.UsualWindowMm)
    {
        if (Guard.FinitePositive(gaugeMm, nameof(gaugeMm)) is > LargestGaugeMm or < 1 / LargestGaugeMm)
            Guard.ThrowOutOfRange(gaugeMm, nameof(gaugeMm), "between 10⁻⁶ and 10⁶");
        Guard.SameLength(r1Um.Length, nameof(r1Um), positionsMm.Length, nameof(positionsMm));
        Guard.SameLength(r2Um.Length, nameof(r2Um), positionsMm.Length, nameof(positionsMm));
        LevelReadings.Measurable(gaugesUm, nameof(gaugesUm));
        if (!gaugesUm.IsEmpty)
            Guard.SameLength(gaugesUm.Length, nameof(gaugesUm), positionsMm.Length, nameof(positionsMm));

        var first = StraightnessCalculation.Of(positionsMm, r1Um, windowMm);
        var second = StraightnessCalculation.Of(positionsMm, r2Um, windowMm);
        if (first.Values is not { } r1 || second.Values is not { } r2)
            return new RailPairResult(first.Stations, null, first.Defect, first.DefectSentence?.Replace("Straightness", "A pair of rails", StringComparison.Ordinal));
        return new RailPairResult(
            first.Stations,
            new RailPairValues(
                r1, r2, Across(positionsMm, r1Um, r2Um, gaugeMm, windowMm), Math.Max(Math.Abs(r1.EndPointSlopeUmPerM), Math.Abs(r2.EndPointSlopeUmPerM)),
                new Parallelism(
                    About(positionsMm, r2Um, r1.EndPointSlopeUmPerM), About(positionsMm, r2Um, r1.SlopeUmPerM), About(positionsMm, r2Um, r1.MinimumZoneSlopeUmPerM),
                    r2.EndPointSlopeUmPerM - r1.EndPointSlopeUmPerM, r2.SlopeUmPerM - r1.SlopeUmPerM),
                gaugesUm.IsEmpty ? null : Gauge(positionsMm, gaugesUm)),
            StraightnessDefect.None, null);
    }

    private static CrossLevel Across(ReadOnlySpan<double> positionsMm, ReadOnlySpan<double> r1Um, ReadOnlySpan<double> r2Um, double gaugeMm, double windowMm)
    {
        var count = positionsMm.Length;
        double[] differences = new double[count], slopes = new double[count], x = positionsMm.ToArray();
        var order = Enumerable.Range(0, count).ToArray();
        for (var i = 0; i < count; i++)
        {
            differences[i] = r2Um[i] - r1Um[i];
            slopes[i] = differences[i] / gaugeMm * 1000;
        }

        Array.Sort(x, order);
        double[] sorted = [.. order.Select(i => slopes[i])];
        var mean = slopes[0] + slopes.Average(s => s - slopes[0]);
        var furthest = 0;
        for (var i = 1; i < count; i++)
        {
            // A later station must be further off by more than rounding: on ties the first is named.
            if (Math.Abs(sorted[i] - mean) > Math.Abs(sorted[furthest] - mean) * (1 + 1e-12))
                furthest = i;
        }

        return new CrossLevel(
            [.. differences], differences.Max(Math.Abs), [.. slopes], mean, Math.Abs(sorted[furthest] - mean), x[furthest], sorted.Max() - sorted.Min(), sorted[^1] - sorted[0],
            Local(x, sorted, windowMm));
    }

    private static LocalTwist? Local(double[] x, double[] slopes, double windowMm)
    {
        LocalTwist? worst = null;
        var complete = true;
        foreach (var (from, to) in LineRows.Windows(x, windowMm))
        {
            if (to == from)
            {
                complete = false;
                continue;
            }

            var stretch = slopes.AsSpan(from, to - from + 1);
            double top = stretch[0], bottom = stretch[0];
            foreach (var slope in stretch)
                (top, bottom) = (Math.Max(top, slope), Math.Min(bottom, slope));
            if (worst is null || top - bottom > worst.UmPerM * (1 + 1e-12))
                worst = new LocalTwist(windowMm, top - bottom, x[from], x[to], true);
        }

        return worst is null ? null : worst with { Complete = complete };
    }

    private static double About(ReadOnlySpan<double> positionsMm, ReadOnlySpan<double> heightsUm, double slopeUmPerM)
    {
        double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
        for (var i = 0; i < positionsMm.Length; i++)
        {
            var height = heightsUm[i] - heightsUm[0] - (slopeUmPerM / 1000 * (positionsMm[i] - positionsMm[0]));
            (top, bottom) = (Math.Max(top, height), Math.Min(bottom, height));
        }

        return top - bottom;
    }

    private static GaugeVariation Gauge(ReadOnlySpan<double> positionsMm, ReadOnlySpan<double> gaugesUm)
    {
        double[] gauges = gaugesUm.ToArray();
        return new GaugeVariation(gauges.Max() - gauges.Min(), StraightnessCalculation.Of(positionsMm, gaugesUm).Values!.SlopeUmPerM);
    }
}
