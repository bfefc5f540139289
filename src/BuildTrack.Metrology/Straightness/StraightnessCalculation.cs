using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Straightness;

/// <summary>Straightness of stations along a line: end-point, least squares, minimum zone and the worst stretch, in one call.</summary>
public static class StraightnessCalculation
{
    /// <summary>The window of <see cref="WorstLocal"/> where none is asked for, mm.</summary>
    public const double UsualWindowMm = 1000;

    /// <summary>Stations nearer than this count as one place, mm.</summary>
    private const double NearestMm = 0.001;

    /// <summary>Calculates the straightness of stations given by position and height.</summary>
    /// <remarks>Method, sources and limits: docs/method/straightness.md. Accurate to rounding: 12 digits, or what the digits of the input leave.
    /// Pure: the same input gives the same bits. Any order of the stations.</remarks>
    /// <param name="positionsMm">Position along the line, mm.</param>
    /// <param name="heightsUm">Height (or sideways deviation) of each station, µm; positive in the positive direction of its axis.</param>
    /// <param name="windowMm">Length of the window of the worst stretch, mm.</param>
    /// <param name="windowReference">The line by which a stretch is judged.</param>
    /// <returns>Values for three stations and more, a named defect otherwise; never NaN.</returns>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite; the sentence names the place.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A window not above zero, an unknown reference, or a number beyond <see cref="LevelReadings.LargestNumber"/>.</exception>
    public static StraightnessResult Of(ReadOnlySpan<double> positionsMm, ReadOnlySpan<double> heightsUm, double windowMm = UsualWindowMm, LineReference windowReference = LineReference.EndPoint)
    {
        LevelReadings.Measurable(positionsMm, nameof(positionsMm));
        LevelReadings.Measurable(heightsUm, nameof(heightsUm));
        Guard.SameLength(heightsUm.Length, nameof(heightsUm), positionsMm.Length, nameof(positionsMm));
        Guard.FinitePositive(windowMm, nameof(windowMm));
        if (windowReference is not (LineReference.EndPoint or LineReference.LeastSquares or LineReference.MinimumZone))
            throw new ArgumentOutOfRangeException(nameof(windowReference), windowReference, "Not a reference line.");
        var count = positionsMm.Length;
        if (count < 3)
            return Without(count, StraightnessDefect.TooFewStations, $"Straightness needs three stations; there {(count == 1 ? "is" : "are")} {Text(count)}.");

        var order = Enumerable.Range(0, count).ToArray();
        double[] x = positionsMm.ToArray(), z = heightsUm.ToArray();
        Array.Sort(x, order);
        for (var i = 0; i < count; i++)
            z[i] = heightsUm[order[i]];
        for (var i = 1; i < count; i++)
        {
            if (x[i] - x[i - 1] < NearestMm)
            {
                return Without(count, StraightnessDefect.StationsTooNear,
                    $"Two stations at {Text(x[i - 1])} mm and {Text(x[i])} mm are one place; each needs a place of its own.");
            }
        }

        return new StraightnessResult(count, Values(x, z, order, windowMm, windowReference), StraightnessDefect.None, null);
    }

    private static StraightnessValues Values(double[] x, double[] z, int[] order, double windowMm, LineReference windowReference)
    {
        var count = x.Length;
        var half = (x[^1] - x[0]) / 2;
        var (u, deviations, slopeU) = Fit(x, z, half);
        const double UmPerMPerUmPerMm = 1000;
        const double UmPerMm = 1000;
        var endPoint = EndPoint(x, z, 0, count - 1);
        double largest = 0, spread = 0;
        for (var i = 0; i < count; i++)
            (largest, spread) = (Math.Max(largest, Math.Abs(z[i])), Math.Max(spread, Math.Abs(z[i] - z[0])));
        var floor = 8 * Rounding.Unit * Math.Max(spread, largest / 8);
        var zone = new LineZone(u, deviations);
        zone.Solve(slope => (slopeU + slope) / half / UmPerMm);
        var even = zone.Width <= 2 * floor;
        return new StraightnessValues(
            Range(endPoint),
            Range(deviations),
            even ? 0 : zone.Width,
            even ? 0 : zone.Across,
            slopeU / half * UmPerMPerUmPerMm,
            (z[^1] - z[0]) / (x[^1] - x[0]) * UmPerMPerUmPerMm,
            (even ? slopeU : slopeU + zone.Slope) / half * UmPerMPerUmPerMm,
            InOrder(endPoint, order),
            InOrder(deviations, order),
            even ? [] : zone.Contacts(floor, order),
            Worst(x, z, windowMm, windowReference));
    }

    /// <summary>Positions centred and scaled to about −1 … 1, deviations from the line of least squares, and its slope per unit.</summary>
    private static (double[] U, double[] Deviations, double Slope) Fit(double[] x, double[] z, double half)
    {
        double meanX = x[0] + x.Average(v => v - x[0]), meanZ = z[0] + z.Average(v => v - z[0]), sumUU = 0, slope = 0;
        var u = new double[x.Length];
        var rest = new double[x.Length];
        for (var i = 0; i < x.Length; i++)
        {
            u[i] = (x[i] - meanX) / half;
            rest[i] = z[i] - meanZ;
            sumUU += u[i] * u[i];
        }

        // Twice: the second pass takes out what rounding left of the first.
        for (var pass = 0; pass < 2; pass++)
        {
            double sumUR = 0, mean = rest.Average();
            for (var i = 0; i < u.Length; i++)
                sumUR += u[i] * (rest[i] - mean);
            for (var i = 0; i < u.Length; i++)
                rest[i] -= mean + (sumUR / sumUU * u[i]);
            slope += sumUR / sumUU;
        }

        return (u, rest, slope);
    }

    private static double[] EndPoint(double[] x, double[] z, int from, int to)
    {
        var slope = (z[to] - z[from]) / (x[to] - x[from]);
        var deviations = new double[to - from + 1];
        for (var i = from + 1; i < to; i++)
            deviations[i - from] = z[i] - z[from] - (slope * (x[i] - x[from]));
        return deviations;
    }

    /// <summary>Windows: from each station to the last one within the length, if no other window holds it whole.</summary>
    private static WorstLocal? Worst(double[] x, double[] z, double windowMm, LineReference reference)
    {
        WorstLocal? worst = null;
        var complete = true;
        foreach (var (from, to) in LineRows.Windows(x, windowMm))
        {
            if (to - from < 2)
            {
                complete = false;
                continue;
            }

            var value = reference == LineReference.EndPoint ? Range(EndPoint(x, z, from, to)) : Fitted(x[from..(to + 1)], z[from..(to + 1)], reference);

            // A later window must be worse by more than rounding: on ties the first is named.
            if (worst is null || value > worst.ValueUm * (1 + 1e-12))
                worst = new WorstLocal(windowMm, value, x[from], x[to], true);
        }

        return worst is null ? null : worst with { Complete = complete };
    }

    private static double Fitted(double[] x, double[] z, LineReference reference)
    {
        var (u, deviations, _) = Fit(x, z, (x[^1] - x[0]) / 2);
        if (reference == LineReference.LeastSquares)
            return Range(deviations);
        var zone = new LineZone(u, deviations);
        zone.Solve(slope => slope);
        return zone.Width;
    }

    private static double Range(double[] deviations) => deviations.Max() - deviations.Min();

    private static ImmutableArray<double> InOrder(double[] sorted, int[] order)
    {
        var result = new double[sorted.Length];
        for (var i = 0; i < sorted.Length; i++)
            result[order[i]] = sorted[i];
        return [.. result];
    }

    private static string Text(IFormattable number) => number.ToString(null, CultureInfo.InvariantCulture);

    private static StraightnessResult Without(int count, StraightnessDefect defect, string sentence) => new(count, null, defect, sentence);
}
