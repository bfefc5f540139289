using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Acceptance;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Film thickness: the mean of the spots reaches the nominal, every spot 80 % of it; an upper limit holds for every spot.</summary>
/// <remarks>Rule and sources: docs/method/acceptance.md. The lower limit is the nominal; a spot is the mean of its readings.</remarks>
public sealed class CoatingEvaluator : IEvaluator, IPlanned
{
    public string Kind => "coating";

    public ImmutableArray<EvaluatorSource> Sources { get; } =
        [new EvaluatorSource("first", ["film"]), new EvaluatorSource("second", ["film"], Optional: true), new EvaluatorSource("third", ["film"], Optional: true)];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Either;

    public string? Unit => "µm";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var nominal = (input.Requirement.Lower ?? throw new ArgumentException($"{input.Characteristic.Line}: coating needs a lower limit, the nominal.")).Micrometres;
        var all = Sources.Select(s => s.Name).Where(input.Sources.ContainsKey).Select(n => MeasuredValues.Of(input, n)).ToArray();
        if (MeasuredValues.Lacking(input, "µm", all) is { } lacking)
        {
            return lacking;
        }

        var rule = new CoatingRule(nominal, LargestUm: input.Requirement.Upper?.Micrometres);
        var places = all[0].Values;
        var found = CoatingThickness.Decide([.. places.Select((p, i) => (IReadOnlyList<double>)[.. all.Select(v => v.Values[i].Mean)])], rule);
        var source = places[0].Source;
        var view = WorstValue.View(input, source, 0);

        // The mean of n spots: their random parts average, what the gauge itself is off does not.
        var ofMean = OfMean(view, found.SpotsUm.Length * all.Length);
        var ofSpot = view with { Sigma = view.Sigma / Math.Sqrt(all.Length) };
        ImmutableArray<Candidate> candidates =
        [
            new Candidate("all spots", "mean of the spots", found.MeanUm, [], [], nominal, false, ofMean),
            .. places.Select((p, i) => new Candidate(p.Label, "spot, 80 % of nominal asked,", found.SpotsUm[i], [], [], rule.LeastPart * nominal, false, ofSpot)),
            .. rule.LargestUm is { } most ? places.Select((p, i) => new Candidate(p.Label, "spot", found.SpotsUm[i], [], [], most, true, ofSpot)) : [],
        ];
        var result = WorstValue.Of(
            input, candidates, "µm", source.Survey,
            [new Figure("mean", found.MeanUm, "µm"), new Figure("thinnest spot", found.SmallestUm, "µm"), new Figure("thickest spot", found.LargestUm, "µm"), new Figure("thin spots", 100 * found.ThinShare, "%")],
            noAgain: "touch up, strip or coat again, record that work, and measure anew");
        return result with { Deviations = [.. places.Select((p, i) => new Deviation(p.Label, found.SpotsUm[i] - nominal))] };
    }

    // Of the mean of the spots, which has to reach the nominal: a spot has a fifth of it to spare.
    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var all = Sources.Select(s => s.Name).Where(input.Sources.ContainsKey).Select(n => MeasuredValues.Of(input, n)).ToArray();
        var source = all[0].Values[0].Source;
        return PlannedParts.OfMeans(1, source.PassesPlanned, [OfMean(WorstValue.View(input, source, 0), all.Sum(v => v.Values.Length))]);
    }

    private static RegisterView OfMean(RegisterView view, int readings) => view with { Sigma = view.Sigma / Math.Sqrt(readings) };
}

/// <summary>A measured value as a part of what the model is rated for: measured ≥ rated × limit + U.</summary>
/// <remarks>Rule: docs/method/acceptance.md. The lower limit is in per cent of the rated value.</remarks>
/// <param name="quantity">Of the measured value; the name of its source, too.</param>
/// <param name="figures">Figures of the model that it may be compared with.</param>
/// <param name="what">What is measured, in words.</param>
/// <param name="rating">What a model without it lacks, and where it is to be stated.</param>
public sealed class PartOfRatedEvaluator(string kind, string quantity, ImmutableArray<string> figures, string what, (string Lacks, string State) rating) : IEvaluator, IPlanned
{
    /// <summary>Laser power at the workpiece against the rated power.</summary>
    public static PartOfRatedEvaluator Power { get; } =
        new("power-at-workpiece", "power", ["power"], "power at the workpiece", ("rated power", "State the model's rated power in the checklists."));

    /// <summary>Coolant flow of a circuit against what the source or the head asks for by its data sheet.</summary>
    public static PartOfRatedEvaluator CoolantFlow { get; } =
        new("coolant-flow", "flow", ["coolant-source", "coolant-head"], "coolant flow", ("coolant flow", "State in the checklists what the model's source and head ask for by their data sheets."));

    public string Kind => kind;

    public ImmutableArray<EvaluatorSource> Sources { get; } =
        [new EvaluatorSource(quantity, [quantity], [PlaceKind.Whole]), new EvaluatorSource("rated", figures, Kind: SourceKind.Figure)];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Lower;

    public string? Unit => "%";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Lower ?? throw new ArgumentException($"{input.Characteristic.Line}: {what} needs a lower limit in %.")).Calculated;
        var figure = input.Sources["rated"].Figure!;
        var (rated, unit) = (figure.Calculated, Units.Calculated(figure.Unit));
        var measured = MeasuredValues.Of(input, quantity);
        if (MeasuredValues.Lacking(input, "%", measured) is { } lacking)
        {
            return lacking;
        }

        if (rated <= 0)
        {
            return EvaluationResult.Without(ResultState.Incomplete, "%", $"model {input.Model} has no {rating.Lacks}", new NextAction(NextKind.MendConditions, rating.State, []));
        }

        var value = measured.Values[0];
        var percent = 100 / rated;
        var view = InPercent(WorstValue.View(input, value.Source, 0), rated);
        return WorstValue.Of(
            input, [new Candidate("whole", what, value.Mean * percent, [.. value.Passes.Select(p => p * percent)], [.. value.Source.CountedPasses], limit, false, view)],
            "%", value.Source.Survey, [new Figure("measured", value.Mean, unit), new Figure("rated", rated, unit)]);
    }

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var rated = input.Sources["rated"].Figure!.Calculated;
        if (rated <= 0)
        {
            throw new ArgumentException($"Model {input.Model} has no {rating.Lacks}: {rating.State}");
        }

        var source = MeasuredValues.Of(input, quantity).Values[0].Source;
        return PlannedParts.OfMeans(1, source.PassesPlanned, [InPercent(WorstValue.View(input, source, 0), rated)]);
    }

    private static RegisterView InPercent(RegisterView view, double rated) =>
        view with { Expanded = view.Expanded * 100 / rated, Sigma = view.Sigma * 100 / rated, Common = view.Common * 100 / rated };
}

/// <summary>A figure of the cut edge of every sample against the table of the standard at its thickness.</summary>
/// <remarks>Sources: docs/method/acceptance.md (ISO 9013). A sample may leave a value out that its thickness has no limit for only by another list of samples.</remarks>
public sealed class CutEdgeEvaluator : IEvaluator
{
    public string Kind => "cut-edge";

    public ImmutableArray<EvaluatorSource> Sources { get; } =
        [new EvaluatorSource("values", [], [PlaceKind.Whole]), new EvaluatorSource("thickness", ["length"], [PlaceKind.Whole])];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Table;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var table = input.Table ?? throw new ArgumentException($"{input.Characteristic.Line}: cut-edge needs a table of limits.");
        var unit = Units.Calculated(table.Unit);
        var (values, thickness) = (MeasuredValues.Of(input, "values"), MeasuredValues.Of(input, "thickness"));
        if (MeasuredValues.Lacking(input, unit, values, thickness) is { } lacking)
        {
            return lacking;
        }

        var candidates = ImmutableArray.CreateBuilder<Candidate>();
        foreach (var value in values.Values)
        {
            var plate = thickness.At(value.Label).Mean;
            var over = (decimal)(plate / (double)new Amount(1, table.OverUnit).Calculated);
            if (table.At(over) is not { } limit)
            {
                return EvaluationResult.Without(ResultState.Incomplete, unit, FormattableString.Invariant($"{table.Origin} has no limit at {over:0.###} {table.OverUnit} ({value.Label}); the contract must state one"),
                    new NextAction(NextKind.MendConditions, "Agree a limit in the contract, or cut another thickness.", []));
            }

            candidates.Add(new Candidate(
                value.Label, "cut edge", value.Mean, value.Passes, [.. value.Source.CountedPasses], new Amount(limit, table.Unit).Calculated, true,
                WorstValue.View(input, value.Source, value.Mean)));
        }

        return WorstValue.Of(input, candidates.ToImmutable(), unit, values.Values[0].Source.Survey, [], noAgain: "the cut is set up anew: focus, nozzle, gas, speed; cut the sample and one neighbouring thickness again");
    }
}
