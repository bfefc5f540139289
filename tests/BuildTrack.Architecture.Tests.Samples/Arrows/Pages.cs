using BuildTrack.Domain.Evaluating;
using BuildTrack.Metrology.Verdicts;

namespace Samples.Pages;

/// <summary>Shows a verdict: allowed.</summary>
public sealed class ShowsVerdict
{
    public static string Word(EvaluationResult result) => result.Verdict == Verdict.Accepted ? "accepted" : "other";
}

/// <summary>Works a verdict out.</summary>
public sealed class WorksOutVerdict
{
    public static object Decide() => Conformity.Decide(1, new Conformity.Limits(2, null), 0, 0);
}
