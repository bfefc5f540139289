using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Planning;

/// <summary>A gantry with a frame, two diagonals, an axis and a net of rises over its seats: what is planned, and what is then measured.</summary>
internal static class Gantry
{
    public const double TravelMm = 2500, GaugeMm = 1500;

    public static readonly ImmutableArray<string> Lengths = ["d1", "d2", "x1", "y1", "x2", "y2"];

    public static readonly ImmutableArray<Station> Seats = [.. Surveyed.Line(7, 500, 0, "R1"), .. Surveyed.Line(7, 500, GaugeMm, "R2")];

    public static ImmutableSortedDictionary<string, decimal> Limits { get; } = new Dictionary<string, decimal>
    {
        ["difference"] = 2000, ["squareness"] = 40, ["accuracy-A"] = 60, ["systematic-E"] = 60, ["repeatability-R"] = 30, ["reversal-B"] = 20, ["mean-M"] = 60,
        ["travel-E"] = 80, ["travel-R"] = 30, ["net-least-squares"] = 50, ["net-minimum-zone"] = 50, ["rises"] = 50,
    }.ToImmutableSortedDictionary(StringComparer.Ordinal);

    public static MachineRecord Machine(DecisionRule rule = DecisionRule.Guarded)
    {
        static SourceRef From(string survey, string column) => new(survey, column, null, null);
        static Column Number(string id, string quantity, string unit) => new(id, id, ValueKind.Number, quantity, unit, []);
        var no = 1;
        Characteristic Check(string id, string evaluator, string? reference, params IEnumerable<(string Name, SourceRef From)> from) => new(
            id, FormattableString.Invariant($"100-{no++:00}"), "H1", id, evaluator, from.ToImmutableSortedDictionary(f => f.Name, f => f.From, StringComparer.Ordinal), reference, id);
        Characteristic Positioning(string id, string survey, string reference) =>
            Check(id, "positioning", reference, ("forward", From(survey, "forward")), ("backward", From(survey, "backward")));
        Requirement Of(string id) =>
            new(new Amount(Limits[id], id == "squareness" ? "µm/m" : "µm"), null, null, null, rule, "company standard", "A", null);
        var model = new MachineModel("M", "B", "Model", 3000, GaugeMm, 500, null, TravelMm);
        var position = ImmutableArray.Create(Number("forward", "position", "µm"), Number("backward", "position", "µm"));
        var revision = new ChecklistRevision(
            new string('0', 64), "A", [new RouteStep(100, "Verify", "bench", [], ImmutableSortedDictionary<string, decimal>.Empty, [])], [new HoldPoint("H1", 100, "Gantry")], [], [model],
            [
                new LayoutPlan("seats", null, Seats), new LayoutPlan("window", 200, [], LayoutShape.Targets, 2000), new LayoutPlan("travel", 250, [], LayoutShape.Targets),
            ],
            [
                new Survey("frame", 100, "Frame", null, PlaceKind.Whole, [Number("d1", "length", "mm"), Number("d2", "length", "mm")], 2, false, ["length"], [], false, null),
                new Survey("marked", 100, "Marked", null, PlaceKind.Whole, [.. Lengths.Select(l => Number(l, "length", "mm"))], 1, false, ["length"], [], false, null),
                new Survey("window", 100, "Window", "window", PlaceKind.At, position, 5, false, ["position"], [], false, null),
                new Survey("travel", 100, "Travel", "travel", PlaceKind.At, position, 1, false, ["position"], [], false, null),
                new Survey("net", 100, "Net", "seats", PlaceKind.Between, [Number("s", "slope", "µm/m")], 2, false, ["slope"], [], false, null),
                new Survey("rises", 100, "Rises", "seats", PlaceKind.Between, [Number("s", "height", "µm")], 1, false, ["height"], [], false, null),
            ],
            [
                Check("difference", "difference", null, ("first", From("frame", "d1")), ("second", From("frame", "d2"))),
                Check("squareness", "diagonals", null, Lengths.Select(l => (l, From("marked", l)))),
                Positioning("accuracy-A", "window", "accuracy-A"), Positioning("systematic-E", "window", "systematic-E"), Positioning("repeatability-R", "window", "repeatability-R"),
                Positioning("reversal-B", "window", "reversal-B"), Positioning("mean-M", "window", "mean-M"), Positioning("travel-E", "travel", "systematic-E"),
                Positioning("travel-R", "travel", "repeatability-R"), Check("net-least-squares", "network-flatness", "least-squares", ("rises", From("net", "s"))),
                Check("net-minimum-zone", "network-flatness", "minimum-zone", ("rises", From("net", "s"))), Check("rises", "network-flatness", "least-squares", ("rises", From("rises", "s"))),
            ],
            [new LimitSet("B", Limits.Keys.ToImmutableSortedDictionary(l => l, Of, StringComparer.Ordinal))], [], [], [new WorkCentre("bench", "Bench")], [], [], [], []);
        return new MachineRecord("X-1", model, "Somebody", revision, true, [], [], [], [], [], [], [], Make.Noon, 1);
    }

    public static AgreedCharacteristic Check(this MachineRecord machine, string id) => machine.Agreed().Single(a => a.Characteristic.Id == id);

    public static RegisterEntry Tracker(double random, double common) =>
        Surveyed.Instrument("length", "mm", "absolute", new Amount(20, "µm"), new Amount((decimal)random, "µm"), new Amount((decimal)common, "µm"));

    public static RegisterEntry Laser(double random, double common) =>
        Surveyed.Instrument("position", "µm", "small difference", new Amount(4, "µm"), new Amount((decimal)random, "µm"), new Amount((decimal)common, "µm"));

    public static RegisterEntry Level(double random, double common) =>
        Surveyed.Instrument("slope", "µm/m", "slope", new Amount(4, "µm/m"), new Amount((decimal)random, "µm/m"), new Amount((decimal)common, "µm/m"));

    /// <summary>The result of a survey whose runs read this: run, column, place → value in the unit of the instrument.</summary>
    public static EvaluationResult Measure(
        this MachineRecord machine, string id, RegisterEntry instrument, ImmutableArray<(string Column, string Place)> places, Func<int, int, double> read)
    {
        var agreed = machine.Check(id);
        var survey = machine.Revision.Survey(agreed.Characteristic.From.Values.First(f => f.Survey is not null).Survey!);
        var runs = Enumerable.Range(1, survey.Passes).Select(no => Surveyed.Run(no, instrument, "", [], []) with
        {
            Readings =
            [
                .. places.Select((p, i) => new Reading(
                    (no * 10_000) + i, Place.Parse(p.Place), p.Column, Surveyed.Value(read(no - 1, i), instrument.Unit), Make.Noon, "tom", EntryRoute.Typed, null, null)),
            ],
        });
        var measured = machine with { Measurements = [new Measurement(1, survey.Id, null, 1, survey.Passes, null, Make.Noon, "tom", [.. runs])] };
        return Evaluators.Evaluate(EvaluationInputs.For(measured, agreed)).Result;
    }

    public static ImmutableArray<(string Column, string Place)> Whole(params IEnumerable<string> columns) => [.. columns.Select(c => (c, "whole"))];

    /// <summary>Both columns of an axis at every target.</summary>
    public static ImmutableArray<(string Column, string Place)> Targets(MachineRecord machine, string layout) =>
    [
        .. machine.Revision.Layouts.Single(l => l.Id == layout).StationsFor(machine.Model).SelectMany(s => new[] { ("forward", s.Id), ("backward", s.Id) }),
    ];

    /// <summary>Every neighbour along both seats, then across: as a plan takes it for granted.</summary>
    public static ImmutableArray<(string Column, string Place)> Net { get; } =
    [
        .. ChecklistRevision.Joins(Seats).Concat(Enumerable.Range(0, 7).Select(i => Place.Between(Seats[i].Id, Seats[i + 7].Id))).Select(p => ("s", p.Key)),
    ];
}
