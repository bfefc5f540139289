using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;

namespace BuildTrack.Domain.Tests.Support;

/// <summary>Nonconformances in memory, and people by the letters of their roles: T, I, P, A.</summary>
internal static class Ncr
{
    public static ImmutableArray<string> RolesOf(string letters) =>
        [.. letters.Select(l => l switch { 'T' => Roles.Technician, 'I' => Roles.Inspector, 'P' => Roles.Planner, _ => Roles.Administrator })];

    /// <summary>A machine whose flatness is this, of 30 µm allowed, U = 2 µm: beyond 32 µm it is rejected once the corners were measured again.</summary>
    public static MachineRecord Machine(double value, long measurement = 1)
    {
        var machine = Make.Machine(Make.Measurement(measurement, 1, Make.Run(measurement + 1, 1, Make.Instrument("small difference", 2), Make.Corners.Select(c => c.Id).Zip(Make.Saddle(value)))));
        return machine with { Revision = machine.Revision with { Holds = [.. machine.Revision.Holds, new("H10", 250, "Ready for the customer"), new("H11", 260, "Factory acceptance")] } };
    }

    /// <summary>Raised from the machine's result.</summary>
    public static MachineRecord Raised(MachineRecord machine, int number = 39)
    {
        var (failed, rule) = NonconformanceRules.FromResult(machine, machine.Agreed().First());
        Assert.Null(rule);
        return With(machine, new Nonconformance(5000 + number, number, machine.Serial, 100, failed, null, Severity.Major, null, "tom", Make.Noon, []));
    }

    /// <summary>Raised for something seen.</summary>
    public static MachineRecord Seen(MachineRecord machine, int? step = 100, bool contract = false, int number = 39) => With(machine, new Nonconformance(
        5000 + number, number, machine.Serial, step, null, new SeenFault("Ra 3.2", "Ra 3.9", contract ? "contract annex 1" : "company standard", contract), Severity.Minor, null, "tom", Make.Noon, []));

    /// <summary>The machine with one more entry, allowed or not, as the acts write it.</summary>
    public static MachineRecord Enter(MachineRecord machine, NonconformanceAct act, string person, string letters, Disposition? disposition = null, int? at = null)
    {
        var of = machine.Nonconformances[^1];
        var id = at ?? 6000 + of.Entries.Length;
        var entry = new NonconformanceEntry(
            id, act, person, new Instant(Make.Noon.Microseconds + id),
            new NonconformanceDetail(
                "as said", RolesOf(letters), act == NonconformanceAct.Contain ? new Containment("red 7", "bay 2", []) : null, disposition is null ? null : CauseCategory.Method, disposition,
                act == NonconformanceAct.Consent ? new CustomerConsent("Hollis Brandt-Leigh", "letter 12") : null), null);
        if (of.Concedes(entry))
        {
            entry = entry with { Concession = 1 };
        }

        return With(machine, of with { Entries = [.. of.Entries, entry] });
    }

    /// <summary>A whole way up to a concession that an inspector and an administrator approved.</summary>
    public static MachineRecord Conceded(MachineRecord machine, bool consent = false)
    {
        machine = Enter(machine, NonconformanceAct.Contain, "tom", "T");
        machine = Enter(machine, NonconformanceAct.Propose, "ina", "I", Disposition.Concession);
        machine = consent ? Enter(machine, NonconformanceAct.Consent, "ina", "I") : machine;
        machine = Enter(machine, NonconformanceAct.Approve, "ina", "I");
        return Enter(machine, NonconformanceAct.Approve, "ada", "A");
    }

    private static MachineRecord With(MachineRecord machine, Nonconformance of) =>
        machine with { Nonconformances = [.. machine.Nonconformances.Where(n => n.Number != of.Number), of] };
}
