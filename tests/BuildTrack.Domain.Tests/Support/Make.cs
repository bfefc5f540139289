using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Support;

/// <summary>Small records in memory.</summary>
internal static class Make
{
    public const string Day = "2026-03-02";
    public static readonly Instant Noon = new(1_772_452_800_000_000);

    /// <summary>The corners of a square metre: with z = ±v/2 across the diagonals both references give exactly v.</summary>
    public static readonly ImmutableArray<Station> Corners = [new("C1", 0, 0), new("C2", 1000, 0), new("C3", 0, 1000), new("C4", 1000, 1000)];

    public static double[] Saddle(double value) => [value / 2, -value / 2, -value / 2, value / 2];

    public static Amount Um(double value) => new((decimal)value, "µm");

    public static RegisterEntry Instrument(string use, double u, double? random = null, double? common = null, string validTo = "2026-12-31", string quantity = "height") => new(
        "HGT-1", "Height gauge", "1", quantity, "µm",
        [new RegisterFigure(use, null, Um(u), null, 2, random is { } r ? Um(r) : null, common is { } c ? Um(c) : null)], "2026-01-01", validTo, "K", InstrumentState.InService, 1);

    public static Reading Reading(long id, string station, double um, string person = "tom", long? supersedes = null, string column = "z") => new(
        id, Place.At(station), column,
        new ReadingValue(ValueKind.Number, FormattableString.Invariant($"{um}"), "µm", (long)Math.Round(um * 1000), null, null), Noon, person, EntryRoute.Typed, supersedes, supersedes is null ? null : "why");

    public static Run Run(long id, int no, RegisterEntry? instrument, IEnumerable<(string Station, double Um)> values, string column = "z", string person = "tom") => new(
        id, no, RunKind.Pass, null, null, person, [], Day, instrument is null ? [] : [instrument], [], null, [], null, null, Noon, Noon, null, null,
        [.. values.Select((v, i) => Reading((id * 100) + i, v.Station, v.Um, person, column: column))]);

    public static Run Again(long id, int no, RegisterEntry instrument, string line, IEnumerable<(WeightedPlace Place, double Um)> values) =>
        Run(id, no, instrument, values.Select(v => (v.Place.Place, v.Um))) with { Kind = RunKind.ContactsAgain, Proves = line, Weights = [.. values.Select(v => v.Place)] };

    public static EvaluationInput Flatness(
        double limit, DecisionRule rule, string reference, ImmutableArray<Station> stations, int passes, Amount? gradient, bool needsGradient, params IEnumerable<Run> runs) => new(
        Evaluators.Engine, "X-1", "M", new Characteristic("flat", "100-01", "H1", "Flatness", "flatness", From("heights"), reference, "flat"), reference,
        new Requirement(Um(limit), null, null, null, rule, "company standard", "A", null), null, gradient,
        Sources("heights", "height", passes, needsGradient, stations, runs));

    public static EvaluationInput Least(double limit, DecisionRule rule, ImmutableArray<Station> stations, params IEnumerable<Run> runs) => new(
        Evaluators.Engine, "X-1", "M", new Characteristic("least", "100-09", "H1", "Least", "least-value", From("values"), null, "least"), null,
        new Requirement(null, Um(limit), null, null, rule, "company standard", "A", null), null, null,
        Sources("values", "height", 1, false, stations, runs));

    private static ImmutableSortedDictionary<string, SourceRef> From(string name) =>
        ImmutableSortedDictionary<string, SourceRef>.Empty.Add(name, new SourceRef("s", "z", null, null));

    private static ImmutableSortedDictionary<string, Source> Sources(
        string name, string quantity, int passes, bool needsGradient, ImmutableArray<Station> stations, IEnumerable<Run> runs) =>
        ImmutableSortedDictionary<string, Source>.Empty.Add(name, new Source(
            new SurveySource(1, 1, "s", "z", quantity, passes, needsGradient, null, stations, [.. runs]), null, null));

    /// <summary>A machine with one hold point H1, one survey "s" and one flatness of the four corners.</summary>
    public static MachineRecord Machine(params Measurement[] measurements)
    {
        var model = new MachineModel("M", "B", "Model", 1000, 1000, 100, null);
        var characteristic = new Characteristic("flat", "100-01", "H1", "Flatness", "flatness", From("heights"), "least-squares", "flat");
        var requirement = new Requirement(Um(30), null, null, null, DecisionRule.Guarded, "company standard", "A", null);
        var revision = new ChecklistRevision(
            new string('0', 64), "A", [new RouteStep(100, "Verify", "bench", [], ImmutableSortedDictionary<string, decimal>.Empty, [])], [new HoldPoint("H1", 100, "Bed"), new HoldPoint("H2", 100, "Empty")], [], [model],
            [new LayoutPlan("corners", null, Corners)],
            [new Survey("s", 100, "Heights", "corners", PlaceKind.At, [new Column("z", "Height", ValueKind.Number, "height", "µm", [])], 1, false, ["height"], [], false, null)],
            [characteristic], [new LimitSet("B", ImmutableSortedDictionary<string, Requirement>.Empty.Add("flat", requirement))], [],
            [new InvalidationRule("re-mill", "Milled again", ["s"]), new InvalidationRule("paint", "Painted", [])], [new WorkCentre("bench", "Bench")], [], [], [], []);
        var machine = new MachineRecord("X-1", model, "Somebody", revision, true, [], [.. measurements], [], [], [], [], [], Noon, 1);
        return Evaluated(machine);
    }

    /// <summary>The machine with its result calculated as an act would.</summary>
    public static MachineRecord Evaluated(MachineRecord machine)
    {
        var record = Evaluators.Evaluate(EvaluationInputs.For(machine, machine.Agreed().Single()));
        return machine with { Evaluations = [new StoredEvaluation(900, "100-01", record.Hash, Noon, record)] };
    }

    public static Measurement Measurement(long id, int no, params Run[] runs) => new(id, "s", null, no, 1, null, Noon, "tom", [.. runs]);

    /// <summary>A pass over the corners with a value of 10 µm: accepted at 30 µm with U = 2 µm.</summary>
    public static Run GoodPass(long id, string person = "tom") =>
        Run(id, 1, Instrument("small difference", 2), Corners.Select(c => c.Id).Zip(Saddle(10)), person: person);
}
