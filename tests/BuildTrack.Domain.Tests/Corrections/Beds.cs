using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Corrections;

/// <summary>Machines with one check that can be corrected.</summary>
internal static class Beds
{
    private static readonly ImmutableArray<CorrectionFigure> Figures =
    [
        Figure(CorrectionFigure.FootTravel, 0.5m, "mm"), Figure(CorrectionFigure.FootSmallest, 0.02m, "mm"), Figure(CorrectionFigure.FootStep, 0.04m, "mm"), Figure(CorrectionFigure.FootRounds, 3, "1"),
        Figure(CorrectionFigure.FootHours, 2, "h"), Figure(CorrectionFigure.PushHours, 4, "h"), Figure(CorrectionFigure.OffsetHours, 2, "h"), Figure(CorrectionFigure.JointHours, 1.5m, "h"),
    ];

    /// <summary>Six feet under six stations, three along each seat.</summary>
    public static readonly ImmutableArray<Station> OverFeet = [new("S1", 250, 0), new("S2", 2000, 0), new("S3", 3750, 0), new("S4", 250, 1750), new("S5", 2000, 1750), new("S6", 3750, 1750)];

    /// <summary>A bed with these heights over its six feet, µm; 50 µm allowed, U = 2 µm.</summary>
    public static MachineRecord OnFeet(params double[] heightsUm)
    {
        var check = Make.Machine().Agreed("H1").Single().Characteristic;
        return Of(check, new Survey("s", 100, "Heights", "corners", PlaceKind.At, [new Column("z", "Height", ValueKind.Number, "height", "µm", [])], 1, false, ["height"], [], false, null), OverFeet, 50, "foot-move", Pass(1, heightsUm));
    }

    /// <summary>Measured once more.</summary>
    public static MachineRecord Again(MachineRecord machine, long id, params double[] heightsUm) => Make.Evaluated(machine with { Measurements = [.. machine.Measurements, Pass(id, heightsUm)] });

    public static Measurement Pass(long id, double[] values) =>
        Make.Measurement(id, (int)id, Make.Run(id + 1, 1, Make.Instrument("small difference", 2), OverFeet.Select((s, i) => (s.Id, values[i]))));

    /// <summary>A machine with one check over stations along X.</summary>
    public static MachineRecord Along(string evaluator, string source, string? reference, string quantity, string unit, double limit, string change, params double[][] passes)
    {
        ImmutableArray<Station> stations = [.. passes[0].Select((_, i) => new Station($"R1-{i + 1}", i * 1000, 0))];
        var check = Make.Machine().Agreed("H1").Single().Characteristic with { Evaluator = evaluator, Reference = reference, From = ImmutableSortedDictionary<string, SourceRef>.Empty.Add(source, new SourceRef("s", "z", null, null)) };
        var instrument = Make.Instrument("absolute", 2, quantity: quantity);
        return Of(
            check, new Survey("s", 100, "Survey", "corners", PlaceKind.At, [new Column("z", "Value", ValueKind.Number, quantity, unit, [])], passes.Length, false, [quantity], [], false, null), stations, limit, change,
            new Measurement(1, "s", null, 1, passes.Length, null, Make.Noon, "tom", [.. passes.Select((p, n) => Make.Run(10 + n, n + 1, instrument, stations.Select((s, i) => (s.Id, p[i]))))]));
    }

    /// <summary>A rectangle of 4 m × 2 m that leans by this angle, from its diagonals (d1 − d2 = 2 · angle · x · y / d).</summary>
    public static MachineRecord Leaning(double angleUmPerM)
    {
        string[] names = ["d1", "d2", "x1", "y1", "x2", "y2"];
        double d = Math.Sqrt((4000.0 * 4000) + (2000.0 * 2000)), half = angleUmPerM * 1e-6 * 4000 * 2000 / d;
        double[] mm = [d + half, d - half, 4000, 2000, 4000, 2000];
        var check = Make.Machine().Agreed("H1").Single().Characteristic with
        {
            Evaluator = "diagonals", Reference = null, From = names.ToImmutableSortedDictionary(n => n, n => new SourceRef("s", n, null, null)).Add("gauge", new SourceRef(null, null, null, "gauge")),
        };
        var run = Make.Run(10, 1, Make.Instrument("absolute", 8, 5, 6, quantity: "length"), []) with
        {
            Readings = [.. names.Select((n, i) => new Reading(100 + i, Place.Whole, n, new ReadingValue(ValueKind.Number, "0", "mm", (long)Math.Round(mm[i] * 1e6), null, null), Make.Noon, "tom", EntryRoute.Typed, null, null))],
        };
        return Of(
            check, new Survey("s", 100, "Diagonals", null, PlaceKind.Whole, [.. names.Select(n => new Column(n, n, ValueKind.Number, "length", "mm", []))], 1, false, ["length"], [], false, null), [], 40, "gantry-shift",
            new Measurement(1, "s", null, 1, 1, null, Make.Noon, "tom", [run]), "µm/m");
    }

    public static CharacteristicStanding Standing(MachineRecord machine) => machine.StandingOf(machine.Agreed("H1").Single());

    private static MachineRecord Of(Characteristic check, Survey survey, ImmutableArray<Station> stations, double limit, string change, Measurement measurement, string unit = "µm")
    {
        var machine = Make.Machine();
        var model = machine.Model with { GaugeMm = 1750, FeetMm = [250, 2000, 3750], FootPitch = new Amount(2, "mm") };
        var requirement = new Requirement(new Amount((decimal)limit, unit), null, null, null, DecisionRule.Guarded, "company standard", "A", null);
        return Make.Evaluated(machine with
        {
            Model = model,
            Measurements = [measurement],
            Revision = machine.Revision with
            {
                Models = [model], Characteristics = [check], Surveys = [survey], Layouts = [new LayoutPlan("corners", null, stations)], Corrections = Figures,
                Limits = [new LimitSet("B", ImmutableSortedDictionary<string, Requirement>.Empty.Add("flat", requirement))],
                Invalidation = [new InvalidationRule(change, "Worked on", ["s"]), new InvalidationRule("re-mill", "Milled again", ["s"])],
            },
        });
    }

    private static CorrectionFigure Figure(string id, decimal value, string unit) => new(id, id, new Amount(value, unit), "test", "T");
}
