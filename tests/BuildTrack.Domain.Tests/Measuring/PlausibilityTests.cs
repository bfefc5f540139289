using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Measuring;

/// <summary>What a person is asked about before it is recorded. The factors are common practice, no source; 4.848 µm/m in an arc-second: trade notes, computed.</summary>
public sealed class PlausibilityTests
{
    private static readonly ImmutableArray<Station> Row = Surveyed.Line(8, 250);

    private static string? Asked(double value, double[] neighbours, double? earlier = null, double noise = 3, bool slope = false) => Plausibility.QuestionOf(new TypedAmongOthers(
        "R2-07", FormattableString.Invariant($"{value}").Replace('-', '−'), value, [.. neighbours.Select(n => new NearValue(FormattableString.Invariant($"{n}"), n))],
        earlier is { } e ? new NearValue(FormattableString.Invariant($"{e} µm"), e) : null, "the outward run", noise, slope));

    [Fact]
    public void A_value_far_off_its_neighbours_is_asked_about_with_the_numbers() =>
        Assert.Equal("R2-07 reads −412, its neighbours 12 and 15", Asked(-412, [12, 15, -8]));

    [Theory]
    // 5 × the middle size 12 is 60.
    [InlineData(60, new[] { 12.0, 15, -8 }, false)]
    [InlineData(61, new[] { 12.0, 15, -8 }, true)]
    [InlineData(-61, new[] { 12.0, 15, -8 }, true)]
    // Near zero the noise of 3 stands for the neighbours: 15.
    [InlineData(15, new[] { 0.2, -0.1 }, false)]
    [InlineData(15.1, new[] { 0.2, -0.1 }, true)]
    // A decimal sign left out of thicknesses of 16 mm, either way.
    [InlineData(162_000, new[] { 16_100.0, 16_300, 16_200 }, true)]
    [InlineData(1_620, new[] { 16_100.0, 16_300, 16_200 }, true)]
    [InlineData(12_000, new[] { 16_100.0, 16_300, 16_200 }, false)]
    // Heights on either side of zero may be small.
    [InlineData(0.4, new[] { 40.0, -52, 61 }, false)]
    // One neighbour alone may itself be the slip.
    [InlineData(-412, new[] { 12.0 }, false)]
    [InlineData(-412, new double[0], false)]
    public void Far_is_more_than_five_times_the_middle_of_the_neighbours(double value, double[] neighbours, bool asked) => Assert.Equal(asked, Asked(value, neighbours) is not null);

    [Theory]
    [InlineData(-40, 40.0, false, "the same with the other sign")]
    [InlineData(38, -40.0, false, "the same with the other sign")]
    [InlineData(8.3, 40.0, true, "as if this were arc-seconds")]
    [InlineData(-40, -8.3, true, "as if that had been arc-seconds")]
    [InlineData(70, 40.0, false, "R2-07 reads 70 where the outward run read 40 µm")]
    public void A_value_far_off_the_earlier_pass_is_asked_about_with_what_it_looks_like(double value, double earlier, bool slope, string expected) =>
        Assert.EndsWith(expected, Asked(value, [], earlier, slope: slope), StringComparison.Ordinal);

    [Theory]
    // 3 × √2 × 3 = 12.7 of a difference is noise.
    [InlineData(52, 40.0)]
    [InlineData(6, -6.0)]
    // Within a fifth of the earlier value.
    [InlineData(1190, 1000.0)]
    public void What_two_passes_may_differ_by_is_not_asked_about(double value, double earlier) => Assert.Null(Asked(value, [], earlier));

    [Fact]
    public void Without_a_figure_in_the_register_only_a_sign_or_a_size_is_asked_about()
    {
        Assert.Null(Asked(70, [], 40, noise: 0));
        Assert.NotNull(Asked(-40, [], 40, noise: 0));
        Assert.NotNull(Asked(201, [], 40, noise: 0));
    }

    [Fact]
    public void A_heights_size_alone_is_no_arc_second() => Assert.DoesNotContain("arc", Asked(8.3, [], 40)!, StringComparison.Ordinal);

    // ---- the same out of a record ----

    private static readonly RegisterEntry Level = Surveyed.Instrument("slope", "µm/m", "slope", new Amount(3, "µm/m"));

    private static (MachineRecord Machine, Survey Survey) Along(PlaceKind places, string quantity, string unit)
    {
        var plain = Make.Machine();
        var survey = new Survey("s", 100, "Along", "row", places, [new Column("v", "Value", ValueKind.Number, quantity, unit, [])], 2, true, [quantity], [], false, 250, places == PlaceKind.Between);
        return (plain with { Revision = plain.Revision with { Layouts = [new LayoutPlan("row", null, Row)], Surveys = [survey] } }, survey);
    }

    private static string? AskedOf(MachineRecord machine, Survey survey, Run run, Reading reading, params Run[] before) =>
        Plausibility.QuestionOf(machine, survey, Make.Measurement(1, 1, [.. before, run]), run, reading);

    private static Reading Typed(string place, double value, string unit = "µm/m") =>
        new(9000, Place.Parse(place), "v", new ReadingValue(ValueKind.Number, FormattableString.Invariant($"{value}"), unit, null, value, null), Make.Noon, "tom", EntryRoute.Typed, null, null);

    [Fact]
    public void The_outward_run_is_taken_in_the_sense_of_the_level_as_it_stands()
    {
        var (machine, survey) = Along(PlaceKind.Between, "slope", "µm/m");
        var steps = Surveyed.Steps(Row);
        var outward = Surveyed.Run(1, Level, "v", steps, [30, -20, 25, 30, -28, 22, 27], LevelArrow.PlusX, Direction.Outward);
        Run Back(LevelArrow arrow) => Surveyed.Run(2, Level, "v", [], [], arrow, Direction.Back) with { Finished = null };

        // The arrow turned: what was +30 reads −30, and that is right.
        Assert.Null(AskedOf(machine, survey, Back(LevelArrow.MinusX), Typed(steps[0], -30), outward));
        Assert.Equal("S-00 → S-01 reads −30 where the outward run read 30 µm/m, the same with the other sign", AskedOf(machine, survey, Back(LevelArrow.PlusX), Typed(steps[0], -30), outward));
        Assert.Equal("S-00 → S-01 reads 30 where the outward run read −30 µm/m, the same with the other sign", AskedOf(machine, survey, Back(LevelArrow.MinusX), Typed(steps[0], 30), outward));

        // Divisions count as the register says: 1.5 of 20 µm/m.
        var vial = Level with { Unit = "div", Division = new Amount(20, "µm/m") };
        Assert.Null(AskedOf(machine, survey, Back(LevelArrow.PlusX) with { Instruments = [vial] }, Typed(steps[0], 1.5, "div"), outward));
    }

    [Fact]
    public void Neighbours_are_the_nearest_readings_of_this_run_on_the_same_line()
    {
        var (machine, survey) = Along(PlaceKind.Between, "slope", "µm/m");
        var steps = Surveyed.Steps(Row);
        var run = Surveyed.Run(1, Level, "v", [steps[0], steps[3], steps[4]], [900, 12, 15], LevelArrow.PlusX) with { Finished = null };
        Assert.Equal("S-05 → S-06 reads −412, its neighbours 15 and 12", AskedOf(machine, survey, run, Typed(steps[5], -412)));

        // Five places away is no neighbour, and one is too few.
        Assert.Null(AskedOf(machine, survey, Surveyed.Run(1, Level, "v", [steps[0], steps[6]], [12, 15], LevelArrow.PlusX), Typed(steps[5], -412)));
    }

    [Fact]
    public void Who_looks_again_is_not_told_what_was_found_before()
    {
        var (machine, survey) = Along(PlaceKind.Between, "slope", "µm/m");
        var steps = Surveyed.Steps(Row);
        var first = Surveyed.Run(1, Level, "v", steps, [30, -20, 25, 30, -28, 22, 27], LevelArrow.PlusX);
        foreach (var kind in new[] { RunKind.SpotCheck, RunKind.ContactsAgain })
        {
            var again = Surveyed.Run(2, Level, "v", [], [], LevelArrow.PlusX) with { Finished = null, Kind = kind, Proves = "100-01", Weights = [new WeightedPlace(steps[0], 0)] };
            Assert.Null(AskedOf(machine, survey, again, Typed(steps[0], -30), first));
        }
    }

    [Fact]
    public void Answers_are_never_asked_about()
    {
        var plain = Make.Machine();
        var survey = new Survey("s", 100, "List", null, PlaceKind.Whole, [new Column("q", "Is it?", ValueKind.Choice, null, null, ["yes", "no"])], 1, false, [], [], false, null);
        var run = Make.Run(2, 1, null, []);
        var answer = new Reading(9, Place.Whole, "q", new ReadingValue(ValueKind.Choice, "no", null, null, null, null), Make.Noon, "tom", EntryRoute.Typed, null, null);
        Assert.Null(Plausibility.QuestionOf(plain with { Revision = plain.Revision with { Surveys = [survey] } }, survey, Make.Measurement(1, 1, run), run, answer));
    }
}
