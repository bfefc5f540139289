using System.Collections.Immutable;
using BuildTrack.Records.History;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>The history of acts, newest first, and its check.</summary>
public sealed class HistoryModel(HistoryReader history) : SheetPage
{
    private const int OnePage = 50;

    public ImmutableArray<ActLine> Lines { get; private set; } = [];

    [BindProperty(SupportsGet = true)]
    public string? Subject { get; set; }

    public HistoryCheck? Check { get; private set; }

    /// <summary>Where older acts begin; null on the last page.</summary>
    public long? Older => Lines.Length == OnePage ? Lines[^1].Sequence : null;

    public Task OnGet(long? before) => Show(before);

    public async Task OnPost()
    {
        Check = await history.Verify(Cancel);
        await Show(null);
    }

    private async Task Show(long? before)
    {
        await Open();
        Lines = await history.Page(before ?? long.MaxValue, OnePage, string.IsNullOrWhiteSpace(Subject) ? null : Subject.Trim(), Cancel);
        Name("History of acts", "History", Lines.IsEmpty ? "No act" : $"Act {Lines[0].Sequence} is the newest here");
    }
}
