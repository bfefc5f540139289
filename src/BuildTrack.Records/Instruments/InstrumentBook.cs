using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Instruments;

/// <summary>A state of an instrument in the register, with who entered it and when.</summary>
/// <param name="Step">What it tells about the state before: interval, drift.</param>
public sealed record RegisterState(RegisterEntry Entry, Instant At, string By, CalibrationStep Step);

/// <summary>Everything that is recorded of one instrument.</summary>
/// <param name="Entry">As it stands: the latest state, with a check that failed.</param>
/// <param name="States">The latest first; so are all that follow.</param>
public sealed record InstrumentHistory(
    RegisterEntry Entry, ImmutableArray<RegisterState> States, ImmutableArray<InstrumentCheck> Checks, ImmutableArray<LevelReversal> Reversals, ImmutableArray<StoredGaugeStudy> Studies)
{
    /// <summary>The day from which readings are in doubt where it is found out of limits today.</summary>
    public string LastGood => InstrumentRules.LastGood(Entry, Checks);
}

public sealed class InstrumentReader(Store store)
{
    /// <summary>Every state of one instrument and everything done with it.</summary>
    /// <exception cref="NotFoundException">No such instrument.</exception>
    public async Task<InstrumentHistory> History(string id, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var rows = await db.Instruments.AsNoTracking().Where(r => r.Id == id).OrderBy(r => r.Revision).ToListAsync(ct);
        if (rows.Count == 0)
        {
            throw new NotFoundException($"There is no instrument {id}.");
        }

        var entries = rows.Select(r => CanonicalJson.Read<RegisterEntry>(r.Entry)).ToList();
        var states = CalibrationHistory.Of(entries).Zip(rows, (s, r) => new RegisterState(s.Entry, new Instant(r.AtUs), r.By, s)).Reverse().ToImmutableArray();
        var done = (await db.InstrumentRecords.AsNoTracking().Where(r => r.Instrument == id).OrderByDescending(r => r.Id).ToListAsync(ct)).ToLookup(r => (InstrumentRecordKind)r.Kind, r => r.Detail);
        ImmutableArray<T> Of<T>(InstrumentRecordKind kind) => [.. done[kind].Select(CanonicalJson.Read<T>)];
        var checks = Of<InstrumentCheck>(InstrumentRecordKind.Check);
        return new InstrumentHistory(
            entries[^1] with { LastChecked = checks.FirstOrDefault()?.Day, CheckFailed = InstrumentRules.WhyFailed(entries, checks.FirstOrDefault()) }, states, checks,
            Of<LevelReversal>(InstrumentRecordKind.Reversal), Of<StoredGaugeStudy>(InstrumentRecordKind.GaugeStudy));
    }

    /// <summary>The register as it stands: the latest state of every instrument.</summary>
    public async Task<ImmutableArray<RegisterEntry>> List(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var checks = db.InstrumentRecords.Where(r => r.Kind == (int)InstrumentRecordKind.Check);
        var last = (await checks.AsNoTracking().Where(r => checks.GroupBy(c => c.Instrument).Select(g => g.Max(c => c.Id)).Contains(r.Id)).ToListAsync(ct))
            .ToDictionary(r => r.Instrument, r => CanonicalJson.Read<InstrumentCheck>(r.Detail), StringComparer.Ordinal);
        return [.. (await db.Instruments.AsNoTracking().ToListAsync(ct)).GroupBy(r => r.Id).OrderBy(g => g.Key, StringComparer.Ordinal)
            .Select(g => Standing([.. g], last.GetValueOrDefault(g.Key)))];
    }

    /// <summary>One instrument as it stands, with its checks in the order of recording; null where there is none.</summary>
    internal static async Task<(RegisterEntry Entry, ImmutableArray<InstrumentCheck> Checks)?> Find(Db db, string id, CancellationToken ct)
    {
        var rows = await db.Instruments.AsNoTracking().Where(i => i.Id == id).ToListAsync(ct);
        if (rows.Count == 0)
        {
            return null;
        }

        var checks = (await db.InstrumentRecords.AsNoTracking().Where(r => r.Instrument == id && r.Kind == (int)InstrumentRecordKind.Check).OrderBy(r => r.Id).Select(r => r.Detail).ToListAsync(ct))
            .Select(CanonicalJson.Read<InstrumentCheck>).ToImmutableArray();
        return (Standing(rows, checks.LastOrDefault()), checks);
    }

    // Earlier states matter only where a check failed: was there a calibration since?
    private static RegisterEntry Standing(List<InstrumentRow> rows, InstrumentCheck? last)
    {
        var entry = CanonicalJson.Read<RegisterEntry>(rows.MaxBy(r => r.Revision)!.Entry);
        return last is not { Good: false } ? entry with { LastChecked = last?.Day }
            : entry with { LastChecked = last.Day, CheckFailed = InstrumentRules.WhyFailed(rows.OrderBy(r => r.Revision).Select(r => CanonicalJson.Read<RegisterEntry>(r.Entry)), last) };
    }
}
