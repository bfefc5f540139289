using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating.Lines;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Every value within an upper limit, a lower one, or both: lift on unclamping, a joint's step, the voltages between three phases.</summary>
public sealed class PlainValueEvaluator : IEvaluator, IPlanned
{
    public const string Name = "plain-value";

    public string Kind => Name;

    /// <summary>Further columns are judged with the first by the same limit; where there are several, each value is named by its column.</summary>
    public ImmutableArray<EvaluatorSource> Sources { get; } =
        [new EvaluatorSource("values", [], [PlaceKind.At, PlaceKind.Whole]), .. new[] { "second", "third", "fourth" }.Select(n => new EvaluatorSource(n, [], [PlaceKind.At, PlaceKind.Whole], Optional: true))];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Either;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var (upper, lower) = (input.Requirement.Upper?.Calculated, input.Requirement.Lower?.Calculated);
        var unit = Units.Calculated((input.Requirement.Upper ?? input.Requirement.Lower)?.Unit ?? throw new ArgumentException($"{input.Characteristic.Line}: plain-value needs a limit."));
        var all = All(input);
        if (MeasuredValues.Lacking(input, unit, all) is { } lacking)
        {
            return lacking;
        }

        var values = Named(all);
        var largest = values.Max(v => Math.Abs(v.Mean));
        var candidates = values.SelectMany(v => new[] { (Limit: upper, Upward: true), (Limit: lower, Upward: false) }.Where(l => l.Limit is not null)
            .Select(l => new Candidate(v.Label, "value", v.Mean, v.Passes, [.. v.Source.CountedPasses], l.Limit!.Value, l.Upward, WorstValue.View(input, v.Source, largest)))).ToImmutableArray();
        return WorstValue.Of(
            input, candidates, unit, values[0].Source.Survey, values.Length == 1 ? [] : [new Figure("least", values.Min(v => v.Mean), unit), new Figure("largest", values.Max(v => v.Mean), unit)]);
    }

    // A value at its limit.
    double IPlanned.StandIn(string source, MachineModel model, Requirement requirement) => (requirement.Upper ?? requirement.Lower)?.Calculated ?? 0;

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var values = Named(All(input));
        var largest = values.Max(v => Math.Abs(v.Mean));
        return PlannedParts.OfMeans(values.Length, values[0].Source.PassesPlanned, [.. values.Select(v => v.Source).Distinct().Select(s => WorstValue.View(input, s, largest))]);
    }

    private MeasuredValues[] All(EvaluationInput input) => [.. Sources.Where(s => !s.Optional || MeasuredLine.SourcesOf(input, s.Name).Any()).Select(s => MeasuredValues.Of(input, s.Name))];

    private static ImmutableArray<MeasuredValue> Named(MeasuredValues[] all) => all.Length == 1 ? all[0].Values :
        [.. all.SelectMany(a => a.Values).Select(v => v with { Label = v.Label == "whole" ? v.Source.Column : $"{v.Source.Column} {v.Label}" })];
}

/// <summary>Difference of two values, without sign: the two diagonals of a welded frame; at several places the largest: three targets cold and hot.</summary>
public sealed class DifferenceEvaluator : IEvaluator, IPlanned
{
    public const string Name = "difference";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("first", [], [PlaceKind.Whole, PlaceKind.At]), new EvaluatorSource("second", [], [PlaceKind.Whole, PlaceKind.At])];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: difference needs an upper limit.");
        var unit = Units.Calculated(limit.Unit);
        var (first, second) = (MeasuredValues.Of(input, "first"), MeasuredValues.Of(input, "second"));
        if (MeasuredValues.Lacking(input, unit, first, second) is { } lacking)
        {
            return lacking;
        }

        if (first.Values.FirstOrDefault(v => second.Values.All(o => o.Label != v.Label)) is { } alone)
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, unit, $"{alone.Label} has no second value", new NextAction(NextKind.MendConditions, "State two columns of one layout in the checklists.", []));
        }

        // What one set-up shares, a wrong scale above all, goes out of a difference of two near lengths; two independent random parts do not, nor two roundings.
        var pairs = first.Values.Select(one => (One: one, Other: second.At(one.Label))).ToArray();
        var candidates = pairs.Select(p => new Candidate(
            p.One.Label, "difference", Math.Abs(p.One.Mean - p.Other.Mean), p.One.Passes.Length == p.Other.Passes.Length ? [.. p.One.Passes.Zip(p.Other.Passes, (a, b) => Math.Abs(a - b))] : [],
            [.. p.One.Source.CountedPasses], limit.Calculated, true, View(input, p.One, p.Other))).ToImmutableArray();
        return WorstValue.Of(
            input, candidates, unit, pairs[0].One.Source.Survey, pairs is [var (one, other)] ? [new Figure("first", one.Mean, unit), new Figure("second", other.Mean, unit)] : [], signed: false);
    }

    // A diagonal as long as that of the rail seats.
    double IPlanned.StandIn(string source, MachineModel model, Requirement requirement) =>
        1000 * Math.Sqrt((model.SeatLengthMm * model.SeatLengthMm) + (model.GaugeMm * model.GaugeMm));

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var (first, second) = (MeasuredValues.Of(input, "first").Values, MeasuredValues.Of(input, "second").Values);
        var (one, other) = (first[0], second[0]);
        return PlannedParts.OfUnsigned(one.Source.PassesPlanned, View(input, one, other), first.Length);
    }

    /// <summary>Of the difference of two values: both random parts and both roundings, and nothing of what one set-up shares.</summary>
    internal static RegisterView View(EvaluationInput input, MeasuredValue one, MeasuredValue other)
    {
        var largest = Math.Max(Math.Abs(one.Mean), Math.Abs(other.Mean));
        var view = RegisterView.Worst([WorstValue.View(input, one.Source, largest), WorstValue.View(input, other.Source, largest)]);
        return view with { Expanded = (Math.Sqrt(2) * view.K * view.Sigma) + view.Digit, Sigma = Math.Sqrt(2) * view.Sigma, Common = view.Digit };
    }
}

/// <summary>How far a result moved between two steps, without sign: flatness after the oven against before.</summary>
/// <remarks>docs/method/verdict.md: a change is a difference of values. Each reach holds its own common part, so their root sum of squares is never too small.</remarks>
public sealed class ChangeEvaluator : IEvaluator
{
    public const string Name = "change-of-result";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } =
        [new EvaluatorSource("before", [], Kind: SourceKind.Result), new EvaluatorSource("now", [], Kind: SourceKind.Result)];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: change-of-result needs an upper limit.");
        var unit = Units.Calculated(limit.Unit);
        var (before, now) = (input.Sources["before"].Result!, input.Sources["now"].Result!);
        var record = new NextAction(NextKind.Record, $"Measure {(before.Value is null ? before.Line : now.Line)}.", []);
        if (now.Value is null)
        {
            return EvaluationResult.Without(ResultState.NotMeasured, unit, $"{now.Line} has no result yet", record);
        }

        if (before.Value is null)
        {
            return EvaluationResult.Without(ResultState.Incomplete, unit, $"{before.Line} has no result to compare with", record);
        }

        var reach = Math.Sqrt(Square(before.ReachAbove) + Square(now.ReachAbove));
        var sigma = reach / Metrology.Verdicts.Quantiles.Normal95;
        return WorstValue.Of(
            input, [new Candidate("whole", $"change from {before.Line} to {now.Line}", Math.Abs(now.Value.Value - before.Value.Value), [], [], limit.Calculated, true, new RegisterView(2 * sigma, 2, sigma, 0, []))],
            unit, now.Line, [new Figure("before", before.Value.Value, unit), new Figure("now", now.Value.Value, unit)], signed: false,
            noAgain: "it moved more than is allowed; repeat the whole set, then the engineer decides");
    }

    private static double Square(double? reach) => (reach ?? 0) * (reach ?? 0);
}
