using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;

namespace BuildTrack.Domain.Temperatures;

/// <summary>A probe at one place of the bed.</summary>
/// <param name="Read">°C as shown.</param>
/// <param name="Celsius">°C with the probe's offset taken out; as shown where it was not compared.</param>
public sealed record ProbeReading(string Probe, decimal Read, decimal Celsius);

/// <summary>Top and bottom of the bed at one place.</summary>
public sealed record BedPlace(ProbeReading Top, ProbeReading Bottom)
{
    /// <summary>Top less bottom, K.</summary>
    [JsonIgnore]
    public decimal Difference => Top.Celsius - Bottom.Celsius;
}

/// <summary>One round of the bed's temperatures before it is measured.</summary>
/// <param name="Day">yyyy-MM-dd in plant time.</param>
/// <param name="Air">°C, 1 m high beside the bed, as shown; null if not taken.</param>
/// <param name="Places">From the operator's end on.</param>
/// <param name="DifferenceU">Expanded uncertainty (k = 2) of top less bottom, the worst place, K.</param>
/// <param name="Comparison">The comparison whose offsets were taken out; null where no pair of probes was compared that day.</param>
/// <param name="Note">Anything that may have disturbed: door, crane, sun.</param>
/// <param name="Probes">The register's entries as they stood.</param>
public sealed record TemperatureRound(
    long Id, int Step, string Day, string Person, Instant At, decimal? Air, ImmutableArray<BedPlace> Places, double DifferenceU, long? Comparison, string? Note,
    ImmutableArray<RegisterEntry> Probes)
{
    /// <summary>Largest difference top to bottom at one place, without sign, K.</summary>
    [JsonIgnore]
    public decimal Gradient => Places.Max(p => Math.Abs(p.Difference));

    /// <summary>The difference of that place with its sign, top less bottom, K.</summary>
    [JsonIgnore]
    public decimal Worst => Places.MaxBy(p => Math.Abs(p.Difference))!.Difference;

    /// <summary>A round from what was read: offsets of the day's comparison taken out where both probes of a place took part in it.</summary>
    public static TemperatureRound Of(
        long id, int step, string day, string person, Instant at, decimal? air, ImmutableArray<(decimal Top, decimal Bottom, RegisterEntry TopProbe, RegisterEntry BottomProbe)> read,
        ComparedProbes? compared, string? note)
    {
        var places = ImmutableArray.CreateBuilder<BedPlace>(read.Length);
        var (u, used) = (0.0, false);
        foreach (var (top, bottom, above, below) in read)
        {
            var both = compared?.Find(above.Id) is { } a && compared.Find(below.Id) is { } b ? (Above: a.Offset, Below: b.Offset) : ((decimal Above, decimal Below)?)null;
            used |= both is not null;
            places.Add(new BedPlace(new ProbeReading(above.Id, top, top - (both?.Above ?? 0)), new ProbeReading(below.Id, bottom, bottom - (both?.Below ?? 0))));
            u = Math.Max(u, both is not null ? compared!.DifferenceU : Uncompared(above, below));
        }

        return new TemperatureRound(
            id, step, day, person, at, air, places.MoveToImmutable(), Math.Round(u, 6), used ? compared!.Id : null, note,
            [.. read.SelectMany(r => new[] { r.TopProbe, r.BottomProbe }).DistinctBy(p => p.Id).OrderBy(p => p.Id, StringComparer.Ordinal)]);
    }

    // What one probe shares between its own readings falls out of their difference.
    private static double Uncompared(RegisterEntry above, RegisterEntry below)
    {
        double Of(RegisterEntry probe) => above.Id == below.Id ? probe.FigureFor(TemperatureRules.Use, 0)!.RandomPart(0) : ComparedProbes.Stated(probe);
        return Math.Sqrt((Of(above) * Of(above)) + (Of(below) * Of(below)));
    }
}
