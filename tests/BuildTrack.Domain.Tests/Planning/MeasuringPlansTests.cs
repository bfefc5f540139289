using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Planning;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Planning;

/// <summary>Plans of a small bed: the figures that a result would have, the cheapest plan, and what no instrument can prove. Figures: docs/method/planning.md.</summary>
public sealed class MeasuringPlansTests
{
    private static readonly RegisterEntry Tracker = Entry("TRK-1", "Tracker", "height", "µm", Figure("small difference", 6, 4, 2));
    private static readonly RegisterEntry Level = Entry("LVL-1", "Level pair", "slope", "µm/m", Figure("slope", 3, 2.6, 0.5));
    private static readonly RegisterEntry Coarse = Entry("VIL-1", "Vial level", "slope", "µm/m", Figure("slope", 40, null, null));
    private static readonly RegisterEntry Thickness = Entry("UTG-1", "Thickness gauge", "thickness", "µm", Figure("absolute", 50, null, null));

    [Theory]
    [InlineData("100-01")]
    [InlineData("100-02")]
    [InlineData("100-03")]
    [InlineData("100-04")]
    [InlineData("100-05")]
    [InlineData("100-06")]
    [InlineData("100-07")]
    public void A_plan_has_the_figures_that_the_result_then_has(string line)
    {
        var bed = Bed();
        var agreed = bed.Agreed().Single(a => a.Characteristic.Line == line);
        var plan = MeasuringPlans.Of(bed, agreed, [Tracker, Level, Thickness], Make.Day).Plans.Single(p => p.AsListed);
        var machine = Measured(bed);
        var result = Evaluators.Evaluate(EvaluationInputs.For(machine, machine.Agreed().Single(a => a.Characteristic.Line == line))).Result;
        Assert.Equal(ResultState.Calculated, result.State);
        Assert.Equal(result.ExpandedUncertainty!.Value, plan.Expanded, 9);
        Assert.Equal(result.K!.Value, plan.K);
        Assert.Equal(result.AcceptBand!.Value, plan.Proof.AcceptBand, 9);
        Assert.Equal(result.Unit, MeasuringPlans.Of(bed, agreed, [], Make.Day).Unit);
    }

    [Fact]
    public void The_worked_example_of_the_method_comes_out()
    {
        // Flatness of 2 × 13 pads, limit 50 µm, guarded; U = 6 µm, random 4 µm, common 2 µm, k = 2.
        var answer = Answer("100-01", [Tracker]);
        Assert.Equal([26, 52, 78, 104], answer.Plans.Select(p => p.Readings));
        var one = answer.Plans[0];
        Assert.Equal(6, one.Expanded);
        Assert.Equal(44, one.Proof.AcceptUpTo!.Value, 9);

        // σ of one height 4/2/√2 = 1.41 µm. An independent simulation by bisection, 6000 beds with another generator, gave 35.61 µm; both are good to some 0.1 µm.
        Assert.Equal(35.61, one.Proof.Widest!.Value, 0.2);
        Assert.Equal(one, answer.Best);
        Assert.True(one.Enough);
        Assert.StartsWith("Yes: TRK-1, 1 pass, 26 readings; accepted up to 44.0 µm, 7", answer.Sentence, StringComparison.Ordinal);
        Assert.StartsWith("The random part of TRK-1 (Tracker) gives 6", one.Takes, StringComparison.Ordinal);
        Assert.Contains("3 more passes", one.Takes, StringComparison.Ordinal);
        Assert.True(answer.Plans.Zip(answer.Plans.Skip(1)).All(p => p.Second.Proof.Widest > p.First.Proof.Widest));
    }

    [Fact]
    public void Both_directions_are_planned_in_pairs_and_a_longer_base_takes_fewer_readings()
    {
        var answer = Answer("100-02", [Level]);
        Assert.Equal([2, 4], answer.Plans.Select(p => p.Passes).Distinct().Order());
        Assert.Equal([250.0, 500.0], answer.Plans.Select(p => p.BaseMm!.Value).Distinct().Order());
        Assert.Equal([24, 48, 48, 96], answer.Plans.Select(p => p.Readings));
        Assert.Single(answer.Plans, p => p.AsListed);
        Assert.True(answer.Best!.Enough);
        Assert.Equal(24, answer.Best.Readings);
        Assert.Equal(answer.Best, answer.Plans.First(p => p.Enough));
    }

    [Fact]
    public void What_no_instrument_can_prove_is_said_with_the_nearest()
    {
        var answer = Answer("100-02", [Coarse]);
        Assert.All(answer.Plans, p => Assert.False(p.Enough));
        Assert.StartsWith("Cannot be proved with any registered instrument so that 50 % of the limit is left; nearest is VIL-1", answer.Sentence, StringComparison.Ordinal);
        Assert.Equal(answer.Plans.Max(p => p.Proof.Share), answer.Best!.Proof.Share);

        // Less is asked for, and more: the same plans, another answer.
        var bed = Bed();
        var tracked = bed.Agreed().Single(a => a.Characteristic.Line == "100-01");
        Assert.True(MeasuringPlans.Of(bed, tracked, [Tracker], Make.Day, 0.6).Best!.Enough);
        Assert.False(MeasuringPlans.Of(bed, tracked, [Tracker], Make.Day, 0.95).Best!.Enough);
        Assert.Throws<ArgumentOutOfRangeException>(() => MeasuringPlans.Of(bed, tracked, [Tracker], Make.Day, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => MeasuringPlans.Of(bed, tracked, [Tracker], Make.Day, double.NaN));
    }

    [Fact]
    public void An_expired_instrument_and_a_figure_of_another_use_are_not_counted()
    {
        var expired = Tracker with { Id = "TRK-2", ValidTo = "2026-01-31" };
        var absolute = Entry("HGT-9", "Height gauge", "height", "µm", Figure("absolute", 2, null, null));
        var answer = Answer("100-01", [expired, absolute, Level]);
        Assert.Empty(answer.Plans);
        Assert.Null(answer.Best);
        Assert.Equal(["TRK-2", "HGT-9"], answer.Unused.Select(u => u.Instrument));
        Assert.Contains("expired on 2026-01-31", answer.Unused[0].Because, StringComparison.Ordinal);
        Assert.Contains("no uncertainty of HGT-9 for 'small difference'", answer.Unused[1].Because, StringComparison.Ordinal);
        Assert.StartsWith("Cannot be proved", answer.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_figure_stated_as_standard_uncertainty_counts_as_it_is_stated()
    {
        // u = 3 µm through k = 1 is U = 6 µm through k = 2; the guard band is the U of the register.
        var single = Entry("TRK-3", "Tracker", "height", "µm", new RegisterFigure("small difference", null, Make.Um(3), null, 1, Make.Um(2), Make.Um(2)));
        var (one, two) = (Answer("100-01", [single]).Plans[0], Answer("100-01", [Tracker]).Plans[0]);
        Assert.Equal((3, 1.0), (one.Expanded, one.K));
        Assert.Equal((6, 2.0), (two.Expanded, two.K));
        Assert.Equal(two.Proof.AcceptBand - two.Proof.RulePart, one.Proof.AcceptBand - one.Proof.RulePart, 9);
    }

    [Fact]
    public void Questions_and_comparisons_have_no_plan()
    {
        var answer = Answer("100-09", [Tracker]);
        Assert.Equal("It compares two other results: plan those; its uncertainty follows from theirs.", answer.WhyNone);
        Assert.Empty(answer.Plans);
    }

    [Fact]
    public void The_limits_that_nothing_in_the_register_proves_are_listed_by_class()
    {
        var revision = Bed().Revision;
        Assert.Empty(MeasuringPlans.Unprovable(revision, [Tracker, Level, Thickness], Make.Day));
        var tight = revision with { Limits = [revision.Limits[0] with { Requirements = revision.Limits[0].Requirements.SetItem("flat", AtMost(6)) }] };
        var found = Assert.Single(MeasuringPlans.Unprovable(tight, [Tracker, Level, Thickness], Make.Day));
        Assert.Equal(("B", "M", "100-01"), (found.Class, found.Model, found.Line));
        Assert.StartsWith("the band that acceptance must leave is not below the limit: nearest TRK-1, 4 passes, U 6.0 µm", found.Because, StringComparison.Ordinal);
        Assert.Equal(["100-01", "100-03"], MeasuringPlans.Unprovable(revision, [Level, Thickness], Make.Day).Select(u => u.Line));
    }

    [Fact]
    public void What_takes_most_of_the_limit_is_the_largest_part()
    {
        foreach (var (random, common, word) in new[] { (4.0, 0.5, "random part"), (0.5, 5.0, "common part"), (0.5, 0.5, "rule's band") })
        {
            var plan = Answer("100-01", [Entry("T", "Tracker", "height", "µm", Figure("small difference", 6, random, common))]).Plans[0];
            Assert.Contains(word, plan.Takes, StringComparison.Ordinal);
            Assert.Equal(50 - plan.Proof.Widest!.Value, plan.Proof.RandomPart + plan.Proof.CommonPart + plan.Proof.RulePart, 9);
        }
    }

    private static PlanAnswer Answer(string line, ImmutableArray<RegisterEntry> register)
    {
        var bed = Bed();
        return MeasuringPlans.Of(bed, bed.Agreed().Single(a => a.Characteristic.Line == line), register, Make.Day);
    }

    private static Requirement AtMost(double um) => new(Make.Um(um), null, null, null, DecisionRule.Guarded, "company standard", "A", null);

    private static RegisterFigure Figure(string use, double u, double? random, double? common)
    {
        Amount Of(double v) => new((decimal)v, use == "slope" ? "µm/m" : "µm");
        return new RegisterFigure(use, null, Of(u), null, 2, random is { } r ? Of(r) : null, common is { } c ? Of(c) : null);
    }

    private static RegisterEntry Entry(string id, string name, string quantity, string unit, RegisterFigure figure) =>
        new(id, name, "1", quantity, unit, [figure], "2026-01-01", "2026-12-31", "K", InstrumentState.InService, 1);

    /// <summary>A bed of 3 m by 1.5 m with heights, a level along both rails, one across, and thickness.</summary>
    private static MachineRecord Bed()
    {
        static ImmutableSortedDictionary<string, SourceRef> From(string name, string survey, string column) =>
            ImmutableSortedDictionary<string, SourceRef>.Empty.Add(name, new SourceRef(survey, column, null, null));
        static Characteristic Check(string id, int no, string evaluator, ImmutableSortedDictionary<string, SourceRef> from, string? reference, Amount? window = null) =>
            new(id, FormattableString.Invariant($"100-{no:00}"), "H1", id, evaluator, from, reference, id, window);
        static Column Number(string id, string quantity, string unit) => new(id, id, ValueKind.Number, quantity, unit, []);
        var model = new MachineModel("M", "B", "Model", 3000, 1500, 500, null);
        var heights = From("heights", "heights", "z");
        var limits = new Dictionary<string, Requirement>
        {
            ["flat"] = AtMost(50), ["straight"] = AtMost(30), ["local"] = AtMost(30), ["twist"] = new(new Amount(30, "µm/m"), null, null, null, DecisionRule.OneSided95, "company standard", "A", null),
            ["thick"] = new(null, new Amount(16, "mm"), null, null, DecisionRule.Guarded, "company standard", "A", null),
            ["size"] = new(new Amount(17, "mm"), new Amount(15, "mm"), null, null, DecisionRule.Guarded, "company standard", "A", null),
            ["local-level"] = AtMost(20), ["change"] = AtMost(20),
        };
        var revision = new ChecklistRevision(
            new string('0', 64), "A", [new RouteStep(100, "Verify", "bench", [], ImmutableSortedDictionary<string, decimal>.Empty, [])], [new HoldPoint("H1", 100, "Bed")], [], [model],
            [new LayoutPlan("seats", 250, []), new LayoutPlan("bridges", 250, [], LayoutShape.Bridges)],
            [
                new Survey("heights", 100, "Heights", "seats", PlaceKind.At, [Number("z", "height", "µm")], 1, false, ["height"], [], true, null),
                new Survey("along", 100, "Along", "seats", PlaceKind.Between, [Number("s", "slope", "µm/m")], 2, true, ["slope"], ["R1", "R2"], false, 250, Stepped: true),
                new Survey("side", 100, "Side", "seats", PlaceKind.Between, [Number("s", "slope", "µm/m")], 2, true, ["slope"], ["R1"], false, 500, Stepped: true),
                new Survey("across", 100, "Across", "bridges", PlaceKind.At, [Number("s", "slope", "µm/m")], 2, true, ["slope"], [], false, null),
                new Survey("thickness", 100, "Thickness", "seats", PlaceKind.At, [Number("t", "thickness", "µm")], 1, false, ["thickness"], [], false, null),
            ],
            [
                Check("flat", 1, "flatness", heights, "least-squares"), Check("straight", 2, "straightness", From("line", "along", "s"), "end-point"),
                Check("local", 3, "local-straightness", From("line", "heights", "z"), "minimum-zone", new Amount(750, "mm")), Check("twist", 4, "range", From("values", "across", "s"), null),
                Check("thick", 5, "least-value", From("values", "thickness", "t"), null), Check("size", 6, "plain-value", From("values", "thickness", "t"), null),
                Check("local-level", 7, "local-straightness", From("line", "along", "s"), "end-point", new Amount(1000, "mm")),
                Check("change", 9, "change-of-result", ImmutableSortedDictionary<string, SourceRef>.Empty.Add("before", new SourceRef(null, null, "flat", null)).Add("now", new SourceRef(null, null, "local", null)), null),
            ],
            [new LimitSet("B", limits.ToImmutableSortedDictionary(StringComparer.Ordinal))], [], [], [new WorkCentre("bench", "Bench")], [], [], [], []);
        return new MachineRecord("X-1", model, "Somebody", revision, true, [], [], [], [], [], [], [], Make.Noon, 1);
    }

    /// <summary>The bed measured as its checklists plan it, with readings of a quiet bed.</summary>
    private static MachineRecord Measured(MachineRecord bed)
    {
        var id = 1L;
        Measurement Of(string survey, string? feature, int passes, RegisterEntry instrument, double value)
        {
            var of = bed.Revision.Survey(survey);
            var places = bed.Revision.PlacesOf(of, bed.Model, feature);
            return new Measurement(id++, survey, feature, 1, passes, null, Make.Noon, "tom",
            [
                .. Enumerable.Range(1, passes).Select(no => new Run(
                    id++, no, RunKind.Pass, no % 2 == 1 ? Direction.Outward : Direction.Back, LevelArrow.PlusX, "tom", [], Make.Day, [instrument], [], new Conditions(20, [20], [20], null), [], null, null,
                    Make.Noon, Make.Noon, null, null,
                    [.. places.Select((p, i) => new Reading(id++, Place.Parse(p), of.Columns[0].Id, new ReadingValue(ValueKind.Number, "", of.Columns[0].Unit, instrument.Unit == "µm" ? (long)(1000 * (value + (i % 3))) : null, instrument.Unit == "µm" ? null : value + (i % 3), null), Make.Noon, "tom", EntryRoute.Typed, null, null))])),
            ]);
        }

        return bed with
        {
            Measurements = [Of("heights", null, 1, Tracker, 3), Of("along", "R1", 2, Level, 4), Of("along", "R2", 2, Level, 4), Of("across", null, 2, Level, 4), Of("thickness", null, 1, Thickness, 16_500)],
        };
    }
}
