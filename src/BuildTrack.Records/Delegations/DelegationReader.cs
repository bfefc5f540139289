using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Delegations;

/// <summary>Who has lent which right to whom.</summary>
public sealed class DelegationReader(Store store, TimeProvider clock)
{
    /// <summary>Every delegation, the latest first.</summary>
    public async Task<ImmutableArray<Delegation>> List(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return [.. (await All(db, ct)).Reverse()];
    }

    /// <summary>What is lent to a person today.</summary>
    public async Task<ImmutableArray<Delegation>> InForce(string person, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await InForce(db, person, Instant.Now(clock), ct);
    }

    internal static async Task<ImmutableArray<Delegation>> All(Db db, CancellationToken ct)
    {
        var ends = (await db.DelegationEnds.AsNoTracking().ToListAsync(ct)).ToDictionary(e => e.No, e => new DelegationEnd(e.By, new Instant(e.AtUs), e.Day, e.Reason));
        return [.. (await db.Delegations.AsNoTracking().OrderBy(d => d.No).ToListAsync(ct)).Select(d => ToDelegation(d, ends.GetValueOrDefault(d.No)))];
    }

    /// <summary>Delegations to a person on the day of a moment, of people who still have access and still hold what they lend.</summary>
    internal static async Task<ImmutableArray<Delegation>> InForce(Db db, string person, Instant now, CancellationToken ct)
    {
        var rows = await (from d in db.Delegations.AsNoTracking()
                          join p in db.Persons on d.By equals p.Person
                          where d.ToPerson == person && !p.Disabled && !db.DelegationEnds.Any(e => e.No == d.No)
                          orderby d.No
                          select new { Row = d, Lender = p }).ToListAsync(ct);
        if (rows.Count == 0)
        {
            return [];
        }

        var day = (await PlantReader.Time(db, ct)).Day(now);
        return [.. rows.Where(r => StillHeld(r.Row, SessionStore.ToCaller(r.Lender).Roles)).Select(r => ToDelegation(r.Row, null)).Where(d => d.Covers(day))];
    }

    /// <summary>A person with the roles that are lent to them at a moment.</summary>
    internal static async Task<Caller> WithLent(Db db, Caller own, Instant now, CancellationToken ct)
    {
        var lent = (await InForce(db, own.Person, now, ct)).Select(d => d.Lends).Except(own.Roles).Distinct().ToImmutableArray();
        return lent.IsEmpty ? own : own with { Roles = [.. own.Roles, .. lent], Lent = lent };
    }

    private static bool StillHeld(DelegationRow row, ImmutableArray<string> roles) => row.Role is { } role ? roles.Contains(role) : Permissions.May(roles, ActKind.Release);

    private static Delegation ToDelegation(DelegationRow row, DelegationEnd? end) => new(
        row.No, row.By, row.ToPerson, row.Role, [.. row.Holds.Split(' ', StringSplitOptions.RemoveEmptyEntries)], row.FromDay, row.UntilDay, row.Reason, new Instant(row.AtUs), end);
}
