using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Thermal;

namespace BuildTrack.Domain.Temperatures;

/// <summary>One probe on the block.</summary>
/// <param name="Read">°C as shown, one for each repeat, all probes in the same order of time.</param>
/// <param name="Offset">Its mean less the mean of all, K, to 0.0001 K.</param>
/// <param name="Disagrees">Why it takes part in no round of that day; null while it agrees with the others within what the register states.</param>
public sealed record ComparedProbe(RegisterEntry Probe, ImmutableArray<decimal> Read, decimal Offset, string? Disagrees);

/// <summary>Probes compared on one steel block; it holds for the rounds of its day.</summary>
/// <param name="Day">yyyy-MM-dd in plant time.</param>
/// <param name="Step">Step of the display, K.</param>
/// <param name="Scatter">Standard deviation of one reading, K.</param>
/// <param name="DifferenceU">Expanded uncertainty of a difference of two of these probes, offsets taken out, K.</param>
/// <param name="CoverageFactor">Its factor, two-sided 95.45 %.</param>
public sealed record ComparedProbes(
    long Id, string Day, string Person, Instant At, decimal Step, ImmutableArray<ComparedProbe> Probes, double Scatter, double DifferenceU, double CoverageFactor)
{
    public ComparedProbe? Find(string probe) => Probes.FirstOrDefault(p => p.Probe.Id == probe);

    /// <summary>"U of a difference of two probes 0.034 K (k = 2.43)", and whom the comparison shuts out.</summary>
    public string Sentence => FormattableString.Invariant($"U of a difference of two probes {DifferenceU:0.00#} K (k = {CoverageFactor:0.00})")
        + (DifferenceU > TemperatureRules.FineU + 1e-9 ? FormattableString.Invariant($": above {TemperatureRules.FineU} K no gradient limit of 0.2 to {TemperatureRules.FineLimit} K can be proved") : "")
        + string.Concat(Probes.Where(p => p.Disagrees is not null).Select(p => $"; {p.Disagrees}: not to be used today"));

    /// <summary>Compares probes; every list has the same number of readings, two or more of both.</summary>
    public static ComparedProbes Of(long id, string day, string person, Instant at, decimal step, IReadOnlyList<(RegisterEntry Probe, ImmutableArray<decimal> Read)> probes)
    {
        var result = ProbeComparison.Of([.. probes.Select(p => p.Read.Select(t => Temperature.FromDegreesCelsius((double)t)).ToArray())], (double)step);
        var offsets = result.OffsetsK;
        return new ComparedProbes(
            id, day, person, at, step,
            [.. probes.Select((p, i) => new ComparedProbe(p.Probe, p.Read, Math.Round((decimal)offsets[i], 4), Disagrees(probes.Select(x => x.Probe).ToArray(), offsets, i)))],
            Math.Round(result.ScatterK, 6), Math.Round(result.DifferenceExpandedK, 6), result.CoverageFactor);
    }

    /// <summary>A probe off from the middle of the others by more than both may be, as the register states them, is not what its certificate says.</summary>
    private static string? Disagrees(RegisterEntry[] probes, ImmutableArray<double> offsets, int i)
    {
        var others = Enumerable.Range(0, probes.Length).Where(j => j != i).OrderBy(j => offsets[j]).ToArray();
        var middle = (offsets[others[(others.Length - 1) / 2]] + offsets[others[others.Length / 2]]) / 2;
        var (own, theirs) = (Stated(probes[i]), others.Max(j => Stated(probes[j])));
        var within = Math.Sqrt((own * own) + (theirs * theirs));
        var off = offsets[i] - middle;
        return Math.Abs(off) <= within ? null
            : FormattableString.Invariant($"{probes[i].Id} reads {Math.Abs(off):0.00} K {(off > 0 ? "above" : "below")} the others on the block; the register allows {within:0.00} K");
    }

    /// <summary>U of a probe as the register states it, K.</summary>
    public static double Stated(RegisterEntry probe) => probe.FigureFor(TemperatureRules.Use, 0)!.Expanded(0);
}
