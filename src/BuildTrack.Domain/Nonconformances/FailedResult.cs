using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Nonconformances;

/// <summary>The result that a nonconformance was raised from, as the record had it: computed, never typed.</summary>
/// <param name="Value">In <paramref name="Unit"/>.</param>
/// <param name="ExpandedUncertainty">U of the instrument, in <paramref name="Unit"/>; null where the calculation has none.</param>
/// <param name="Unit">The unit results of this kind are calculated in: µm for lengths.</param>
/// <param name="EvaluationHash">Of the evaluation that this is the answer of.</param>
/// <param name="List">A yes/no list: a count says which answers no more than a list with the same count.</param>
public sealed record FailedResult(
    string Line, string Title, Requirement Requirement, double Value, double? ExpandedUncertainty, string Unit, Verdict Verdict, string EvaluationHash, bool List)
{
    /// <summary>"at most 0.100 mm, contract annex 2, edition B".</summary>
    public string Required => $"{Limit(Requirement, List)}, {Requirement.Origin}, edition {Requirement.Edition}";

    /// <summary>"0.121 mm, U 0.014 mm, rejected".</summary>
    public string Found => List ? FormattableString.Invariant($"{Value:0} answered no, {Shown.Word(Verdict)}")
        : Shown.InUnitOf(Value, Requirement) + (ExpandedUncertainty is { } u ? $", U {Shown.InUnitOf(u, Requirement)}" : "") + $", {Shown.Word(Verdict)}";

    /// <summary>The order replaced the company's limit, or the limit itself names the contract.</summary>
    public bool FromContract => Requirement.ApprovedBy is not null || Requirement.Origin.Contains("contract", StringComparison.OrdinalIgnoreCase);

    /// <summary>The failed result of an evaluation; null where it is accepted or has no verdict.</summary>
    public static FailedResult? Of(StoredEvaluation evaluation)
    {
        var (input, result) = (evaluation.Record.Input, evaluation.Record.Result);
        return result is { Value: { } value, Verdict: { } verdict and not Verdict.Accepted }
            ? new FailedResult(
                evaluation.Line, input.Characteristic.Title, input.Requirement, value, result.ExpandedUncertainty, result.Unit, verdict, evaluation.Hash,
                input.Characteristic.Evaluator == AnswersEvaluator.Name)
            : null;
    }

    /// <summary>How far a value lies beyond the limit, in the unit of the value: the larger, the worse.</summary>
    /// <returns>Negative inside the limit; null where the limit is no plain number.</returns>
    public static double? Beyond(EvaluationResult result, double value) => (result.Upper, result.Lower) switch
    {
        ({ } upper, { } lower) => Math.Max(value - upper, lower - value),
        ({ } upper, null) => value - upper,
        (null, { } lower) => lower - value,
        _ => null,
    };

    private static string Limit(Requirement requirement, bool list) => list ? "no question answered no" : (requirement.Upper, requirement.Lower) switch
    {
        ({ } upper, { } lower) => $"{Shown.InUnitOf(lower.Calculated, requirement)} to {Shown.InUnitOf(upper.Calculated, requirement)}",
        ({ } upper, null) => $"at most {Shown.InUnitOf(upper.Calculated, requirement)}",
        (null, { } lower) => $"at least {Shown.InUnitOf(lower.Calculated, requirement)}",
        _ => $"table {requirement.Table}",
    };
}
