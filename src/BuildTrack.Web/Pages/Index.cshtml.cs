using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>Today's work, by role: what to measure, what to release, what to approve.</summary>
public sealed class IndexModel(MachineReader machines, MachineDigests digests, ChecklistReader checklists) : SheetPage
{
    public ImmutableArray<WorkLine> Lines { get; private set; } = [];

    /// <summary>Machines that are in work.</summary>
    public ImmutableArray<MachineLine> Machines { get; private set; } = [];

    public ImmutableArray<ChecklistLine> ToApprove { get; private set; } = [];

    public IEnumerable<WorkLine> ToMeasure => Lines.Where(l => l.Kind != WorkKind.Release);

    public IEnumerable<WorkLine> ToRelease => Lines.Where(l => l.Kind == WorkKind.Release);

    public bool Is(string role) => Me.Roles.Contains(role);

    public async Task OnGet()
    {
        await Open();
        (Lines, Machines) = (await WorkLine.Of(digests, Cancel), [.. (await machines.List(Cancel)).Where(m => !m.Complete)]);
        if (Is(Roles.Administrator))
        {
            ToApprove = [.. (await checklists.List(Cancel)).Where(c => c.ApprovedAt is null)];
        }

        Name("Today's work", "Work sheet", string.Join(", ", Me.Roles), "/");
    }
}
