using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.Route;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>The queue of every work centre: what waits there, since when, planned and actual hours.</summary>
public sealed class WorkCentresModel(WorkCentreReader reader) : SheetPage
{
    public ImmutableArray<WorkCentreQueue> Queues { get; private set; } = [];

    public async Task OnGet()
    {
        await Open();
        Queues = await reader.Queues(Cancel);
        Name("Work centres", "Queue sheet", $"{Queues.Sum(q => q.Steps.Length)} steps can be worked on");
    }

    /// <summary>"3 d" or "5 h": how long something waits, in hours below two days.</summary>
    public string Ago(Instant since)
    {
        var hours = Math.Max(0, (Now.Microseconds - since.Microseconds) / 3_600_000_000);
        return hours < 48 ? FormattableString.Invariant($"{hours} h") : FormattableString.Invariant($"{hours / 24} d");
    }
}
