using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.ResultSeries;

/// <summary>One result of a series.</summary>
/// <param name="Evaluation">The calculation that was released, or the current one.</param>
/// <param name="Released">When it was released; null while it is not.</param>
/// <param name="SinceBefore">What changed since the result before it; null for the first, and where no uncertainty is known.</param>
/// <param name="SinceFirst">What changed since the first result; null for the first two, and where no uncertainty is known.</param>
public sealed record SeriesPoint(AgreedCharacteristic Agreed, RouteStep Step, StoredEvaluation Evaluation, Instant? Released, SeriesChange? SinceBefore, SeriesChange? SinceFirst)
{
    /// <summary>What was found, in the unit of the result.</summary>
    public double Value => Evaluation.Record.Result.Value!.Value;

    public string Unit => Evaluation.Record.Result.Unit;

    public Verdict? Verdict => Evaluation.Record.Result.Verdict;
}

/// <summary>The difference of two results of a series, and whether it is more than their uncertainty explains.</summary>
/// <param name="Difference">Later less earlier, unit of the results.</param>
/// <param name="Reach">√(reach² + reach²): how far the later truth may lie back toward the earlier, and the earlier toward the later; unit of the results.</param>
/// <param name="En">Difference over that reach, signed, dimensionless: the number E_n of ISO 13528.</param>
public sealed record SeriesChange(double Difference, double Reach, double En)
{
    /// <summary>|E_n| is above 1: something has changed. At 1 and below nothing is proven, neither a change nor that there was none.</summary>
    public bool Proved => Math.Abs(En) > 1;
}
