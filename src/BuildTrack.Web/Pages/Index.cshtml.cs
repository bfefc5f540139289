using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>Today's work, by role: what to measure, what to release, what to approve.</summary>
public sealed class IndexModel(MachineReader machines, MachineDigests digests, ChecklistReader checklists, SetUpSteps setUp) : SheetPage
{
    public ImmutableArray<WorkLine> Lines { get; private set; } = [];

    /// <summary>Machines that are in work.</summary>
    public ImmutableArray<MachineLine> Machines { get; private set; } = [];

    public ImmutableArray<ChecklistLine> ToApprove { get; private set; } = [];

    /// <summary>What a new plant has still to set up; empty for everybody but an administrator, and once all is done.</summary>
    public ImmutableArray<SetUpStep> SetUp { get; private set; } = [];

    /// <summary>Any machine is in the record, complete or not.</summary>
    public bool AnyMachine { get; private set; }

    public IEnumerable<WorkLine> ToMeasure => Lines.Where(l => l.Kind != WorkKind.Release);

    public IEnumerable<WorkLine> ToRelease => Lines.Where(l => l.Kind == WorkKind.Release);

    public bool Is(string role) => Me.Roles.Contains(role);

    public async Task OnGet()
    {
        await Open();
        var all = await machines.List(Cancel);
        (Lines, Machines, AnyMachine) = (await WorkLine.Of(digests, Cancel), [.. all.Where(m => !m.Complete)], !all.IsEmpty);
        if (Is(Roles.Administrator))
        {
            SetUp = await setUp.Of(Cancel);
            ToApprove = [.. (await checklists.List(Cancel)).Where(c => c.ApprovedAt is null)];
        }

        Name("Today's work", "Work sheet", string.Join(", ", Me.Roles), "/");
    }
}
