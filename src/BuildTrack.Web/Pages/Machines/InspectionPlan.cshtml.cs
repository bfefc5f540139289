using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.InspectionPlans;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The inspection and test plan of a machine, line by line with how each stands; and what one hold point waits for.</summary>
public sealed class InspectionPlanModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<PlanLine> Lines { get; private set; } = [];

    /// <summary>The points of this machine.</summary>
    public IEnumerable<HoldPoint> Points => Lines.Where(l => l.Kind == PlanLineKind.Hold).Select(l => l.Hold!);

    /// <summary>The point that is asked about; null for a machine without one.</summary>
    public ObstaclesView? Asked { get; private set; }

    /// <summary>Somebody asked about this point: what it waits for lies open.</summary>
    public bool Chosen { get; private set; }

    /// <summary>How many lines stand so, in the order of the first of them.</summary>
    public IEnumerable<(string Word, int Count)> Counts => Lines.GroupBy(l => l.Word).OrderBy(g => g.Min(l => l.Status)).Select(g => (g.Key, g.Count()));

    /// <summary>"Edition A (1a2b3c4d), frozen 2026-11-02 08:00".</summary>
    public string Frozen => $"edition {Machine.Revision.Edition} ({Machine.Revision.Hash[..8]}){(Machine.RevisionApproved ? "" : ", not yet approved")}, frozen for this machine {Clock.Short(Machine.Ordered)}";

    /// <param name="hold">The point to ask about; without one the point "ready for the customer", or the first that is not released.</param>
    public async Task OnGet(string serial, string? hold)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Lines = InspectionPlan.Of(Machine);
        var asked = hold is not null
            ? Points.FirstOrDefault(h => h.Id == hold) ?? throw new NotFoundException($"{serial} has no hold point {hold}.")
            : Points.FirstOrDefault(h => h.Id == NonconformanceRules.CustomerPoint) ?? Points.FirstOrDefault();
        Chosen = hold is not null;
        Asked = asked is null ? null : ObstaclesView.Of(Machine, asked, 1);
        var released = Lines.LastOrDefault(l => l is { Kind: PlanLineKind.Hold, Released: not null })?.Released;
        Name(
            Machine, "Inspection and test plan", "Inspection and test plan", "ITP", released is null ? "–" : NameOf(released.Person), $"{Lines.Count(l => l.Status is PlanLineStatus.Accepted or PlanLineStatus.Conceded or PlanLineStatus.Recorded or PlanLineStatus.Released)} of {Lines.Length} lines done",
            $"{SheetSets.UrlOf(serial)}/inspection-plan");
    }
}
