using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Codes;
using BuildTrack.Domain.People;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.People;

/// <summary>Changes the person on an enrolled tablet by badge or PIN. The session is marked; it signs nothing.</summary>
public sealed class ShortSignIn(Store store, SessionStore sessions, TabletReader tablets)
{
    private const string Wrong = "person or PIN is wrong";

    private static readonly Lazy<string> NobodysHash = new(() => PasswordCheck.Hash("000000", filling: false));

    /// <param name="tablet">The tablet's secret.</param>
    /// <param name="instead">The secret of the session that ends with it.</param>
    public async Task<SignInResult> ByPin(string person, string pin, string? tablet, string? instead, CancellationToken ct)
    {
        if (await tablets.Find(tablet, ct) is not { } at)
        {
            return Refused(PinRules.Unenrolled.Sentence.TrimEnd('.'));
        }

        await using var db = store.Open();
        var row = await db.Persons.AsNoTracking().SingleOrDefaultAsync(p => p.Person == person && !p.Disabled, ct);
        var set = await db.Pins.AsNoTracking().Where(p => p.Person == person).OrderByDescending(p => p.Id).FirstOrDefaultAsync(ct);
        if (row is null || set is null)
        {
            PasswordCheck.Matches(NobodysHash.Value, pin);
            return Refused(Wrong);
        }

        // The attempt is counted before it is looked at: many at once are not more than five.
        if (await db.PinTries.Where(t => t.Person == person && t.Failures < PinRules.Attempts).ExecuteUpdateAsync(t => t.SetProperty(r => r.Failures, r => r.Failures + 1), ct) == 0)
        {
            return Refused(PinRules.WhyLocked(row.Name).Sentence);
        }

        if (!PasswordCheck.Matches(set.PinHash, pin))
        {
            var failures = await db.PinTries.AsNoTracking().Where(t => t.Person == person).Select(t => t.Failures).SingleAsync(ct);
            return Refused(failures >= PinRules.Attempts ? PinRules.WhyLocked(row.Name).Sentence : $"{Wrong}; {PinRules.Attempts - failures} more {(PinRules.Attempts - failures == 1 ? "attempt" : "attempts")}, then only the password opens it");
        }

        await Unlock(db, person, ct);
        return await sessions.Begin(row, SessionRow.ByPin, at.Id, instead, ct);
    }

    /// <param name="scanned">The badge as it was scanned.</param>
    public async Task<SignInResult> ByBadge(string? scanned, string? tablet, string? instead, CancellationToken ct)
    {
        if (await tablets.Find(tablet, ct) is not { } at)
        {
            return Refused(PinRules.Unenrolled.Sentence.TrimEnd('.'));
        }

        if (PaperCode.Read(scanned) is not { Kind: CodeKind.Badge } badge)
        {
            return Refused(PaperCode.Read(scanned) is { } other ? $"this is the code of {other.Says}; here a badge is asked" : "the badge was not read whole; scan it again");
        }

        var hash = CanonicalJson.Hash(badge.Name);
        await using var db = store.OpenToRead();
        var row = await (from b in db.Badges join p in db.Persons on b.Person equals p.Person where b.SecretHash == hash && !p.Disabled && !db.BadgeEnds.Any(e => e.BadgeId == b.Id) select p)
            .SingleOrDefaultAsync(ct);
        return row is null ? Refused("this badge opens nothing: it was ended or replaced") : await sessions.Begin(row, SessionRow.ByBadge, at.Id, instead, ct);
    }

    internal static Task<int> Unlock(Db db, string person, CancellationToken ct) =>
        db.PinTries.Where(t => t.Person == person && t.Failures > 0).ExecuteUpdateAsync(t => t.SetProperty(r => r.Failures, 0), ct);

    private static SignInResult Refused(string because) => new(null, null, because);
}
