using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Instruments;

/// <summary>A state of an instrument in the register, with who entered it and when.</summary>
public sealed record RegisterState(RegisterEntry Entry, Instant At, string By);

public sealed class InstrumentReader(Store store)
{
    /// <summary>Every state of one instrument, the latest first.</summary>
    /// <exception cref="NotFoundException">No such instrument.</exception>
    public async Task<ImmutableArray<RegisterState>> States(string id, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var rows = await db.Instruments.AsNoTracking().Where(r => r.Id == id).OrderByDescending(r => r.Revision).ToListAsync(ct);
        return rows.Count == 0 ? throw new NotFoundException($"There is no instrument {id}.")
            : [.. rows.Select(r => new RegisterState(CanonicalJson.Read<RegisterEntry>(r.Entry), new Instant(r.AtUs), r.By))];
    }

    /// <summary>The register as it stands: the latest state of every instrument.</summary>
    public async Task<ImmutableArray<RegisterEntry>> List(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return [.. (await db.Instruments.ToListAsync(ct)).GroupBy(r => r.Id).OrderBy(g => g.Key, StringComparer.Ordinal)
            .Select(g => CanonicalJson.Read<RegisterEntry>(g.MaxBy(r => r.Revision)!.Entry))];
    }
}

public sealed class InstrumentActs(ActRunner acts)
{
    /// <summary>Enters an instrument, or its next state. Runs keep the state that stood when they began.</summary>
    public Task<ActReceipt> Register(Caller who, RegisterInstrumentRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RegisterInstrument, request, key, async act =>
        {
            var entry = request.Entry;
            MachineActs.Throw(Faults(entry));
            var revision = await act.Db.Instruments.Where(i => i.Id == entry.Id).MaxAsync(i => (int?)i.Revision, ct) + 1 ?? 1;
            entry = entry with { Revision = revision };
            act.Db.Instruments.Add(new InstrumentRow { Id = entry.Id, Revision = revision, Entry = CanonicalJson.Of(entry), AtUs = act.Now.Microseconds, By = who.Person });
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, entry.Id), entry.Id, entry);
        }, ct);

    private static List<InputFault> Faults(RegisterEntry entry)
    {
        var faults = MachineActs.Texts(
            ("instrument number", entry.Id), ("name", entry.Name), ("serial", entry.Serial), ("quantity", entry.Quantity), ("certificate", entry.Certificate));
        foreach (var (where, day) in new[] { ("calibrated on", entry.CalibratedOn), ("valid to", entry.ValidTo) })
        {
            if (!DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out _))
            {
                faults.Add(new InputFault(where, $"'{day}'", "a date like 2026-11-25"));
            }
        }

        if (faults.Count == 0 && string.CompareOrdinal(entry.ValidTo, entry.CalibratedOn) < 0)
        {
            faults.Add(new InputFault("valid to", entry.ValidTo, $"{entry.CalibratedOn} or later"));
        }

        if (!Units.Known.Contains(entry.Unit))
        {
            faults.Add(new InputFault("unit", $"'{entry.Unit}'", string.Join(", ", Units.Known)));
        }

        foreach (var figure in entry.Figures)
        {
            var where = $"uncertainty for '{figure.Use}'";
            if (figure.A.Value < 0 || figure.A.Calculated + (figure.BPerMetre?.Calculated ?? 0) <= 0)
            {
                faults.Add(new InputFault(where, figure.A.ToString(), "more than 0"));
            }

            if (figure.K is not (>= 1 and <= 4))
            {
                faults.Add(new InputFault($"{where}, k", figure.K.ToString(CultureInfo.InvariantCulture), "1 to 4"));
            }

            faults.AddRange(new[] { figure.A, figure.BPerMetre, figure.Random, figure.Common }.OfType<Amount>()
                .Where(a => Units.Calculated(a.Unit) != Units.Calculated(entry.Unit) || a.Value < 0)
                .Select(a => new InputFault(where, a.ToString(), $"a value of at least 0 in a unit like {entry.Unit}")));
        }

        return faults;
    }
}
