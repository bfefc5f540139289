using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Measuring;

/// <summary>In which order a run is walked, and what an entry taken back leaves.</summary>
public sealed class RunPlanTests
{
    private static readonly Column Height = new("z", "Height", ValueKind.Number, "height", "µm", []);
    private static readonly Column Slope = new("s", "Slope", ValueKind.Number, "slope", "µm/m", []);

    // Two seats of three stations, as a layout along both rails gives them.
    private static readonly ImmutableArray<Station> Seats = [.. Surveyed.Line(3, 250, 0, "R1"), .. Surveyed.Line(3, 250, 1000, "R2")];

    private static (MachineRecord Machine, Survey Survey) With(PlaceKind places, bool stepped, params Column[] columns)
    {
        var plain = Make.Machine();
        var survey = new Survey("s", 100, "Heights", "seats", places, [.. columns], 2, true, ["height"], [], false, stepped ? 250 : null, stepped);
        return (plain with { Revision = plain.Revision with { Layouts = [new LayoutPlan("seats", null, Seats)], Surveys = [survey] } }, survey);
    }

    private static Run Empty(Direction? direction = null) => Make.Run(2, 1, null, []) with { Finished = null, Direction = direction };

    private static string[] Walk(MachineRecord machine, Survey survey, Run run) =>
        [.. RunPlan.EntriesOf(machine, survey, Make.Measurement(1, 1, run), run).Select(e => e.Place)];

    [Fact]
    public void Stations_are_walked_along_the_layout_and_back_from_its_end()
    {
        var (machine, survey) = With(PlaceKind.At, false, Height);
        string[] outward = ["R1-00", "R1-01", "R1-02", "R2-00", "R2-01", "R2-02"];
        Assert.Equal(outward, Walk(machine, survey, Empty()));
        Assert.Equal(outward, Walk(machine, survey, Empty(Direction.Outward)));
        Assert.Equal(outward.Reverse(), Walk(machine, survey, Empty(Direction.Back)));
    }

    [Fact]
    public void A_level_steps_from_foot_to_foot_and_back_over_the_same_pairs()
    {
        var (machine, survey) = With(PlaceKind.Between, true, Slope);
        string[] outward = ["R1-00→R1-01", "R1-01→R1-02", "R2-00→R2-01", "R2-01→R2-02"];
        Assert.Equal(outward, Walk(machine, survey, Empty(Direction.Outward)));
        Assert.Equal(outward.Reverse(), Walk(machine, survey, Empty(Direction.Back)));
    }

    [Fact]
    public void All_columns_of_a_place_stand_together_and_those_of_the_whole_one_by_one()
    {
        var other = Height with { Id = "t", Title = "Thickness" };
        var (machine, survey) = With(PlaceKind.At, false, Height, other);
        Assert.All(RunPlan.EntriesOf(machine, survey, Make.Measurement(1, 1), Empty()), e => Assert.Equal(["z", "t"], e.Columns.Select(c => c.Id)));

        var (same, whole) = With(PlaceKind.Whole, false, Height, other);
        Assert.Equal([("whole", "z"), ("whole", "t")], RunPlan.EntriesOf(same, whole, Make.Measurement(1, 1), Empty()).Select(e => (e.Place, e.Columns.Single().Id)));
    }

    [Fact]
    public void Chosen_places_are_walked_in_the_order_of_the_layout()
    {
        var (machine, survey) = With(PlaceKind.At, false, Height);
        ImmutableArray<WeightedPlace> chosen = [new("R2-01", 0.5), new("R1-02", -1), new("R1-00", 0.5)];
        foreach (var kind in new[] { RunKind.SpotCheck, RunKind.ContactsAgain })
        {
            var run = Empty() with { Kind = kind, Proves = "100-01", Weights = chosen };
            Assert.Equal(["R1-00", "R1-02", "R2-01"], Walk(machine, survey, run));
            Assert.Equal(["R2-01", "R1-02", "R1-00"], Walk(machine, survey, run with { Direction = Direction.Back }));
        }
    }

    [Fact]
    public void Where_any_two_stations_are_joined_no_place_is_prescribed()
    {
        var (machine, survey) = With(PlaceKind.Between, false, Slope);
        Assert.Empty(Walk(machine, survey, Empty()));
    }

    [Fact]
    public void Next_is_the_first_empty_place_after_the_last_one_and_then_those_left_out()
    {
        var (machine, survey) = With(PlaceKind.At, false, Height);
        var entries = RunPlan.EntriesOf(machine, survey, Make.Measurement(1, 1), Empty());
        Run Filled(params string[] places) => Make.Run(2, 1, null, places.Select(p => (p, 1.0))) with { Finished = null };
        Assert.Equal(0, RunPlan.NextOf(entries, Empty()));
        Assert.Equal(3, RunPlan.NextOf(entries, Filled("R1-00", "R1-02"), after: 2));
        Assert.Equal(1, RunPlan.NextOf(entries, Filled("R1-00", "R1-02", "R2-00", "R2-01", "R2-02"), after: 5));
        Assert.Null(RunPlan.NextOf(entries, Filled("R1-00", "R1-01", "R1-02", "R2-00", "R2-01", "R2-02")));
    }

    [Fact]
    public void A_place_with_two_columns_is_filled_when_both_are()
    {
        var entry = new RunEntry("R1-00", [Height, Height with { Id = "t" }]);
        var one = Make.Run(2, 1, null, [("R1-00", 1)]);
        Assert.False(entry.FilledIn(one));
        Assert.True(entry.FilledIn(one with { Readings = one.Readings.Add(Make.Reading(900, "R1-00", 2, column: "t")) }));
    }

    [Fact]
    public void What_is_taken_back_stands_no_longer_and_leaves_its_place_empty()
    {
        var run = Make.Run(2, 1, null, [("R1-00", 1), ("R1-01", 44)]) with { Finished = null };
        var slip = run.Readings[1] with { At = new Instant(Make.Noon.Microseconds + 1) };
        run = run with { Readings = [run.Readings[0], slip] };
        Assert.Equal([slip], run.LastEntry);

        var back = slip.TakenBack(950, new Instant(Make.Noon.Microseconds + 2), "tom");
        Assert.Equal((slip.Id, slip.Place, "", EntryRoute.TakenBack), (back.Supersedes!.Value, back.Place, back.Value.Typed, back.Route));
        var after = run with { Readings = run.Readings.Add(back) };
        Assert.Equal(3, after.Readings.Length);
        Assert.Equal([run.Readings[0]], after.Standing);
        Assert.Null(after.Calculated("z", "R1-01"));
        Assert.Equal([run.Readings[0]], after.LastEntry);
        Assert.NotEqual(slip.Hash, back.Hash);

        // Read anew: what counts is the last value.
        var anew = after with { Readings = after.Readings.Add(Make.Reading(960, "R1-01", 4)) };
        Assert.Equal(4, anew.Calculated("z", "R1-01"));
    }

    [Fact]
    public void The_last_entry_is_every_column_that_came_in_with_it_at_its_place()
    {
        var later = new Instant(Make.Noon.Microseconds + 5);
        var run = Make.Run(2, 1, null, [("R1-00", 1)]);
        run = run with { Readings = [.. run.Readings, Make.Reading(901, "R1-01", 1) with { At = later }, Make.Reading(902, "R1-01", 2, column: "t") with { At = later }, Make.Reading(900, "R1-02", 2) with { At = later }] };
        Assert.Equal([901L, 902L], run.LastEntry.Select(r => r.Id));
        Assert.Empty(Empty().LastEntry);
    }
}
