using System.Collections.Immutable;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.AsBuilt;

/// <summary>What may be listed as fitted. Expected sentences are our own words; the places are made by hand.</summary>
public sealed class ComponentRulesTests
{
    private static readonly MachineRecord Empty = Make.Machine() is var m ? m with
    {
        Revision = m.Revision with
        {
            Components =
            [
                new ComponentPlan("rail-r1", "Rail R1, segment", "rail", "Rails", 100, One("B", 3).Add("C", 4), ["certificate"], true, "re-mill", "test"),
                new ComponentPlan("source", "Laser source", "source", "Laser", 100, One("B", 1), ["firmware", "certificate"], false, null, "test"),
                new ComponentPlan("crane", "Crane", "crane", "Laser", 100, One("E", 2), [], false, null, "test"),
            ],
        },
    } : throw new InvalidOperationException();

    private static ImmutableSortedDictionary<string, int> One(string machineClass, int places) => ImmutableSortedDictionary<string, int>.Empty.Add(machineClass, places);

    private static ScannedComponent Rail(int no, string serial, string? begins = null, string? ends = null, string? certificate = "H-1") =>
        new(FormattableString.Invariant($"rail-r1/{no}"), serial, null, certificate, begins, ends);

    private static MachineRecord With(MachineRecord machine, ScannedComponent c, long? replaces = null) => machine with
    {
        Components = [.. machine.Components, new FittedComponent(machine.Components.Length + 1, machine.Serial, c.Place, "rail", c.Serial, c.Firmware, c.Certificate, c.Begins, c.Ends, replaces, replaces is null ? null : "worn", "tom", new Instant(0))],
    };

    private static string? Fit(MachineRecord machine, ScannedComponent scanned, FittedComponent? elsewhere = null) => ComponentRules.WhyNotFit(AsBuiltList.Of(machine), scanned, elsewhere)?.Id;

    [Fact]
    public void The_list_has_the_places_of_the_class_and_tells_what_is_missing()
    {
        var list = AsBuiltList.Of(With(Empty, Rail(2, "S-2")));
        Assert.Equal(["rail-r1/1", "rail-r1/2", "rail-r1/3", "source/1"], list.Places.Select(p => p.Id));
        Assert.Equal(["Rail R1, segment 1 of 3", "Rail R1, segment 3 of 3", "Laser source"], list.Missing.Select(p => p.Name));
        Assert.Equal("1 of 4 listed", list.Sentence);
        Assert.Equal("no components planned", AsBuiltList.Of(Make.Machine()).Sentence);
    }

    [Fact]
    public void A_hold_point_that_asks_for_the_list_waits_for_its_last_component()
    {
        var gate = Empty.Revision.Holds[0] with { AsBuilt = true };
        var empty = Empty with { Revision = Empty.Revision with { Holds = Empty.Revision.Holds.SetItem(0, gate) } };
        var three = With(With(With(empty, Rail(1, "S-1")), Rail(2, "S-2")), Rail(3, "S-3"));
        var full = With(three, new ScannedComponent("source/1", "L-1", "4.2", "H-1", null, null));
        Assert.Equal("H1 waits for the as-built list, 0 of 4 listed: Rail R1, segment 1 of 3, Rail R1, segment 2 of 3, Rail R1, segment 3 of 3, Laser source are missing.", ComponentRules.WhyBlocked(empty, gate)!.Sentence);
        Assert.Equal("H1 waits for the as-built list, 3 of 4 listed: Laser source is missing.", ComponentRules.WhyBlocked(three, gate)!.Sentence);
        Assert.Equal((ComponentRules.ListIncomplete, ObstacleAt.AsBuilt), Assert.Single(ReleaseObstacles.Of(three, gate).Where(o => o.At == ObstacleAt.AsBuilt).Select(o => (o.Rule.Id, o.At))));
        Assert.Equal(ComponentRules.ListIncomplete, three.StandingOfHold(gate).Blocked?.Id);
        Assert.Null(ComponentRules.WhyBlocked(full, gate));
        Assert.Null(full.StandingOfHold(gate).Blocked);
        Assert.Empty(ReleaseObstacles.Of(full, gate).Where(o => o.At == ObstacleAt.AsBuilt));
        Assert.Null(ComponentRules.WhyBlocked(empty, gate with { AsBuilt = false }));
        Assert.Null(ComponentRules.WhyBlocked(Make.Machine(), gate));
    }

    [Fact]
    public void A_swap_keeps_both_and_only_the_new_one_is_fitted()
    {
        var swapped = With(With(With(Empty, Rail(1, "S-1")), Rail(1, "S-7"), 1), Rail(1, "S-8"), 2);
        var place = AsBuiltList.Of(swapped).Find("rail-r1/1")!;
        Assert.Equal("S-8", place.Fitted!.Serial);
        Assert.Equal([("S-7", "S-8"), ("S-1", "S-7")], place.TakenOut.Select(t => (t.Old.Serial, t.New.Serial)));
    }

    [Fact]
    public void A_component_is_refused_at_an_unknown_a_filled_place_while_fitted_elsewhere_and_with_a_field_missing()
    {
        var one = With(Empty, Rail(1, "S-1"));
        Assert.Null(Fit(Empty, Rail(1, "S-1")));
        Assert.Equal(ComponentRules.UnknownPlace, Fit(Empty, Rail(4, "S-1")));
        Assert.Equal(ComponentRules.UnknownPlace, Fit(Empty, new ScannedComponent("crane/1", "S-1", null, null, null, null)));
        Assert.Equal(ComponentRules.PlaceFilled, Fit(one, Rail(1, "S-9")));
        Assert.Equal(ComponentRules.FittedElsewhere, Fit(one, Rail(2, "S-1"), one.Components[0]));
        Assert.Contains("fitted on X-1 at rail-r1/1", ComponentRules.WhyNotFit(AsBuiltList.Of(one), Rail(2, "S-1"), one.Components[0])!.Sentence, StringComparison.Ordinal);
        Assert.Equal(ComponentRules.Needed, Fit(Empty, Rail(1, "S-1", certificate: " ")));
        Assert.Contains("its firmware and its certificate or heat number", ComponentRules.WhyNotFit(AsBuiltList.Of(Empty), new ScannedComponent("source/1", "L-1", null, null, null, null), null)!.Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(null, null, null)]
    [InlineData("A", "B", null)]
    [InlineData("A", null, null)]
    [InlineData("C", "B", ComponentRules.JointLetters)]
    [InlineData("A", "A", ComponentRules.JointLetters)]
    public void Letters_of_a_joint_are_the_same_on_both_sides_where_both_are_given(string? begins, string? ends, string? rule)
    {
        // Segment 1 ends at A, segment 3 begins at B; segment 2 comes between.
        var machine = With(With(Empty, Rail(1, "S-1", null, "A")), Rail(3, "S-3", "B"));
        Assert.Equal(rule, Fit(machine, Rail(2, "S-2", begins, ends)));
    }

    [Fact]
    public void A_swap_wants_the_serial_number_that_is_listed_and_a_place_that_is_filled()
    {
        var list = AsBuiltList.Of(With(Empty, Rail(1, "S-1")));
        Assert.Null(ComponentRules.WhyNotSwap(list, "S-1", Rail(1, "S-2"), null));
        Assert.Equal(ComponentRules.PlaceEmpty, ComponentRules.WhyNotSwap(list, "S-1", Rail(2, "S-2"), null)!.Id);
        var other = ComponentRules.WhyNotSwap(list, "S-4", Rail(1, "S-2"), null)!;
        Assert.Equal(ComponentRules.OtherOld, other.Id);
        Assert.StartsWith("Found S-4, expected S-1", other.Sentence, StringComparison.Ordinal);
    }
}
