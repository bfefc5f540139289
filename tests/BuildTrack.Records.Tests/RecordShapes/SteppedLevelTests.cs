using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;
using Xunit;

namespace BuildTrack.Records.Tests.RecordShapes;

/// <summary>A level that steps along a seat: its places have an order, its sign belongs to its arrow.</summary>
public sealed class SteppedLevelTests
{
    private static readonly string[] Places = ["S0→S1", "S1→S2", "S2→S3", "S3→S4"];
    private static readonly double[] Rises = [-12, 9, 14, -11];

    [Theory, OnBoth]
    public async Task Out_and_back_that_nearly_cancel_are_not_finished_and_the_arrow_as_it_stood_is(Database on)
    {
        await using var plant = await Shapes(on);
        await Finished(plant, Direction.Outward, LevelArrow.PlusX, 1);

        // The level was turned for the way back, and its arrow recorded as on the way out.
        var slipped = await Recorded(plant, Direction.Back, LevelArrow.PlusX, -1);
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Finish(TestPlant.Technician, "S-1", slipped));
        Assert.Equal("R-FINISH-02", refused.Rule.Id);
        Assert.Contains("nearly cancel", refused.Rule.Sentence, StringComparison.Ordinal);
        await plant.Get<SurveyActs>().Discard(TestPlant.Technician, new DiscardRequest("S-1", slipped, "arrow recorded the wrong way"), null, default);

        await Finished(plant, Direction.Back, LevelArrow.MinusX, -1);
        var result = (await plant.Machine("S-1")).EvaluationOf("100-11");
        Assert.Equal(ResultState.Incomplete, result!.Record.Result.State);
        Assert.Contains("R2", result.Record.Result.Because[0], StringComparison.Ordinal);
        Assert.Equal(2, result.Record.Input.Sources["line/R1"].Readings!.CountedPasses.Count());
    }

    [Theory, OnBoth]
    public async Task Small_rises_are_no_sign_fault_and_a_step_left_out_is_named(Database on)
    {
        await using var plant = await Shapes(on);
        await Finished(plant, Direction.Outward, LevelArrow.PlusX, 0.2);
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-1", "seat-slopes", "LVL-01", feature: "R1", direction: Direction.Back, arrow: LevelArrow.PlusX));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, Places.Take(3).Select((p, i) => (p, "slope", Text(-0.2 * Rises[i])))));
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Finish(TestPlant.Technician, "S-1", begun.Run));
        Assert.Equal("R-FINISH-01", refused.Rule.Id);
        Assert.Contains("S3→S4", refused.Rule.Sentence, StringComparison.Ordinal);
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, ("S3→S4", "slope", Text(-0.2 * Rises[3]))));
        await plant.Finish(TestPlant.Technician, "S-1", begun.Run);
    }

    [Theory, OnBoth("S0→S2", "S1→S0", "S0", "whole")]
    public async Task Only_the_steps_of_the_line_are_places(Database on, string place)
    {
        await using var plant = await Shapes(on);
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-1", "seat-slopes", "LVL-01", feature: "R1", direction: Direction.Outward, arrow: LevelArrow.PlusX));
        var bad = await plant.LeavesNothing<BadInputException>(() => plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, (place, "slope", "1"))));
        Assert.Equal($"place '{place}'", bad.Faults.Single().Found);
    }

    private static async Task<TestPlant> Shapes(Database on)
    {
        var plant = await TestPlant.Make(on);
        await plant.Order("S-1", "SHAPES");
        return plant;
    }

    private static async Task<long> Recorded(TestPlant plant, Direction direction, LevelArrow arrow, double scale)
    {
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("S-1", "seat-slopes", "LVL-01", feature: "R1", direction: direction, arrow: arrow));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("S-1", begun.Run, Places.Select((p, i) => (p, "slope", Text(scale * Rises[i])))));
        return begun.Run;
    }

    private static async Task Finished(TestPlant plant, Direction direction, LevelArrow arrow, double scale) =>
        await plant.Finish(TestPlant.Technician, "S-1", await Recorded(plant, direction, arrow, scale));

    private static string Text(double value) => value.ToString("0.##", System.Globalization.CultureInfo.InvariantCulture);
}
