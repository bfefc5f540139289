using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating.Lines;
using BuildTrack.Domain.Evaluating.Values;

namespace BuildTrack.Domain.Evaluating;

/// <summary>A calculation: input in, answer out; the same input always gives the same answer.</summary>
public interface IEvaluator
{
    /// <summary>The word in a checklist's <c>evaluator:</c>.</summary>
    string Kind { get; }

    /// <summary>The sources it needs, and of which quantities each may be; empty where every source is a question with yes and no.</summary>
    ImmutableArray<EvaluatorSource> Sources { get; }

    /// <summary>The references it knows; empty where there is no choice.</summary>
    ImmutableArray<string> References { get; }

    /// <summary>The side of the value that its limit stands on.</summary>
    LimitSide Limit { get; }

    /// <summary>The unit it is calculated in; null: that of its readings.</summary>
    string? Unit => null;

    /// <summary>Whether the characteristic names the length of a stretch.</summary>
    bool NeedsWindow => false;

    /// <summary>The layout its readings must lie on, where that is no set of places on the machine: a log over time, a circular path; null for places. No other calculation takes such readings.</summary>
    LayoutShape? Needs => null;

    /// <summary>At how many different places along its layout it must be read at least; 1 where that is no question of the layout.</summary>
    int FewestStations => 1;

    EvaluationResult Evaluate(EvaluationInput input);
}

/// <summary>Which limits a calculation compares with.</summary>
public enum LimitSide
{
    Upper,
    Lower,

    /// <summary>Upper, lower, or both.</summary>
    Either,

    /// <summary>An upper limit that a table gives.</summary>
    Table,
}

/// <summary>What a source is.</summary>
public enum SourceKind
{
    Readings,
    Result,
    Figure,
}

/// <summary>A source a calculation needs.</summary>
/// <param name="Quantities">Quantities the column may have, or figures of the model that may stand here; empty for any.</param>
/// <param name="Places">Where the readings may have been taken; default: at stations.</param>
/// <param name="Stepped">Readings between stations are those of a level that steps along a line, not of any net.</param>
/// <param name="Optional">The calculation can do without it.</param>
public sealed record EvaluatorSource(
    string Name, ImmutableArray<string> Quantities, ImmutableArray<PlaceKind> Places = default, SourceKind Kind = SourceKind.Readings, bool Optional = false, bool Stepped = false);

/// <summary>All calculations by name. A new kind is one class more in this list.</summary>
public static class Evaluators
{
    /// <summary>Version of the calculations; it stands in every evaluation.</summary>
    public const string Engine = "6";

    private static readonly ImmutableArray<IEvaluator> All =
    [
        new FlatnessEvaluator(), new LeastValueEvaluator(), new AnswersEvaluator(), new StraightnessEvaluator(), new LocalStraightnessEvaluator(), new RangeEvaluator(),
        new DeviationFromMeanEvaluator(), new EndTwistEvaluator(), new LocalTwistEvaluator(), new LevelEvaluator(), new PlainValueEvaluator(), new DifferenceEvaluator(),
        new ChangeEvaluator(), new DiagonalsEvaluator(), new PositioningEvaluator(), new CoatingEvaluator(), PartOfRatedEvaluator.Power, PartOfRatedEvaluator.CoolantFlow, new PowerDriftEvaluator(), new CutEdgeEvaluator(), new LevelNetworkEvaluator(),
        new StoppingTimeEvaluator(), new GasSupplyEvaluator(), new BondingEvaluator(), new LeakTestEvaluator(), new CoolantEvaluator(), new UnbalanceEvaluator(),
        new SquareReversalEvaluator(), new TwoMethodsEvaluator(), new CircularEvaluator(), new RackJointsEvaluator(), new FocusDiameterEvaluator(), new FocusSymmetryEvaluator(), new KerfEvaluator(),
    ];

    public static ImmutableArray<string> Kinds { get; } = [.. All.Select(e => e.Kind).Order(StringComparer.Ordinal)];

    /// <summary>The calculation of this name, or null.</summary>
    public static IEvaluator? Find(string kind) => All.SingleOrDefault(e => e.Kind == kind);

    /// <summary>Calculates the answer for an input.</summary>
    /// <exception cref="ArgumentException">There is no such calculation.</exception>
    public static EvaluationRecord Evaluate(EvaluationInput input)
    {
        var evaluator = Find(input.Characteristic.Evaluator)
            ?? throw new ArgumentException($"There is no calculation '{input.Characteristic.Evaluator}'; known: {string.Join(", ", Kinds)}.");
        return new EvaluationRecord(input, evaluator.Evaluate(input));
    }
}
