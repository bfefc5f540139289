using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Planning;
using BuildTrack.Domain.Tests.Revisions;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Planning;

namespace BuildTrack.Domain.Tests.Planning;

/// <summary>Which plans there are for diagonals, an axis and a net of rises, and what they take for granted.</summary>
public sealed class GantryPlanTests
{
    [Fact]
    public void The_number_of_runs_belongs_to_a_figure_of_positioning()
    {
        var machine = Gantry.Machine();
        var answer = MeasuringPlans.Of(machine, machine.Check("repeatability-R"), [Gantry.Laser(3, 2)], Make.Day);
        var only = Assert.Single(answer.Plans);
        Assert.True(only.AsListed);
        Assert.Equal((5, 2 * 11 * 5), (only.Passes, only.Readings));
        Assert.Contains("an instrument without error", answer.Granted!, StringComparison.Ordinal);

        // More runs of a window as the checklists plan them: R of noise is smaller then, and more is left of the limit.
        var ten = machine with { Revision = machine.Revision with { Surveys = [.. machine.Revision.Surveys.Select(s => s.Id == "window" ? s with { Passes = 10 } : s)] } };
        var more = Assert.Single(MeasuringPlans.Of(ten, ten.Check("repeatability-R"), [Gantry.Laser(3, 2)], Make.Day).Plans);
        Assert.Equal(10, more.Passes);
        Assert.True(more.Proof.Widest > only.Proof.Widest + 0.3, $"{more.Proof.Widest} after {only.Proof.Widest}");
    }

    [Fact]
    public void What_errs_alike_from_both_sides_leaves_reversal_and_repeatability()
    {
        var machine = Gantry.Machine();
        foreach (var (id, free) in new[] { ("reversal-B", true), ("repeatability-R", true), ("accuracy-A", false), ("systematic-E", false), ("mean-M", false) })
        {
            double Widest(double common) => MeasuringPlans.Of(machine, machine.Check(id), [Gantry.Laser(3, common)], Make.Day).Plans[0].Proof.Widest!.Value;
            Assert.Equal(free ? 0 : 3, Widest(0) - Widest(3), 9);
        }
    }

    [Fact]
    public void An_axis_that_gives_no_such_figure_has_no_plan()
    {
        var machine = Gantry.Machine();
        var one = MeasuringPlans.Of(machine, machine.Check("travel-R"), [Gantry.Laser(3, 2)], Make.Day);
        Assert.Equal("One run in each direction has no spread: no repeatability and no accuracy. Plan more runs.", one.WhyNone);
        Assert.Null(one.Best);
        var without = machine with { Model = machine.Model with { TravelMm = null } };
        Assert.Contains("state the travel", MeasuringPlans.Of(without, without.Check("travel-E"), [Gantry.Laser(3, 2)], Make.Day).WhyNone!, StringComparison.Ordinal);
    }

    [Fact]
    public void A_tape_cannot_prove_squareness_and_a_tracker_can()
    {
        var machine = Gantry.Machine();
        var tape = Gantry.Tracker(400, 200) with { Id = "TAP-1", Name = "Tape" };
        var squareness = MeasuringPlans.Of(machine, machine.Check("squareness"), [tape], Make.Day);
        Assert.StartsWith("Cannot be proved with any registered instrument", squareness.Sentence, StringComparison.Ordinal);
        Assert.Contains("the band that acceptance must leave is not below the limit", squareness.Sentence, StringComparison.Ordinal);
        var both = MeasuringPlans.Of(machine, machine.Check("squareness"), [tape, Gantry.Tracker(8, 8)], Make.Day);
        Assert.StartsWith("Yes: length-1, 1 pass, 6 readings", both.Sentence, StringComparison.Ordinal);
        Assert.Equal("Worked out for a rectangle of 2500 × 1200 mm: the travel along X and four fifths of the gauge. On a larger one U is smaller, on a smaller one larger.", both.Granted);

        // Neither can one run prove a repeatability.
        Assert.Equal(["100-02", "100-09"], MeasuringPlans.Unprovable(machine.Revision, [tape, Gantry.Laser(3, 2), Gantry.Level(3, 1), Height], Make.Day).Select(u => u.Line));
    }

    [Fact]
    public void A_net_is_planned_over_all_neighbours_until_a_pass_joins_others()
    {
        var machine = Gantry.Machine();
        var net = MeasuringPlans.Of(machine, machine.Check("net-least-squares"), [Gantry.Level(6, 1)], Make.Day);
        Assert.Equal([19, 38, 57, 76], net.Plans.Select(p => p.Readings));
        Assert.StartsWith("Worked out for 19 rises between 14 stations", net.Granted, StringComparison.Ordinal);
        Assert.True(net.Plans.Zip(net.Plans.Skip(1)).All(p => p.Second.Proof.Widest > p.First.Proof.Widest && p.Second.Expanded < p.First.Expanded));

        // Along both rails and across at one end: a chain, without a check, and with less certain heights.
        ImmutableArray<(string Column, string Place)> chain = [.. Gantry.Net[..13]];
        var run = Surveyed.Run(1, Gantry.Level(6, 1), "s", chain.Select(c => c.Place), chain.Select(_ => 0.0));
        var begun = machine with { Measurements = [new Measurement(1, "net", null, 1, 2, null, Make.Noon, "tom", [run])] };
        var found = MeasuringPlans.Of(begun, begun.Check("net-least-squares"), [Gantry.Level(6, 1)], Make.Day);
        Assert.Equal([13, 26, 39, 52], found.Plans.Select(p => p.Readings));
        Assert.True(found.Plans[1].Expanded > net.Plans[1].Expanded);
        var result = machine.Measure("net-least-squares", Gantry.Level(6, 1), chain, (_, i) => i % 3);
        Assert.Equal(result.ExpandedUncertainty!.Value, found.Plans.Single(p => p.AsListed).Expanded, 9);
        Assert.Equal(result.AcceptBand!.Value, found.Plans.Single(p => p.AsListed).Proof.AcceptBand, 9);
    }

    [Fact]
    public void Heights_between_stations_have_the_figures_that_the_result_then_has()
    {
        var machine = Gantry.Machine();
        var plan = MeasuringPlans.Of(machine, machine.Check("rises"), [Height], Make.Day).Plans.Single(p => p.AsListed);
        var result = machine.Measure("rises", Height, Gantry.Net, (_, i) => i % 3);
        Assert.Equal(ResultState.Calculated, result.State);
        Assert.Equal(result.ExpandedUncertainty!.Value, plan.Expanded, 9);
        Assert.Equal(result.AcceptBand!.Value, plan.Proof.AcceptBand, 9);
    }

    /// <summary>The largest of eleven differences meets the largest of eleven noises: less of the limit can be proved than of one difference.</summary>
    [Fact]
    public void The_largest_of_several_differences_is_planned_as_such()
    {
        var machine = Gantry.Machine();
        var places = machine.Revision.Survey("window") with { Id = "heat", Passes = 1 };
        var eleven = machine with { Revision = machine.Revision with { Surveys = [.. machine.Revision.Surveys, places], Characteristics = [.. machine.Revision.Characteristics.Select(Over)] } };
        var one = eleven with { Revision = eleven.Revision with { Layouts = [.. eleven.Revision.Layouts.Select(l => l.Id == "window" ? l with { Window = 10 } : l)] } };
        var laser = Surveyed.Instrument("position", "µm", "absolute", new Amount(100, "µm"), new Amount(100, "µm"), new Amount(0, "µm"));
        var result = eleven.Measure("difference", laser, Gantry.Targets(eleven, "window"), (_, i) => i % 3);
        var (of, single) = (Planned(eleven), Planned(one));
        Assert.Equal(result.AcceptBand!.Value, of.AcceptBand, 9);
        Assert.Equal(single.AcceptBand, of.AcceptBand, 9);
        Assert.InRange(of.Widest!.Value, 0, single.Widest!.Value - 20);

        PlannedProof Planned(MachineRecord m) => MeasuringPlans.Of(m, m.Check("difference"), [laser], Make.Day).Plans.Single(p => p.AsListed).Proof;
        static Characteristic Over(Characteristic c) => c.Id != "difference" ? c : c with { From = Plan.From("first", new SourceRef("heat", "forward", null, null)).Add("second", new SourceRef("heat", "backward", null, null)) };
    }

    [Fact]
    public void A_net_that_leaves_stations_alone_has_no_plan()
    {
        // Two rails whose stations do not stand abreast: nothing joins them.
        var machine = Gantry.Machine();
        var shifted = machine with
        {
            Revision = machine.Revision with
            {
                Layouts = machine.Revision.Layouts.Replace(machine.Revision.Layouts[0], machine.Revision.Layouts[0] with { Listed = [.. Gantry.Seats.Select(s => s.YMm > 0 ? s with { XMm = s.XMm + 100 } : s)] }),
            },
        };
        var answer = MeasuringPlans.Of(shifted, shifted.Check("net-least-squares"), [Gantry.Level(6, 1)], Make.Day);
        Assert.NotNull(answer.WhyNone);
        Assert.Empty(answer.Plans);
        Assert.Contains("R2-00", answer.WhyNone, StringComparison.Ordinal);
    }

    private static readonly RegisterEntry Height =
        Surveyed.Instrument("height", "µm", "small difference", new Amount(6, "µm"), new Amount(4, "µm"), new Amount(2, "µm"));
}
