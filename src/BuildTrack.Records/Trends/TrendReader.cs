using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Trends;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Trends;

/// <summary>Trends over every machine of the plant.</summary>
public sealed class TrendReader(Store store, MachineDigests digests, NonconformanceReader nonconformances, PlantReader plant, TimeProvider clock)
{
    /// <summary>Says what is needed of each machine, before the first who asks.</summary>
    public static void Needs(MachineDigests digests) => digests.Needs(Derive);

    public async Task<TrendReport> Read(CancellationToken ct)
    {
        var machines = await digests.Of(Derive, ct);
        await using var db = store.OpenToRead();
        var rows = await CheckHistoryReader.Firsts(db).Select(e => new { e.Serial, e.Line, e.Verdict, e.AtUs }).ToListAsync(ct);
        return TrendReports.Of(
            machines, rows.Select(r => new FirstResult(r.Serial, r.Line, r.Verdict == (int)Verdict.Accepted, new Instant(r.AtUs))), await nonconformances.All(ct), await plant.Time(ct), Instant.Now(clock));
    }

    private static MachineWork Derive(MachineRecord machine, PlantTime time) => TrendReports.Of(machine);
}
