using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Random;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>How far the truth may lie above and below a measured flatness: the two reaches of docs/method/verdict.md.</summary>
/// <param name="AboveUm">1.6449 s + B: the truth lies at most this far above the value (95 %). Acceptance uses it.</param>
/// <param name="BelowUm">Q97.5[R(e)] + B: the truth lies at most this far below the value (97.5 %). Rejection from one result alone uses it.</param>
/// <param name="PairSigmaUm">s: largest standard deviation of the difference of two residuals of pure noise, µm.</param>
/// <param name="NoiseQuantileUm">The 97.5 % quantile of the zone of pure noise under the reference, µm.</param>
/// <param name="CommonUm">B: the part all runs share, µm.</param>
public sealed record ZoneReach(double AboveUm, double BelowUm, double PairSigmaUm, double NoiseQuantileUm, double CommonUm);

/// <summary>Reaches of a plane zone whose stations carry independent noise of one standard uncertainty.</summary>
public static class PlaneReach
{
    /// <summary>The seed used unless another is given, so that a layout has one figure.</summary>
    public const ulong DefaultSeed = 0xB011D72AC4000001;

    /// <summary>The reaches for a layout.</summary>
    /// <param name="xMm">Stations, x in mm.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="sigmaUm">Standard uncertainty of one station's height in the result, µm: already divided by the square root of the number
    /// of passes <em>planned</em>.</param>
    /// <param name="commonUm">B, µm: zone of the worst shape that all passes share.</param>
    /// <param name="reference">The plane of the requirement.</param>
    /// <param name="seed">Seed of the generator.</param>
    /// <param name="trials">Trials; 10⁴ give the quantile to about 1 %.</param>
    /// <param name="degreesOfFreedom">Of <paramref name="sigmaUm"/>; null where it is known, not estimated.</param>
    public static ZoneReach Of(
        ReadOnlySpan<double> xMm,
        ReadOnlySpan<double> yMm,
        double sigmaUm,
        double commonUm,
        PlaneReference reference,
        ulong seed = DefaultSeed,
        int trials = 10000,
        double? degreesOfFreedom = null)
    {
        Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm));
        Guard.FiniteNotNegative(commonUm, nameof(commonUm));
        ArgumentOutOfRangeException.ThrowIfLessThan(trials, 100);
        var plane = new PlaneProjector(xMm, yMm);
        var pair = PairSigma(plane) * sigmaUm;
        var quantile = sigmaUm == 0 ? 0 : NoiseQuantile(plane, xMm, yMm, reference, seed, trials) * sigmaUm;
        return new ZoneReach((Quantile.OneSided95(degreesOfFreedom) * pair) + commonUm, quantile + commonUm, pair, quantile, commonUm);
    }

    private static double PairSigma(PlaneProjector plane)
    {
        // Beyond this many stations the plane takes next to nothing out of the nearest pair: √2 is a safe bound.
        if (plane.Count > 2000)
        {
            return Quantile.SixDigits(Math.Sqrt(2));
        }

        var largest = 0.0;
        for (var i = 0; i < plane.Count; i++)
        {
            for (var j = i + 1; j < plane.Count; j++)
            {
                largest = Math.Max(largest, plane.PairVariance(i, j));
            }
        }

        return Quantile.SixDigits(Math.Sqrt(largest));
    }

    /// <summary>Q97.5 of the zone of unit noise: the zone scales with the noise, so one figure serves a layout.</summary>
    private static double NoiseQuantile(
        PlaneProjector plane, ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, PlaneReference reference, ulong seed, int trials)
    {
        var noise = new NormalNoise(seed);
        var residuals = new double[plane.Count];
        var zones = new double[trials];
        var zone = reference == PlaneReference.MinimumZone ? new NoiseZone(xMm, yMm) : null;
        for (var t = 0; t < trials; t++)
        {
            for (var i = 0; i < residuals.Length; i++)
            {
                residuals[i] = noise.Next();
            }

            plane.TakeOut(residuals);
            zones[t] = zone is null ? residuals.Max() - residuals.Min() : zone.Of(residuals);
        }

        Array.Sort(zones);
        return Quantile.SixDigits(zones[Math.Min(trials - 1, (int)Math.Ceiling(0.975 * (trials + 1)) - 1)]);
    }
}
