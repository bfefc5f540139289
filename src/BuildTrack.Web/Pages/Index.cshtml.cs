using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>Today's work, by role: what to measure, what to release, what to approve.</summary>
public sealed class IndexModel(MachineReader machines, ChecklistReader checklists) : SheetPage
{
    public ImmutableArray<WorkLine> Lines { get; private set; } = [];

    public ImmutableArray<MachineLine> Machines { get; private set; } = [];

    public ImmutableArray<ChecklistLine> ToApprove { get; private set; } = [];

    public IEnumerable<WorkLine> ToMeasure => Lines.Where(l => l.Kind != WorkKind.Release);

    public IEnumerable<WorkLine> ToRelease => Lines.Where(l => l.Kind == WorkKind.Release);

    public bool Is(string role) => Me.Roles.Contains(role);

    public async Task OnGet()
    {
        await Open();
        var all = await machines.LoadAll(Cancel);
        (Lines, Machines) = (WorkLine.Of(all, Clock), [.. all.Select(m => MachineReader.Line(m, Clock))]);
        if (Is(Roles.Administrator))
        {
            ToApprove = [.. (await checklists.List(Cancel)).Where(c => c.ApprovedAt is null)];
        }

        Name("Today's work", "Work sheet", string.Join(", ", Me.Roles), "/");
    }
}
