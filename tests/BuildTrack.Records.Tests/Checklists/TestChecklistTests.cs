using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Checklists;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

public class TestChecklistTests
{
    private static ChecklistRevision Revision()
    {
        var result = ChecklistFiles.Load(ChecklistFiles.ForTests);
        Assert.Empty(result.Faults);
        return result.Revision!;
    }

    [Theory]
    [InlineData("TST-10", "100-01", "ten-point-heights", 10, "least-squares", "150 µm")]
    [InlineData("TST-3T", "100-02", "triangle-heights", 9, "least-squares", "20 µm")]
    [InlineData("TST-3C", "100-03", "crossing-heights", 9, "minimum-zone", "13 µm")]
    public void Each_published_set_has_a_model_with_one_characteristic(string model, string line, string survey, int stations, string reference, string limit)
    {
        var revision = Revision();
        var characteristic = Assert.Single(revision.CharacteristicsOf("H1", revision.Model(model)));
        Assert.Equal(line, characteristic.Line);
        Assert.Equal(survey, characteristic.From["heights"].Survey);
        Assert.Equal(reference, characteristic.Reference);
        Assert.Equal(stations, revision.StationsOf(revision.Survey(survey), revision.Model(model)).Length);
        Assert.Equal(limit, revision.RequirementOf(characteristic.Limit, revision.Model(model))!.Upper!.ToString());
    }

    [Fact]
    public void Surveys_keep_every_shape_that_was_written()
    {
        var revision = Revision();
        var slopes = revision.Survey("seat-slopes");
        Assert.Equal((PlaceKind.Between, 2, true, 250.0), (slopes.Places, slopes.Passes, slopes.BothDirections, slopes.BaseLengthMm));
        Assert.Equal(["R1", "R2"], slopes.ForEach);
        Assert.Equal("µm/m", slopes.FindColumn("slope")!.Unit);
        Assert.Equal((PlaceKind.At, 10, true), (revision.Survey("positioning").Places, revision.Survey("positioning").Passes, revision.Survey("positioning").BothDirections));
        Assert.Equal((PlaceKind.Whole, ValueKind.Table), (revision.Survey("power-log").Places, revision.Survey("power-log").FindColumn("log")!.Kind));
        Assert.Equal(["yes", "no"], revision.Survey("guards").FindColumn("door")!.Choices);
        Assert.Equal(ValueKind.File, revision.Survey("rating-plate").FindColumn("photo")!.Kind);
        Assert.Equal(12, revision.Survey("sample-cuts").Columns.Length);
        Assert.Null(revision.Survey("sample-cuts").Layout);
    }

    [Theory]
    [InlineData(3, 0.171)]
    [InlineData(6, 0.192)]
    [InlineData(10, 0.220)]
    [InlineData(12, 0.234)]
    [InlineData(20, 0.290)]
    [InlineData(25, 0.325)]
    [InlineData(30, 0.360)]
    public void The_edge_of_a_cut_is_limited_over_thickness(int thickness, double limit)
    {
        var revision = Revision();
        var requirement = revision.RequirementOf("edge", revision.Model("SHAPES"))!;
        Assert.Equal(("iso-9013-u-range-2", "thickness", DecisionRule.Simple), (requirement.Table, requirement.Over, requirement.Rule));
        Assert.Equal((decimal)limit, revision.Tables.Single().At(thickness));
    }

    [Fact]
    public void A_change_takes_two_results_of_two_steps()
    {
        var from = Revision().FindCharacteristic("120-02")!.From;
        Assert.Equal(("flatness-before", "flatness-after"), (from["before"].Result, from["after"].Result));
    }

    [Fact]
    public void Calculations_the_engine_does_not_have_are_refused_unless_they_are_named()
    {
        var faults = ChecklistLoader.Load(ChecklistFiles.ForTests).Faults;
        Assert.Equal(7, faults.Length);
        Assert.All(faults, f => Assert.StartsWith("unknown evaluator", f.Found, StringComparison.Ordinal));
    }
}
