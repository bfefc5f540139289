using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.ResultSeries;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.ResultSeries;

/// <summary>Reads what the series of a machine need beside its record: calculations that were released and are no longer the current ones.</summary>
public sealed class SeriesReader(Store store)
{
    public async Task<ImmutableArray<SeriesStanding>> Of(MachineRecord machine, CancellationToken ct)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var wanted = SeriesStanding.Earlier(machine);
        if (wanted.IsEmpty)
        {
            return SeriesStanding.Of(machine, []);
        }

        await using var db = store.OpenToRead();
        var lines = machine.Revision.Series.SelectMany(s => s.Results).Select(id => machine.Revision.Characteristics.Single(c => c.Id == id).Line).ToList();
        var ids = (await db.Evaluations.Where(e => e.Serial == machine.Serial && lines.Contains(e.Line)).Select(e => new { e.Id, e.Hash }).ToListAsync(ct)).Where(e => wanted.Contains(e.Hash)).Select(e => e.Id).ToList();
        return SeriesStanding.Of(machine, await EvaluationCache.Read(db, ids, ct));
    }
}
