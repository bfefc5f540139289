using BuildTrack.Domain.Machines;
using BuildTrack.Domain.RecordReviews;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.RecordReviews;

/// <summary>Review points (trade practice: the record is looked at, nobody attends, nothing waits). The rules are the company's; expected by hand.</summary>
public sealed class RecordReviewRulesTests
{
    private static StepFile File(long id, string person = "tom", FileSetAside? aside = null, int step = 100) =>
        new(id, step, null, "chart", "chart.pdf", FileContent.Pdf, 3, new string('a', 64), person, Make.Noon, aside);

    private static RecordReview Review(long id, int step = 100) => new(id, step, "as asked for", "ina", Make.Noon);

    [Fact]
    public void There_must_be_something_to_look_at()
    {
        Assert.Equal("R-REVIEW-01", RecordReviewRules.WhyNot(Make.Machine(), 100, "ina")!.Id);
        var gone = Make.Machine() with { Files = [File(1, aside: new FileSetAside(2, "tom", Make.Noon, "other machine")), File(3, step: 90)] };
        Assert.Equal("R-REVIEW-01", RecordReviewRules.WhyNot(gone, 100, "ina")!.Id);
        Assert.Null(RecordReviewRules.WhyNot(gone with { Files = [.. gone.Files, File(4)] }, 100, "ina"));
    }

    [Fact]
    public void Who_attached_all_of_it_does_not_review_it_where_nobody_releases_what_they_did()
    {
        var own = Make.Machine() with { Files = [File(1, "ina")] };
        Assert.Equal("R-REVIEW-03", RecordReviewRules.WhyNot(own, 100, "ina")!.Id);
        Assert.Null(RecordReviewRules.WhyNot(own, 100, "ida"));
        Assert.Null(RecordReviewRules.WhyNot(own with { Files = [File(1, "ina"), File(2)] }, 100, "ina"));
        Assert.Null(RecordReviewRules.WhyNot(own with { Revision = own.Revision with { OwnReleases = true } }, 100, "ina"));
    }

    [Fact]
    public void A_review_counts_for_what_was_there_and_until_the_step_is_opened_again()
    {
        var machine = Make.Machine() with { Files = [File(1)], Reviews = [Review(5)] };
        Assert.Equal(5, RecordReviewRules.Of(machine, 100)!.Id);
        Assert.Null(RecordReviewRules.Of(machine, 90));
        Assert.Equal("R-REVIEW-02", RecordReviewRules.WhyNot(machine, 100, "ida")!.Id);

        Assert.Null(RecordReviewRules.Of(machine with { Files = [File(1), File(6)] }, 100));
        Assert.NotNull(RecordReviewRules.Of(machine with { Files = [File(1), File(6, step: 90)] }, 100));
        Assert.Null(RecordReviewRules.Of(machine with { Files = [File(1, aside: new FileSetAside(7, "tom", Make.Noon, "blurred")), File(2)] }, 100));
        RouteEntry Entry(long id, RouteAct act) => new(id, 100, act, "tilda", Make.Noon, "once more");
        Assert.Null(RecordReviewRules.Of(machine with { RouteCard = [Entry(8, RouteAct.Reopen)] }, 100));
        Assert.NotNull(RecordReviewRules.Of(machine with { RouteCard = [Entry(4, RouteAct.Reopen), Entry(8, RouteAct.Finish)] }, 100));
        Assert.Equal(9, RecordReviewRules.Of(machine with { RouteCard = [Entry(8, RouteAct.Reopen)], Reviews = [Review(5), Review(9)] }, 100)!.Id);
    }
}
