using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>The least of single values against a lower limit: pad thickness left after milling.</summary>
/// <remarks>Method: docs/method/verdict.md, "Least of several values". The place that decides is measured again, as the contacts of a zone are.</remarks>
public sealed class LeastValueEvaluator : IEvaluator, IPlanned
{
    public const string Name = "least-value";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("values", [])];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Lower;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        var source = input.Sources["values"].Readings
            ?? throw new ArgumentException($"{input.Characteristic.Line}: least-value needs the readings of a survey as 'values'.");
        var lower = input.Requirement.Lower ?? throw new ArgumentException($"{input.Characteristic.Line}: least-value needs a lower limit.");
        var unit = Units.Calculated(lower.Unit);
        var record = new NextAction(NextKind.Record, $"Record the readings of survey {source.Survey}.", []);
        if (!source.Runs.Any(r => r.Readings.Length > 0))
        {
            return EvaluationResult.Without(ResultState.NotMeasured, unit, "no reading yet", record);
        }

        var means = SurveyMeans.Of(source);
        if (means.Missing is { } missing)
        {
            return EvaluationResult.Without(ResultState.Incomplete, unit, missing, record with { Places = means.MissingPlaces });
        }

        var least = Array.IndexOf(means.Values, means.Values.Min());
        var again = source.ContactsAgainFor(input.Characteristic.Line).ToImmutableArray();
        var view = RegisterView.Of(input, source, source.CountedPasses, "absolute", 0);
        var againView = again.Length == 0 ? view : RegisterView.Of(input, source, again, "absolute", 0);
        var (accept, alone, _) = ExtremeReach.Of(means.Values.Length, view.Sigma / Math.Sqrt(source.PassesPlanned), view.Common, view.Degrees);
        var (_, _, fromAgain) = ExtremeReach.Of(means.Values.Length, againView.Sigma, againView.Common, againView.Degrees);
        ImmutableArray<WeightedPlace> places = again.Length > 0 ? again[0].Weights : [new WeightedPlace(means.Stations[least].Id, 1)];
        var decision = new ZoneDecision(
            Value: means.Values[least], Limit: lower.Calculated, Rule: input.Requirement.Rule,
            View: view with { Expanded = Math.Max(view.Expanded, againView.Expanded), Faults = [.. view.Faults.Union(againView.Faults)] },
            ReachAccept: accept, ReachAlone: alone, ReachesAgain: [fromAgain],
            Again: [.. again.Select(run => new AgainValue(run.Id, run.No, SurveyMeans.ValueAt(run, source.Column, run.Weights[0].Place)
                ?? throw new ArgumentException($"run {run.No} has no reading at {run.Weights[0].Place}.")))],
            Upward: false, NotProved: null);

        return decision.Result(
            unit, "least value", [new Figure("least", means.Values.Min(), unit), new Figure("largest", means.Values.Max(), unit)],
            [new WeightedPlace(means.Stations[least].Id, 1)], null,
            [.. means.Stations.Select((s, i) => new Deviation(s.Id, means.Values[i] - lower.Calculated))], places, source.Survey,
            input.Characteristic.Hold, everyPlace: false);
    }

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var source = input.Sources["values"].Readings!;
        var view = RegisterView.Of(input, source, source.CountedPasses, "absolute", 0);
        return PlannedParts.Of(null, source.Stations.Length, view);
    }
}
