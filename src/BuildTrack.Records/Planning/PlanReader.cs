using System.Collections.Concurrent;
using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Planning;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;

namespace BuildTrack.Records.Planning;

/// <summary>Before measuring: what the register of today can prove. It records nothing.</summary>
public sealed class PlanReader(MachineReader machines, InstrumentReader register, PlantReader plant, TimeProvider clock)
{
    /// <summary>All ways to measure one check of a machine, with what each would prove.</summary>
    /// <param name="share">How much of the limit shall be provable; null: the company's standard.</param>
    /// <exception cref="NotFoundException">No such machine or line.</exception>
    /// <exception cref="BadInputException">A share that is not above 0 and below 1.</exception>
    public async Task<(MachineRecord Machine, CharacteristicStanding Standing, PlanAnswer Answer)> Of(string serial, string line, double? share, CancellationToken ct)
    {
        var wanted = share ?? MeasuringPlans.WantedShare;
        if (wanted is not (> 0 and < 1))
        {
            throw new BadInputException([new InputFault("share", wanted.ToString(CultureInfo.InvariantCulture), "a number above 0 and below 1, such as 0.5")]);
        }

        var machine = await machines.Load(serial, ct);
        var agreed = machine.AgreedAt(line);
        return (machine, machine.StandingOf(agreed), MeasuringPlans.Of(machine, agreed, await register.List(ct), await Today(ct), wanted));
    }

    // The last answers: neither a revision nor a day's register changes.
    private readonly ConcurrentDictionary<string, ImmutableArray<UnprovableLimit>> known = new();

    /// <summary>The limits of a revision that no instrument of the register can prove today: a warning, never a refusal.</summary>
    public async Task<ImmutableArray<UnprovableLimit>> Unprovable(ChecklistRevision revision, CancellationToken ct)
    {
        var (entries, day) = (await register.List(ct), await Today(ct));
        var key = $"{revision.Hash} {day} {CanonicalJson.Hash(CanonicalJson.Of(entries.Select(e => new { e, e.CheckFailed })))}";
        if (known.TryGetValue(key, out var found))
        {
            return found;
        }

        if (known.Count > 20)
        {
            known.Clear();
        }

        return known[key] = MeasuringPlans.Unprovable(revision, entries, day);
    }

    private async Task<string> Today(CancellationToken ct) => (await plant.Time(ct)).Day(Instant.Now(clock));
}
