using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Domain.Nonconformances;

/// <summary>An approved permission to use what does not conform: for one machine, one line and one value.</summary>
/// <param name="Number">Its running number among concessions and deviation permits.</param>
/// <param name="Proposal">What is permitted, in words.</param>
/// <param name="At">When the last approval or the consent completed it.</param>
/// <param name="CompletedBy">Id of that entry.</param>
public sealed record Concession(
    int Number, Nonconformance Of, NonconformanceEntry Proposal, ImmutableArray<NonconformanceEntry> Approvals, NonconformanceEntry? Consent, Instant At, long CompletedBy)
{
    /// <summary>"CON-0001".</summary>
    public string Name => NameOf(Number);

    public bool IsPermit => Proposal.Detail.Disposition == Disposition.DeviationPermit;

    /// <summary>"0.121 mm": the value that is conceded; null for something seen.</summary>
    public string? Conceded => Of.Result is { List: false } result ? Shown.InUnitOf(result.Value, result.Requirement) : Of.Result?.Found;

    public static string NameOf(int number) => FormattableString.Invariant($"CON-{number:0000}");

    /// <summary>
    /// Whether it holds for an evaluation: the one it was given for, or another of the same line under the same limit whose value is no worse. A list
    /// with the same number of answers no may have other answers: only the one it was given for is covered.
    /// </summary>
    public bool Covers(string evaluationHash, EvaluationRecord evaluation) => Of.Result is { } conceded && Covers(conceded, evaluationHash, evaluation);

    /// <summary>The same for a conceded result as a certificate states it.</summary>
    public static bool Covers(FailedResult conceded, string evaluationHash, EvaluationRecord evaluation)
    {
        if (conceded.EvaluationHash == evaluationHash)
        {
            return true;
        }

        var (input, result) = (evaluation.Input, evaluation.Result);
        return !conceded.List && conceded.Line == input.Characteristic.Line && conceded.Requirement == input.Requirement && result.Value is { } value
            && FailedResult.Beyond(result, value) is { } beyond && FailedResult.Beyond(result, conceded.Value) is { } allowed && beyond <= allowed;
    }
}
