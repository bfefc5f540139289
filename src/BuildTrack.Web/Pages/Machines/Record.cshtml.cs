using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The build record: hold points with their stamps, results, every measurement, acts on the bed, certificates, order terms.</summary>
public sealed class RecordModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<HoldStanding> Holds { get; private set; } = [];

    /// <summary>The first point that is not released and where something is measured: its results lie open.</summary>
    public HoldStanding? Current => Holds.FirstOrDefault(h => h.Released is null && h.Characteristics.Any(c => c.Measurement is not null)) ?? Holds.FirstOrDefault(h => h.Released is null);

    public int OpenNonconformances => Machine.Nonconformances.Count(n => n.Open);

    public WorkLine? Work { get; private set; }

    /// <summary>How many hold points this person could release on one sheet.</summary>
    public int Waiting { get; private set; }

    /// <summary>Whether the earlier measurement was replaced by a later one of the same survey.</summary>
    public bool IsReplaced(Domain.Measuring.Measurement measurement) => Machine.Current(measurement.Survey, measurement.Feature)?.Id != measurement.Id;

    public async Task OnGet(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Holds = [.. Machine.Revision.Holds.Select(Machine.StandingOfHold).Where(h => h.Characteristics.Length > 0)];
        var work = WorkLine.Of(Machine, Clock);
        Work = work.FirstOrDefault(w => w.Kind == WorkKind.Release) ?? work.FirstOrDefault();
        Waiting = May(ActKind.Release) ? ReleaseRules.Together(Machine, Me.Person).Count(p => p.WhyNot is null) : 0;
        var released = Holds.Select(h => h.Released).LastOrDefault(r => r is not null);
        Name(Machine, "Build record", "Build record", "", released is null ? "–" : NameOf(released.Person),
            released is null ? "In build" : $"{released.Hold} released", SheetSets.UrlOf(serial));
    }
}
