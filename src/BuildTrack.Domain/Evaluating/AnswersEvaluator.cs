using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>A list of stated questions that a person answers yes or no; what does not apply may be answered so where the list allows it.</summary>
/// <remarks>The latest finished list counts, and earlier ones stay in the record: an answer is no number of which a mean could be taken.</remarks>
public sealed class AnswersEvaluator : IEvaluator
{
    /// <summary>The word in a checklist's <c>evaluator:</c>.</summary>
    public const string Name = "yes-no-list";

    public const string Yes = "yes";
    public const string No = "no";
    public const string NotApplicable = "not-applicable";

    public string Kind => Name;

    /// <summary>None by name: every source is a question.</summary>
    public ImmutableArray<EvaluatorSource> Sources { get; } = [];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var questions = input.Sources.Values.Select(s => s.Readings ?? throw new ArgumentException($"{input.Characteristic.Line}: a yes/no list needs the answers of a survey.")).ToImmutableArray();
        var record = new NextAction(NextKind.Record, "Answer the questions of the list.", []);
        if (questions.All(q => q.Runs.All(r => r.Readings.IsEmpty)))
        {
            return EvaluationResult.Without(ResultState.NotMeasured, "1", "no question is answered yet", record);
        }

        var answers = questions.Select(q => (Question: q.Question ?? q.Column, Answer: AnswerOf(q))).ToList();
        var open = answers.Where(a => a.Answer is null).ToList();
        if (open.Count > 0)
        {
            return EvaluationResult.Without(ResultState.Incomplete, "1", $"{open.Count} of {answers.Count} questions have no answer: {open[0].Question}", record);
        }

        var no = answers.Where(a => a.Answer != Yes && a.Answer != NotApplicable).ToList();
        var verdict = no.Count == 0 ? Verdict.Accepted : Verdict.Rejected;
        var without = answers.Count(a => a.Answer == NotApplicable);
        return new EvaluationResult(
            ResultState.Calculated, "1", no.Count, [new Figure("questions", answers.Count, "1"), new Figure("notApplicable", without, "1")], null, null, 0, 0, 0, 0, null, 0, null, verdict,
            no.Count == 0
                ? [$"all {answers.Count} questions are answered yes{(without > 0 ? $" or, {without} of them, not applicable" : "")}"]
                : [.. no.Select(a => $"answered no: {a.Question}")],
            [], null, [], [], null,
            no.Count == 0
                ? new NextAction(NextKind.Release, $"An inspector who did not answer releases {input.Characteristic.Hold}.", [])
                : new NextAction(NextKind.AddPass, "Put right what was answered no, then answer the list anew.", []));
    }

    /// <summary>The answer of the latest run that counts; null where it has none.</summary>
    public static string? AnswerOf(SurveySource question)
    {
        ArgumentNullException.ThrowIfNull(question);
        return question.CountedPasses.LastOrDefault()?.Standing.LastOrDefault(r => r.Column == question.Column && r.Value.Kind == ValueKind.Choice)?.Value.Typed;
    }
}
