using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>A yes/no list: the verdict follows from the answers of the latest finished run.</summary>
public sealed class AnswersTests
{
    [Theory]
    [InlineData("yes yes yes", Verdict.Accepted, 0)]
    [InlineData("yes not-applicable yes", Verdict.Accepted, 0)]
    [InlineData("yes no yes", Verdict.Rejected, 1)]
    [InlineData("no no no", Verdict.Rejected, 3)]
    public void One_no_rejects(string answers, Verdict verdict, double no)
    {
        var result = Evaluate(Run(1, answers));
        Assert.Equal((ResultState.Calculated, verdict, no), (result.State, result.Verdict, result.Value));
        Assert.Equal(verdict == Verdict.Accepted ? NextKind.Release : NextKind.AddPass, result.Next.Kind);
        if (verdict == Verdict.Rejected)
        {
            Assert.Contains("answered no: Question", result.Because[0], StringComparison.Ordinal);
        }
    }

    [Fact]
    public void The_latest_list_counts_and_an_open_or_discarded_one_does_not()
    {
        Assert.Equal(Verdict.Accepted, Evaluate(Run(1, "no no no"), Run(2, "yes yes yes")).Verdict);
        Assert.Equal(Verdict.Rejected, Evaluate(Run(1, "no no no"), Run(2, "yes yes yes") with { Finished = null }).Verdict);
        Assert.Equal(Verdict.Rejected, Evaluate(Run(1, "no no no"), Run(2, "yes yes yes") with { Discarded = new Discarded("ida", Make.Noon, "wrong machine") }).Verdict);
    }

    [Fact]
    public void Without_answers_there_is_no_verdict()
    {
        Assert.Equal(ResultState.NotMeasured, Evaluate().State);
        var missing = Evaluate(Run(1, "yes yes"));
        Assert.Equal((ResultState.Incomplete, null), (missing.State, missing.Verdict));
        Assert.Contains("1 of 3 questions", missing.Because[0], StringComparison.Ordinal);
    }

    private static EvaluationResult Evaluate(params Run[] runs)
    {
        var sources = Enumerable.Range(1, 3).ToImmutableSortedDictionary(q => $"q{q}", q => new Source(
            new SurveySource(1, 1, "list", $"q{q}", "", 1, false, null, [], [.. runs.Select(r => r with { Readings = [.. r.Readings.Where(x => x.Column == $"q{q}")] })], null, $"Question {q}?"), null, null), StringComparer.Ordinal);
        return new AnswersEvaluator().Evaluate(new EvaluationInput(
            Evaluators.Engine, "X-1", "M", new Characteristic("list", "10-90", "H0", "List", "yes-no-list", ImmutableSortedDictionary<string, SourceRef>.Empty, null, "answered-no"), null,
            new Requirement(new Amount(0, "1"), null, null, null, DecisionRule.Simple, "company standard", "A", null), null, null, sources));
    }

    private static Run Run(long id, string answers) => Make.Run(id, (int)id, null, []) with
    {
        Readings = [.. answers.Split(' ').Select((a, i) => new Reading((id * 100) + i, Place.Whole, $"q{i + 1}", new ReadingValue(ValueKind.Choice, a, null, null, null, null), Make.Noon, "tom", EntryRoute.Typed, null, null))],
    };
}
