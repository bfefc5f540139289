using BuildTrack.Domain.InspectionPlans;
using BuildTrack.Domain.RecordReviews;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.RecordReviews;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.RecordReviews;

/// <summary>The record of a step is looked at, by name, and the history speaks for it.</summary>
public sealed class RecordReviewActsTests
{
    [Theory, OnBoth]
    public async Task A_record_is_looked_at_once_and_again_when_something_is_added(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("V-1");
        Task<ActReceipt> Review(Caller who, int step = 90, string note = "as asked for", string? key = null) => plant.Get<RecordReviewActs>().Review(who, new ReviewRecordRequest("V-1", step, note), key, default);
        Task Attach(string text) => plant.Get<StepFileActs>().Attach(TestPlant.Technician, new AttachFileRequest("V-1", 90, null, "chart", "chart.txt"), System.Text.Encoding.UTF8.GetBytes(text), null, default);
        async Task<(PlanLineStatus, string?)> Stands() => InspectionPlan.Of(await plant.Machine("V-1")).Single(l => l.Number == "90-R") is var line ? (line.Status, line.Note) : default;

        Assert.Equal((PlanLineStatus.NotBegun, null), await Stands());
        Assert.Equal(RecordReviewRules.NothingThere, (await plant.LeavesNothing<RefusedException>(() => Review(TestPlant.Inspector))).Rule.Id);
        await Attach("600 °C");
        Assert.Equal((PlanLineStatus.Incomplete, null), await Stands());
        await plant.LeavesNothing<NotAllowedException>(() => Review(TestPlant.Technician));
        await plant.LeavesNothing<BadInputException>(() => Review(TestPlant.Inspector, note: " "));
        await plant.LeavesNothing<NotFoundException>(() => Review(TestPlant.Inspector, step: 100));
        await plant.LeavesNothing<NotFoundException>(() => Review(TestPlant.Inspector, step: 95));

        var first = await Review(TestPlant.Inspector, note: " 600 °C held 3 h ", key: "look");
        Assert.Equal(first, await Review(TestPlant.Inspector, note: " 600 °C held 3 h ", key: "look"));
        Assert.Equal((PlanLineStatus.Recorded, "600 °C held 3 h"), await Stands());
        Assert.Equal(RecordReviewRules.ReviewedAlready, (await plant.LeavesNothing<RefusedException>(() => Review(TestPlant.OtherInspector))).Rule.Id);

        await Attach("second chart");
        Assert.Equal((PlanLineStatus.Incomplete, null), await Stands());
        await Review(TestPlant.OtherInspector, note: "both charts");
        Assert.Equal((PlanLineStatus.Recorded, "both charts"), await Stands());
        Assert.Equal(2, await plant.Count("RecordReviews"));
        await plant.Sound();
        await plant.Execute("UPDATE \"RecordReviews\" SET \"Note\" = 'never seen' WHERE \"Step\" = 90");
        Assert.Contains((await plant.Verify()).Faults, f => f.Contains("RecordReviews", StringComparison.Ordinal));
    }
}
