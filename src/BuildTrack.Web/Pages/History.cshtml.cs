using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.History;
using BuildTrack.Records.LongWork;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>The history of acts, newest first, and its check.</summary>
public sealed class HistoryModel(HistoryReader history, LongWorkBook works) : SheetPage
{
    private const int OnePage = 50;

    public ImmutableArray<ActLine> Lines { get; private set; } = [];

    [BindProperty(SupportsGet = true)]
    public string? Subject { get; set; }

    /// <summary>The latest check; null before the first.</summary>
    public LongWorkLine? Latest { get; private set; }

    /// <summary>The latest check that came to its end.</summary>
    public LongWorkLine? LastDone { get; private set; }

    /// <summary>Where older acts begin; null on the last page.</summary>
    public long? Older => Lines.Length == OnePage ? Lines[^1].Sequence : null;

    public bool MayCancel => Latest is { Open: true } open && LongWorkBook.MayCancel(Me, open);

    public static HistoryCheck Found(LongWorkLine check) => CanonicalJson.Read<HistoryCheck>(check.Outcome!);

    public Task<IActionResult> OnGet(long? before) => Show(before);

    public Task<IActionResult> OnPostCheck() => Act(
        () => works.Ask(Me, HistoryReader.Check, Cancel),
        _ =>
        {
            HttpContext.SoonWork();
            return ("/history", "");
        },
        () => Show(null));

    public Task<IActionResult> OnPostCancel(string? work) => Act(
        () => works.Cancel(Me, work ?? "", Cancel),
        done => ("/history", $"The {done.Kind} is cancelled."),
        () => Show(null));

    private async Task<IActionResult> Show(long? before)
    {
        await Open();
        var checks = await works.List(HistoryReader.Check, 20, Cancel);
        Latest = checks.FirstOrDefault();
        LastDone = checks.FirstOrDefault(c => c.State == LongWorkState.Done);
        Lines = await history.Page(before ?? long.MaxValue, OnePage, string.IsNullOrWhiteSpace(Subject) ? null : Subject.Trim(), Cancel);
        Name("History of acts", "History", Lines.IsEmpty ? "No act" : $"Act {Lines[0].Sequence} is the newest here");
        return Page();
    }
}
