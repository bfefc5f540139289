using System.Collections.Immutable;
using System.Security.Cryptography;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.People;

/// <param name="Secret">To be carried by the cookie; null when refused.</param>
public sealed record SignInResult(string? Secret, Caller? Caller, string? RefusedBecause);

/// <summary>Sessions and tokens in one table, asked at every request: what ends here ends everywhere at once.</summary>
public sealed class SessionStore(Store store, PasswordCheck passwords, TimeProvider clock)
{
    /// <summary>A shared tablet left alone.</summary>
    private static readonly TimeSpan Idle = TimeSpan.FromMinutes(30);

    /// <summary>One shift.</summary>
    private static readonly TimeSpan Longest = TimeSpan.FromHours(12);

    /// <summary>A token of a script or a gauge.</summary>
    internal static readonly TimeSpan TokenLife = TimeSpan.FromDays(90);

    /// <summary>Opens a session; a wrong password changes nothing.</summary>
    /// <param name="instead">The secret of the session that ends with it: the next person at a shared tablet.</param>
    public async Task<SignInResult> SignIn(string person, string password, CancellationToken ct, string? instead = null)
    {
        var (row, because) = await passwords.Check(person, password, ct);
        if (row is null)
        {
            return new SignInResult(null, null, because);
        }

        await using (var db = store.Open())
        {
            await ShortSignIn.Unlock(db, person, ct);
        }

        return await Begin(row, null, null, instead, ct);
    }

    /// <summary>Opens a session for somebody who showed who they are.</summary>
    /// <param name="begun">pin or badge; null for the password.</param>
    /// <param name="tablet">Where by badge or PIN.</param>
    internal async Task<SignInResult> Begin(PersonRow row, string? begun, long? tablet, string? instead, CancellationToken ct)
    {
        var (secret, now) = (NewSecret(), Instant.Now(clock));
        await using var db = store.Open();
        var session = NewRow(secret, row.Person, bearer: false, now);
        (session.Begun, session.Tablet) = (begun, tablet);
        db.Sessions.Add(session);
        var before = instead is null ? null : CanonicalJson.Hash(instead);
        if (before is not null && await db.Sessions.SingleOrDefaultAsync(s => s.SecretHash == before && s.EndedUs == null, ct) is { } earlier)
        {
            earlier.EndedUs = now.Microseconds;
        }

        await db.SaveChangesAsync(ct);
        return new SignInResult(secret, ToCaller(row), null);
    }

    /// <summary>The person behind a secret, with the roles held now, lent ones included; null when it is unknown, ended, too old or too long idle.</summary>
    public async Task<Caller?> Find(string secret, CancellationToken ct)
    {
        var hash = CanonicalJson.Hash(secret);
        await using var db = store.OpenToRead();
        var found = await (from s in db.Sessions join p in db.Persons on s.Person equals p.Person where s.SecretHash == hash select new { s, p }).SingleOrDefaultAsync(ct);
        var now = Instant.Now(clock);
        if (found is null || found.p.Disabled || found.s.EndedUs is not null
            || now.Microseconds - found.s.CreatedUs > (long)(found.s.Bearer ? TokenLife : Longest).TotalMicroseconds
            || (!found.s.Bearer && now.Microseconds - found.s.LastUs > (long)Idle.TotalMicroseconds))
        {
            return null;
        }

        // Once a minute is enough to know that somebody is there.
        if (now.Microseconds - found.s.LastUs > 60_000_000)
        {
            try
            {
                db.Database.SetCommandTimeout(TimeSpan.FromSeconds(1));
                await db.Sessions.Where(s => s.SecretHash == hash).ExecuteUpdateAsync(s => s.SetProperty(r => r.LastUs, now.Microseconds), ct);
            }
            catch (Exception error) when (Store.IsBusy(error))
            {
                // A long act holds the record; the next request notes it.
            }
        }

        return await DelegationReader.WithLent(db, ToCaller(found.p) with { ByPin = found.s.Begun is not null }, now, ct);
    }

    public async Task SignOut(string secret, CancellationToken ct)
    {
        var (hash, now) = (CanonicalJson.Hash(secret), Instant.Now(clock).Microseconds);
        await using var db = store.Open();
        await db.Sessions.Where(s => s.SecretHash == hash && s.EndedUs == null).ExecuteUpdateAsync(s => s.SetProperty(r => r.EndedUs, now), ct);
    }

    internal static string NewSecret() => Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(32));

    internal static SessionRow NewRow(string secret, string person, bool bearer, Instant now) => new()
    {
        SecretHash = CanonicalJson.Hash(secret), Person = person, Bearer = bearer, CreatedUs = now.Microseconds, LastUs = now.Microseconds,
    };

    internal static Caller ToCaller(PersonRow row) =>
        new(row.Person, row.Name, [.. row.Roles.Split(' ', StringSplitOptions.RemoveEmptyEntries)]);
}
