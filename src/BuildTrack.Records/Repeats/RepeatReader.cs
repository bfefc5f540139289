using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Repeats;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;

namespace BuildTrack.Records.Repeats;

/// <summary>What must be repeated on a machine, with the register of today. It records nothing.</summary>
public sealed class RepeatReader(MachineReader machines, InstrumentReader register, PlantReader plant, TimeProvider clock)
{
    /// <exception cref="NotFoundException">No such machine.</exception>
    public async Task<(MachineRecord Machine, ImmutableArray<RepeatLine> Lines)> Of(string serial, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        return (machine, RepeatList.Of(machine, await register.List(ct), (await plant.Time(ct)).Day(Instant.Now(clock))));
    }
}
