using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.History;
using BuildTrack.Records.LongWork;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Api;

/// <summary>The history of acts, and its check as a long work.</summary>
internal static class HistoryApi
{
    private const int PageLength = 100;
    private const int Checks = 20;

    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/history", History).WithSummary("The history of acts, newest first, 100 a page; 'next' leads on.");
        api.MapGet("/history/checks", List).WithSummary("The latest 20 checks of the whole record.");
        api.MapPost("/history/checks", Ask).WithSummary("Asks for a check of the whole record: chain, readings, calculations, kept files, every other row. It goes on by itself; one that is open is the answer.");
        api.MapGet("/history/checks/{work}", One).WithSummary("How far a check is, and what it found.");
        api.MapPost("/history/checks/{work}/cancel", Cancel).WithSummary("Cancels a check that has not ended.");
    }

    public sealed record HistoryAnswer(ImmutableArray<ActLine> Acts, string? Next);

    /// <param name="Words">Where it stands, in words.</param>
    /// <param name="Found">What the check found; null before its end.</param>
    public sealed record CheckAnswer(
        string Check, LongWorkState State, string Words, string Person, Instant Asked, Progress Progress, string? Fault, Instant? Ended, string? CancelledBy, HistoryCheck? Found)
    {
        public static CheckAnswer Of(LongWorkLine work) => new(
            work.Work, work.State, LongWorkWords.Of(work), work.Person, work.Asked, work.Progress, work.Fault, work.Ended, work.CancelledBy,
            work.Outcome is null ? null : CanonicalJson.Read<HistoryCheck>(work.Outcome));
    }

    private static async Task<HistoryAnswer> History(long? before, string? subject, HistoryReader history, CancellationToken ct)
    {
        var acts = await history.Page(before ?? long.MaxValue, PageLength, subject, ct);
        return new HistoryAnswer(acts, acts.Length < PageLength ? null
            : $"/api/v1/history?before={acts[^1].Sequence}{(subject is null ? "" : $"&subject={Uri.EscapeDataString(subject)}")}");
    }

    private static async Task<ImmutableArray<CheckAnswer>> List(LongWorkBook works, CancellationToken ct) => [.. (await works.List(HistoryReader.Check, Checks, ct)).Select(CheckAnswer.Of)];

    private static async Task<IResult> Ask(LongWorkBook works, HttpContext context, CancellationToken ct)
    {
        var check = await works.Ask(context.Caller(), HistoryReader.Check, ct);
        context.SoonWork();
        return TypedResults.Accepted($"/api/v1/history/checks/{check.Work}", CheckAnswer.Of(check));
    }

    private static async Task<CheckAnswer> One(string work, LongWorkBook works, CancellationToken ct) => CheckAnswer.Of(await works.Find(work, ct));

    private static async Task<CheckAnswer> Cancel(string work, LongWorkBook works, HttpContext context, CancellationToken ct) => CheckAnswer.Of(await works.Cancel(context.Caller(), work, ct));
}
