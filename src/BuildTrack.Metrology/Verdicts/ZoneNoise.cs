using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>The zone of pure noise about a plane, or about a line where the stations lie on one.</summary>
internal static class ZoneNoise
{
    private const int FewestTrials = 100;

    /// <summary>Beyond this many stations some two are near enough for s = √2 σ, which is never too small.</summary>
    private const int LargestPairSearch = 4096;

    public static ZoneReach Reach(
        PlanFrame frame, double sigmaUm, double commonUm, PlaneReference reference, ulong seed, int trials, double? degreesOfFreedom)
    {
        Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm));
        Guard.FiniteNotNegative(commonUm, nameof(commonUm));
        var pairSigma = sigmaUm * PairFactor(frame);
        var noise = sigmaUm == 0
            ? 0
            : sigmaUm * Quantile(frame, reference, 0.975, seed, trials, Quantiles.WholeDegrees(degreesOfFreedom));
        return new ZoneReach(
            (Quantiles.OneSided95(degreesOfFreedom) * pairSigma) + commonUm, noise + commonUm, pairSigma, noise, commonUm);
    }

    /// <summary>s for σ = 1: Var(rᵢ − rⱼ) = 2 − d², d² the squared distance of the two stations in the metric of the layout (Σu² = Σw² = 1).</summary>
    internal static double PairFactor(PlanFrame frame)
    {
        double[] u = frame.U, w = frame.W;
        if (u.Length > LargestPairSearch)
            return Math.Sqrt(2);
        double byU = 1 / frame.SumUU, byW = frame.SumWW > 0 ? 1 / frame.SumWW : 0, least = 2;
        for (var i = 0; i < u.Length; i++)
        {
            for (var j = i + 1; j < u.Length; j++)
            {
                double du = u[i] - u[j], dw = w[i] - w[j];
                least = Math.Min(least, (du * du * byU) + (dw * dw * byW));
            }
        }

        return Math.Sqrt(2 - least);
    }

    /// <summary>The order statistic of rank ⌈p·trials⌉, rounded to six digits.</summary>
    public static double Quantile(PlanFrame frame, PlaneReference reference, double probability, ulong seed, int trials, int? degrees)
    {
        if (trials < FewestTrials)
            Guard.ThrowOutOfRange(trials, nameof(trials), "100 or more");
        var zones = NoiseZones(frame, reference, seed, trials, degrees);
        Array.Sort(zones);
        return Rounding.ToSixDigits(zones[Math.Min((int)Math.Ceiling(probability * zones.Length), zones.Length) - 1]);
    }

    private static double[] NoiseZones(PlanFrame frame, PlaneReference reference, ulong seed, int trials, int? degrees)
    {
        var source = new SeededSource(seed);
        var zone = new VerticalZone();
        var zones = new double[trials];
        var heights = new double[frame.U.Length];
        for (var trial = 0; trial < trials; trial++)
        {
            for (var i = 0; i < heights.Length; i++)
                heights[i] = source.NextNormal();
            var width = reference switch
            {
                PlaneReference.LeastSquares => LeastSquaresRange(frame, heights),
                PlaneReference.MinimumZone => MinimumZone(frame, heights, zone),
                _ => throw new ArgumentOutOfRangeException(nameof(reference), reference, "Not a plane reference."),
            };
            zones[trial] = degrees is { } whole ? width / Math.Sqrt(source.NextChiSquare(whole) / whole) : width;
        }

        return zones;
    }

    internal static double LeastSquaresRange(PlanFrame frame, double[] heights)
    {
        double[] u = frame.U, w = frame.W;
        double su = 0, sw = 0;
        for (var i = 0; i < heights.Length; i++)
        {
            su += u[i] * heights[i];
            sw += w[i] * heights[i];
        }

        double a = su / frame.SumUU, b = frame.SumWW > 0 ? sw / frame.SumWW : 0, top = double.NegativeInfinity, bottom = double.PositiveInfinity;
        for (var i = 0; i < heights.Length; i++)
        {
            var rest = heights[i] - (a * u[i]) - (b * w[i]);
            top = Math.Max(top, rest);
            bottom = Math.Min(bottom, rest);
        }

        return top - bottom;
    }

    private static double MinimumZone(PlanFrame frame, double[] heights, VerticalZone zone)
    {
        zone.Solve(frame.U, frame.W, heights);
        return zone.Width;
    }
}
