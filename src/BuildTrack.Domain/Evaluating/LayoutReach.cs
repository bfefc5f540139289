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

    /// <summary>Reaches for a standard uncertainty and a common part, both in µm, equal to those of <see cref="PlaneReach"/> itself.</summary>
    public static (double Above, double Below) Of(double[] xMm, double[] yMm, double sigmaUm, double commonUm, PlaneReference reference)
    {
        var key = new StringBuilder().Append(reference);
        for (var i = 0; i < xMm.Length; i++)
        {
            key.Append(CultureInfo.InvariantCulture, $";{xMm[i]:R},{yMm[i]:R}");
        }

        var unit = OfUnitNoise.GetOrAdd(CanonicalJson.Hash(key.ToString()), _ => PlaneReach.Of(xMm, yMm, 1, 0, reference));
        return ((unit.AboveUm * sigmaUm) + commonUm, (unit.BelowUm * sigmaUm) + commonUm);
    }

    /// <summary>Reaches of sums of readings for a standard uncertainty and a common part, equal to those of <see cref="SumsReach"/> itself.</summary>
    public static ZoneReach Of(ImmutableArray<SumLine> lines, double sigma, double common)
    {
        var unit = OfUnitNoise.GetOrAdd(CanonicalJson.Hash(CanonicalJson.Of(lines)), _ => SumsReach.Of(lines, 1, 0));
        return Scaled(unit, sigma, common);
    }

    /// <summary>The reaches of a standard uncertainty and a common part from those of noise of one unit without a common part.</summary>
    public static ZoneReach Scaled(ZoneReach unit, double sigma, double common) =>
        new((unit.AboveUm * sigma) + common, (unit.BelowUm * sigma) + common, unit.PairSigmaUm * sigma, unit.NoiseQuantileUm * sigma, common);
}
