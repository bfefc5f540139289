using System.Collections.Immutable;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.People;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The build record: hold points with their stamps, results, every measurement, acts on the bed, certificates, order terms.</summary>
public sealed class RecordModel(MachineReader machines, QualificationReader qualified, DelegationReader delegations, ReadyDateReader ready) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<HoldStanding> Holds { get; private set; } = [];

    /// <summary>The first point that is not released and where something is measured: its results lie open.</summary>
    public HoldStanding? Current => Holds.FirstOrDefault(h => h.Released is null && h.Characteristics.Any(c => c.Measurement is not null)) ?? Holds.FirstOrDefault(h => h.Released is null);

    /// <summary>What that point waits for; null where every point is released.</summary>
    public ObstaclesView? Blocks { get; private set; }

    public int OpenNonconformances => Machine.Nonconformances.Count(n => n.Open);

    public WorkLine? Work { get; private set; }

    /// <summary>Null once it has left the plant.</summary>
    public ReadyDate? Date { get; private set; }

    public Holidays Holidays { get; private set; } = Holidays.None;

    /// <summary>The name of a work centre.</summary>
    public Func<string, string> CentreName { get; private set; } = c => c;

    /// <summary>How many hold points this person could release on one sheet.</summary>
    public int Waiting { get; private set; }

    /// <summary>Whether the earlier measurement was replaced by a later one of the same survey.</summary>
    public bool IsReplaced(Domain.Measuring.Measurement measurement) => Machine.Current(measurement.Survey, measurement.Feature)?.Id != measurement.Id;

    public async Task OnGet(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Holds = [.. Machine.Revision.Holds.Select(Machine.StandingOfHold).Where(h => h.Characteristics.Length > 0)];
        Blocks = Current is { Released: null } current ? ObstaclesView.Of(Machine, current.Hold, 2) : null;
        var work = WorkLine.Of(Machine, Clock);
        Work = work.FirstOrDefault(w => w.Kind == WorkKind.Release) ?? work.FirstOrDefault();
        Waiting = !May(ActKind.Release) ? 0 : ReleaseRules.Together(
            Machine, Me.Person, await qualified.Today(Cancel), DelegationRules.Limit(Me.Own, Me.Person, await delegations.InForce(Me.Person, Cancel))).Count(p => p.WhyNot is null);
        var today = await ready.Today(Cancel);
        (Date, Holidays, CentreName) = (today.Plan.Of(serial), today.Holidays, today.Plan.NameOf);
        var released = Holds.Select(h => h.Released).LastOrDefault(r => r is not null);
        Name(Machine, "Build record", "Build record", "", released is null ? "–" : NameOf(released.Person),
            released is null ? "In build" : $"{released.Hold} released", SheetSets.UrlOf(serial));
    }
}
