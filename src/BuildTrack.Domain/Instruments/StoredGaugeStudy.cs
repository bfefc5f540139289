using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Metrology.Statistics;

namespace BuildTrack.Domain.Instruments;

/// <summary>A crossed gauge study made with an instrument, as it was calculated.</summary>
/// <param name="About">What was measured, and why: "gauge blocks on the bench, new operator".</param>
/// <param name="Unit">Unit of the readings.</param>
/// <param name="ToleranceWidth">Upper less lower limit, unit of the readings; null where none was given.</param>
/// <param name="Readings">As they were taken, in order.</param>
/// <param name="Result">By analysis of variance, and by average and range.</param>
public sealed record StoredGaugeStudy(
    long Id, string Instrument, int Revision, string Day, string Person, Instant At, string About, string Unit, double? ToleranceWidth,
    ImmutableArray<GaugeReading> Readings, GaugeStudyResult Result)
{
    /// <summary>Repeatability and reproducibility as a share of all variation, dimensionless.</summary>
    public double GaugeShare => Result.Used!.Gauge.PartOfTotal;

    /// <summary>The usual words for a share of the whole (common practice: up to 10 % good, up to 30 % as the use allows).</summary>
    public static string Word(double share) => share <= 0.1 ? "good" : share <= 0.3 ? "usable where the use allows it" : "not fit for these parts";
}
