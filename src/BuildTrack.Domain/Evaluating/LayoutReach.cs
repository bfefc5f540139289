using System.Collections.Concurrent;
using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>Reaches of a layout, worked out once: they are linear in the noise, and the law of the noise zone takes ten thousand trials.</summary>
internal static class LayoutReach
{
    private static readonly ConcurrentDictionary<string, ZoneReach> OfUnitNoise = new();

    private static readonly ConcurrentDictionary<string, SumsOfUnitNoise> OfSums = new();

    /// <summary>Reaches for a standard uncertainty, with its degrees of freedom where it was estimated, and a common part, both in µm, equal to those of <see cref="PlaneReach"/> itself.</summary>
    public static (double Above, double Below) Of(double[] xMm, double[] yMm, double sigmaUm, double commonUm, PlaneReference reference, double? degrees)
    {
        var key = new StringBuilder().Append(reference).Append(CultureInfo.InvariantCulture, $"|{degrees:R}");
        for (var i = 0; i < xMm.Length; i++)
        {
            key.Append(CultureInfo.InvariantCulture, $";{xMm[i]:R},{yMm[i]:R}");
        }

        var unit = OfUnitNoise.GetOrAdd(CanonicalJson.Hash(key.ToString()), _ => PlaneReach.Of(xMm, yMm, 1, 0, reference, degreesOfFreedom: degrees));
        return ((unit.AboveUm * sigmaUm) + commonUm, (unit.BelowUm * sigmaUm) + commonUm);
    }

    /// <summary>Reaches of sums of readings for noise of one unit: the same for the same sums, whatever layout they were formed over.</summary>
    public static SumsOfUnitNoise Of(ImmutableArray<SumLine> lines) => OfSums.GetOrAdd(CanonicalJson.Hash(CanonicalJson.Of(lines)), _ => new SumsOfUnitNoise(lines));

    /// <summary>The reaches of a standard uncertainty and a common part from those of noise of one unit without a common part.</summary>
    public static ZoneReach Scaled(ZoneReach unit, double sigma, double common) =>
        new((unit.AboveUm * sigma) + common, (unit.BelowUm * sigma) + common, unit.PairSigmaUm * sigma, unit.NoiseQuantileUm * sigma, common);
}

/// <summary>Reaches of sums of readings for noise of one unit without a common part, those of <see cref="SumsReach"/> itself, worked out once.</summary>
internal sealed class SumsOfUnitNoise(ImmutableArray<SumLine> lines)
{
    private readonly ZoneReach known = SumsReach.Of(lines, 1, 0);
    private readonly ConcurrentDictionary<double, ZoneReach> estimated = new();

    /// <param name="degrees">Of the standard uncertainty; null where it is known.</param>
    public ZoneReach Of(double? degrees) => degrees is { } few ? estimated.GetOrAdd(few, d => SumsReach.Of(lines, 1, 0, degreesOfFreedom: d)) : known;
}
