using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Records.Route;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>The queue of every work centre: what waits there, since when, planned and actual hours.</summary>
public sealed class WorkCentresModel(WorkCentreReader reader, ReadyDateReader ready) : SheetPage
{
    public ImmutableArray<WorkCentreQueue> Queues { get; private set; } = [];

    /// <summary>This week and the three after it, of the work centres where anything is placed.</summary>
    public ImmutableArray<CentreLoad> Loads { get; private set; } = [];

    public async Task OnGet()
    {
        await Open();
        Loads = [.. (await ready.Today(Cancel)).Plan.Loads(4).Where(l => l.Weeks.Any(w => w.Work > 0 || w.Waiting > 0))];
        Queues = await reader.Queues(Cancel);
        Name("Work centres", "Queue sheet", $"{Queues.Sum(q => q.Steps.Count(s => s.MayStart))} steps may start now");
    }

    /// <summary>"3 d" or "5 h": how long something waits, in hours below two days.</summary>
    public string Ago(Instant since)
    {
        var hours = Math.Max(0, (Now.Microseconds - since.Microseconds) / 3_600_000_000);
        return hours < 48 ? FormattableString.Invariant($"{hours} h") : FormattableString.Invariant($"{hours / 24} d");
    }
}
