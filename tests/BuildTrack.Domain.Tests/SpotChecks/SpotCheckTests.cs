using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SpotChecks;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.SpotChecks;

/// <summary>An inspector's own look at single places. Agreement within U·√2: common practice, no source.</summary>
public sealed class SpotCheckTests
{
    private static readonly RegisterEntry Gauge = Make.Instrument("small difference", 2);

    private static Run Spot(long id, int no, params (string Place, double Um)[] values) =>
        Make.Run(id, no, Gauge, values, person: "ina") with { Kind = RunKind.SpotCheck, Weights = [.. values.Select(v => new WeightedPlace(v.Place, 0))] };

    private static Run Pass(long id, int no, params double[] um) => Make.Run(id, no, Gauge, Make.Corners.Select(c => c.Id).Zip(um));

    private static string? Rule(MachineRecord machine, string person = "ina", string role = Roles.Inspector) =>
        SpotCheckRules.WhyNotBegin(machine, machine.Revision.Survey("s"), null, person, [role])?.Id;

    [Fact]
    public void An_inspector_without_a_hand_checks_what_was_measured()
    {
        var measured = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        Assert.Null(Rule(measured));
        Assert.Equal(SpotCheckRules.NotInspector, Rule(measured, role: Roles.Technician));
        Assert.Equal(SpotCheckRules.HadAHand, Rule(measured, "tom"));
        Assert.Equal(SpotCheckRules.HadAHand, Rule(Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2) with { Helpers = ["ina"] }))));
        Assert.Equal(SpotCheckRules.NothingToCompare, Rule(Make.Machine()));
        Assert.Equal(SpotCheckRules.NothingToCompare, Rule(Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2) with { Finished = null }))));
        Assert.Equal(SpotCheckRules.NothingToCompare, Rule(measured with { Changes = [new BedChange(5, "re-mill", "0.2 mm", "tom", Make.Noon)] }));

        // A second look by the same inspector is still a look.
        Assert.Null(Rule(Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2), Spot(4, 2, ("C1", 5))))));
    }

    [Fact]
    public void Who_measured_does_not_touch_the_look_that_judges_him()
    {
        var spot = Spot(4, 2, ("C1", 5));
        var machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2, "ivo"), spot));
        var survey = machine.Revision.Survey("s");
        Assert.Equal(SpotCheckRules.NotAParty, SpotCheckRules.WhyNotChange(machine, survey, spot, "ivo")!.Id);
        Assert.Null(SpotCheckRules.WhyNotChange(machine, survey, spot, "ina"));
        Assert.Null(SpotCheckRules.WhyNotChange(machine, survey, machine.Measurements[0].Runs[0], "ivo"));
    }

    [Fact]
    public void Each_place_stands_beside_the_mean_of_the_passes()
    {
        // √2 · 2 µm = 2.83 µm; the mean at C1 is 6, at C4 it is 4.
        var spot = Spot(6, 3, ("C4", 4.5), ("C1", 15));
        var measurement = Make.Measurement(1, 1, Pass(2, 1, 5, -5, -5, 5), Pass(4, 2, 7, -5, -5, 3), spot);
        var machine = Make.Machine(measurement);
        var found = SpotDifference.Of(machine, machine.Revision.Survey("s"), measurement, spot);
        Assert.Equal(["C4", "C1"], found.Select(f => f.Place));
        Assert.Equal([(4.0, 4.5, false), (6.0, 15.0, true)], found.Select(f => (f.Mean, f.Spot, f.Beyond)));
        Assert.All(found, f => Assert.Equal(2 * Math.Sqrt(2), f.Expanded!.Value, 1e-12));
        Assert.Equal(["agrees within U = 2.8 µm", "differs by 9.0 µm, more than U = 2.8 µm: measure again before release"], found.Select(f => f.Sentence));
    }

    [Fact]
    public void The_larger_U_of_two_instruments_counts_at_k_2_and_none_is_said()
    {
        var better = Make.Instrument("small difference", 3) with { Figures = [new RegisterFigure("small difference", null, Make.Um(9), null, 3, null, null)] };
        var spot = Spot(4, 2, ("C1", 5)) with { Instruments = [better] };
        Assert.Equal(6 * Math.Sqrt(2), Only(spot).Expanded!.Value, 1e-12);
        var none = Only(spot with { Instruments = [Make.Instrument("slope", 3)] });
        Assert.Null(none.Expanded);
        Assert.False(none.Beyond);
        Assert.Contains("no uncertainty", none.Sentence, StringComparison.Ordinal);

        static SpotDifference Only(Run spot)
        {
            var measurement = Make.Measurement(1, 1, Pass(2, 1, 5, -5, -5, 5), spot);
            var machine = Make.Machine(measurement);
            return SpotDifference.Of(machine, machine.Revision.Survey("s"), measurement, spot).Single();
        }
    }

    [Fact]
    public void A_level_is_compared_reading_by_reading_whichever_way_its_arrow_points()
    {
        var level = Surveyed.Instrument("slope", "µm/m", "slope", new Amount(3, "µm/m"));
        ImmutableArray<Station> line = Surveyed.Line(4, 500);
        var steps = Surveyed.Steps(line);
        var pass = Surveyed.Run(1, level, "v", steps, [10, -4, 2], LevelArrow.PlusX);
        var spot = Surveyed.Run(2, level, "v", [steps[1]], [5], LevelArrow.MinusX) with { Kind = RunKind.SpotCheck, Weights = [new WeightedPlace(steps[1], 0)] };
        var survey = new Survey("level", 100, "Level", "row", PlaceKind.Between, [new Column("v", "Slope", ValueKind.Number, "slope", "µm/m", [])], 1, false, ["slope"], [], false, 500, true);
        var plain = Make.Machine();
        var machine = plain with { Revision = plain.Revision with { Layouts = [new LayoutPlan("row", null, line)], Surveys = [survey] } };
        var found = SpotDifference.Of(machine, survey, new Measurement(1, "level", null, 1, 1, null, Make.Noon, "tom", [pass, spot]), spot).Single();
        Assert.Equal(("S-01→S-02", -4.0, -5.0, "µm/m"), (found.Place, found.Mean, found.Spot, found.Unit));
        Assert.Equal("agrees within U = 4.243 µm/m", found.Sentence);
    }

    [Fact]
    public void A_result_is_the_same_with_and_without_a_spot_check()
    {
        var with = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2), Spot(4, 2, ("C1", 500), ("C3", -500))));
        var without = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        Assert.Equal(Domain.Canonical.CanonicalJson.Of(without.Evaluations[0].Record.Result), Domain.Canonical.CanonicalJson.Of(with.Evaluations[0].Record.Result));
        Assert.Null(ReleaseRules.WhyNotRelease(with, with.Revision.Holds[0], "ina"));
    }

    [Fact]
    public void A_look_after_a_return_mends_nothing()
    {
        var machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2), Spot(600, 2, ("C1", 5))));
        var returned = machine with { Decisions = [new HoldDecision(500, "H1", HoldDecisionKind.Returned, "ina", Make.Noon, "measure again", "x", [], 1)] };
        Assert.Equal(ReleaseRules.NothingSinceReturn, ReleaseRules.WhyNotRelease(returned, returned.Revision.Holds[0], "ina")!.Id);
    }
}
