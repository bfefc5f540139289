using System.Collections.Immutable;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Authorization;

namespace BuildTrack.Web.Pages;

/// <summary>The inspector's queue: hold points where every result is accepted, and those returned.</summary>
[Authorize(Policy = ActKind.Release)]
public sealed class WaitingModel(MachineReader machines, MachineDigests digests, AffectedReader affected, QualificationReader qualified, DelegationReader delegations) : SheetPage
{
    public ImmutableArray<WorkLine> Lines { get; private set; } = [];

    /// <summary>How many points of each machine this person could release on one sheet.</summary>
    public IReadOnlyDictionary<string, int> Together { get; private set; } = new Dictionary<string, int>();

    /// <summary>Affected-readings reviews with a machine that is not decided.</summary>
    public ImmutableArray<FindingLine> Reviews { get; private set; } = [];

    public async Task OnGet()
    {
        await Open();
        Lines = await WorkLine.Of(digests, Cancel);
        var (together, people) = (new Dictionary<string, int>(), await qualified.Today(Cancel));
        var limit = DelegationRules.Limit(Me.Own, Me.Person, await delegations.InForce(Me.Person, Cancel));
        foreach (var serial in Lines.Where(l => l.Kind == WorkKind.Release).Select(l => l.Serial).Distinct())
        {
            var machine = await machines.Load(serial, Cancel);
            together[serial] = ReleaseRules.Together(machine, Me.Person, people, limit).Count(p => p.WhyNot is null);

            // Who may release by delegation alone sees the points that are delegated.
            Lines = limit is null ? Lines : [.. Lines.Where(l => l.Serial != serial || l.Kind != WorkKind.Release || limit(machine, l.Hold!.Hold) is null)];
        }

        Together = together;
        Reviews = [.. (await affected.List(null, Cancel)).Where(r => r.Undecided > 0)];
        Name("Waiting for release", "Work sheet", $"{Lines.Count(l => l.Kind == WorkKind.Release)} wait");
    }
}
