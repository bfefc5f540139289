using System.Collections.Immutable;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>Every nonconformance that is not closed, the most severe first: what, where it stands, whom it waits for, since when.</summary>
public sealed class NonconformancesModel(NonconformanceReader reader) : SheetPage
{
    public ImmutableArray<Nonconformance> Unclosed { get; private set; } = [];

    /// <summary>The latest that were closed.</summary>
    public ImmutableArray<Nonconformance> Closed { get; private set; } = [];

    public async Task OnGet()
    {
        await Open();
        var all = await reader.All(Cancel);
        Unclosed = [.. all.Where(n => n.Standing.State != NonconformanceState.Closed).OrderBy(n => n.Severity).ThenBy(n => n.Number)];
        Closed = [.. all.Where(n => n.Standing.State == NonconformanceState.Closed).OrderByDescending(n => n.Number).Take(20)];
        Name("Nonconformances", "List of nonconformances", $"{Unclosed.Length} not closed");
    }
}
