using System.Collections.Immutable;
using System.Security.Cryptography;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Codes;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.People;

/// <param name="Name">What the shop calls it: Bay 2, north.</param>
public sealed record EnrolTabletRequest(string Name);

public sealed record EndTabletRequest(long Tablet, string Reason);

public sealed record SetPinRequest(string Pin, string Password);

public sealed record IssueBadgeRequest(string Person);

public sealed record EndBadgeRequest(string Person, string Reason);

/// <param name="Secret">For the tablet's cookie; shown to nobody.</param>
public sealed record EnrolledTablet(long Sequence, long Tablet, string Secret);

/// <param name="Code">What the badge carries; given once.</param>
public sealed record IssuedBadge(long Sequence, string Person, PaperCode Code);

/// <param name="Ended">Null while it is enrolled.</param>
public sealed record TabletLine(long Id, string Name, string By, Instant At, string? EndedBy, Instant? Ended, string? Reason);

/// <summary>Who can change the person by PIN or badge.</summary>
public sealed record ShortSignIns(ImmutableArray<PersonLine> WithPin, ImmutableArray<string> WithBadge, ImmutableArray<string> Locked);

/// <summary>Tablets enrolled, PINs set, badges printed. Secrets and their hashes stay out of the history.</summary>
public sealed class TabletActs(ActRunner acts, Store store, PasswordCheck passwords)
{
    // No vowels but one and nothing that reads like another character: a badge that cannot be scanned is typed.
    private const string BadgeLetters = "23456789BCDEFGHJKLNPRSTUVX";
    private const int BadgeLength = 20;

    /// <summary>Enrols the tablet that the request comes from; its secret is made here and given once, so that a request sent again enrols it again.</summary>
    public async Task<EnrolledTablet> Enrol(Caller who, EnrolTabletRequest request, CancellationToken ct)
    {
        var secret = SessionStore.NewSecret();
        var done = await acts.Do(who, ActKind.EnrolTablet, request, null, act =>
        {
            MachineActs.Throw(MachineActs.Texts(("name of the tablet", request.Name)));
            var row = new TabletRow { Id = act.NewId(), Name = request.Name.Trim(), SecretHash = CanonicalJson.Hash(secret), By = who.Person, AtUs = act.Now.Microseconds };
            act.Db.Tablets.Add(row);
            return Task.FromResult(new ActResult<TabletReceipt>(new TabletReceipt(act.Sequence, row.Id), row.Name, new { request, Tablet = row.Id }));
        }, ct);
        return new EnrolledTablet(done.Sequence, done.Tablet, secret);
    }

    /// <summary>Ends a tablet's enrolment, and every session that was begun on it by badge or PIN.</summary>
    /// <exception cref="NotFoundException">No such tablet.</exception>
    public Task<ActReceipt> End(Caller who, EndTabletRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.EndTablet, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var tablet = await act.Db.Tablets.AsNoTracking().SingleOrDefaultAsync(t => t.Id == request.Tablet, ct) ?? throw new NotFoundException($"There is no tablet {request.Tablet}.");
            RunRules.Refuse(await act.Db.TabletEnds.AnyAsync(e => e.TabletId == tablet.Id, ct) ? new BrokenRule(PinRules.EndedAlready, $"The enrolment of {tablet.Name} has ended already.") : null);
            act.Db.TabletEnds.Add(new TabletEndRow { Id = act.NewId(), TabletId = tablet.Id, Reason = request.Reason.Trim(), By = who.Person, AtUs = act.Now.Microseconds });
            await act.Db.Sessions.Where(s => s.Tablet == tablet.Id && s.EndedUs == null).ExecuteUpdateAsync(s => s.SetProperty(r => r.EndedUs, act.Now.Microseconds), ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, tablet.Name), tablet.Name, request);
        }, ct);

    /// <summary>Sets the caller's own PIN, with the password; what was locked is open again.</summary>
    /// <exception cref="RefusedException">The password is wrong, or the PIN is easily guessed.</exception>
    public async Task<ActReceipt> SetPin(Caller who, SetPinRequest request, CancellationToken ct)
    {
        RunRules.Refuse(who.ByPin ? PinRules.WhyNot(ActKind.SetPin) : PinRules.WhyNotPin(request.Pin));
        await passwords.Demand(who, request.Password, ct);
        return await acts.Do(who, ActKind.SetPin, new { who.Person }, null, async act =>
        {
            act.Db.Pins.Add(new PinRow { Id = act.NewId(), Person = who.Person, PinHash = PasswordCheck.Hash(request.Pin, store.Settings.Filling), AtUs = act.Now.Microseconds });
            if (await act.Db.PinTries.SingleOrDefaultAsync(t => t.Person == who.Person, ct) is { } tries)
            {
                tries.Failures = 0;
            }
            else
            {
                act.Db.PinTries.Add(new PinTryRow { Person = who.Person });
            }

            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, who.Person), who.Person, new { who.Person });
        }, ct);
    }

    /// <summary>Makes a badge for a person; an earlier one ends.</summary>
    /// <exception cref="NotFoundException">No such person.</exception>
    public async Task<IssuedBadge> IssueBadge(Caller who, IssueBadgeRequest request, CancellationToken ct)
    {
        var code = new PaperCode(CodeKind.Badge, RandomNumberGenerator.GetString(BadgeLetters, BadgeLength));
        var done = await acts.Do(who, ActKind.IssueBadge, request, null, async act =>
        {
            if (!await act.Db.Persons.AnyAsync(p => p.Person == request.Person && !p.Disabled, ct))
            {
                throw new NotFoundException($"There is no person {request.Person} with access.");
            }

            if (await InForce(act.Db, request.Person, ct) is { } before)
            {
                act.Db.BadgeEnds.Add(new BadgeEndRow { Id = act.NewId(), BadgeId = before.Id, Reason = "replaced by a new one", By = who.Person, AtUs = act.Now.Microseconds });
            }

            act.Db.Badges.Add(new BadgeRow { Id = act.NewId(), Person = request.Person, SecretHash = CanonicalJson.Hash(code.Name), By = who.Person, AtUs = act.Now.Microseconds });
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Person), request.Person, request);
        }, ct);
        return new IssuedBadge(done.Sequence, request.Person, code);
    }

    /// <exception cref="RefusedException">The person has no badge.</exception>
    public Task<ActReceipt> EndBadge(Caller who, EndBadgeRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.EndBadge, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var badge = await InForce(act.Db, request.Person, ct) ?? throw new RefusedException(new BrokenRule(PinRules.EndedAlready, $"{request.Person} has no badge that opens anything."));
            act.Db.BadgeEnds.Add(new BadgeEndRow { Id = act.NewId(), BadgeId = badge.Id, Reason = request.Reason.Trim(), By = who.Person, AtUs = act.Now.Microseconds });
            await act.Db.Sessions.Where(s => s.Person == request.Person && s.Begun == SessionRow.ByBadge && s.EndedUs == null)
                .ExecuteUpdateAsync(s => s.SetProperty(r => r.EndedUs, act.Now.Microseconds), ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Person), request.Person, request);
        }, ct);

    internal static Task<BadgeRow?> InForce(Db db, string person, CancellationToken ct) =>
        db.Badges.AsNoTracking().SingleOrDefaultAsync(b => b.Person == person && !db.BadgeEnds.Any(e => e.BadgeId == b.Id), ct);

    public sealed record TabletReceipt(long Sequence, long Tablet);
}

/// <summary>Which tablets there are, and who can change the person on them.</summary>
public sealed class TabletReader(Store store)
{
    /// <summary>The tablet behind a secret; null where it is unknown or ended.</summary>
    public async Task<TabletLine?> Find(string? secret, CancellationToken ct)
    {
        if (secret is not { Length: > 0 and <= 200 })
        {
            return null;
        }

        var hash = CanonicalJson.Hash(secret);
        await using var db = store.OpenToRead();
        return await db.Tablets.SingleOrDefaultAsync(t => t.SecretHash == hash && !db.TabletEnds.Any(e => e.TabletId == t.Id), ct) is { } row
            ? new TabletLine(row.Id, row.Name, row.By, new Instant(row.AtUs), null, null, null) : null;
    }

    /// <summary>Every tablet, the latest first.</summary>
    public async Task<ImmutableArray<TabletLine>> List(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var ends = (await db.TabletEnds.ToListAsync(ct)).ToDictionary(e => e.TabletId);
        return [.. (await db.Tablets.OrderByDescending(t => t.Id).ToListAsync(ct)).Select(t => ends.GetValueOrDefault(t.Id) is var end && end is null
            ? new TabletLine(t.Id, t.Name, t.By, new Instant(t.AtUs), null, null, null)
            : new TabletLine(t.Id, t.Name, t.By, new Instant(t.AtUs), end.By, new Instant(end.AtUs), end.Reason))];
    }

    public async Task<ShortSignIns> People(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var tries = await db.PinTries.ToListAsync(ct);
        var pins = tries.Select(t => t.Person).ToHashSet();
        return new(
            [.. (await db.Persons.Where(p => !p.Disabled).OrderBy(p => p.Name).ToListAsync(ct)).Where(p => pins.Contains(p.Person)).Select(p => new PersonLine(p.Person, p.Name, SessionStore.ToCaller(p).Roles, false))],
            [.. await db.Badges.Where(b => !db.BadgeEnds.Any(e => e.BadgeId == b.Id)).Select(b => b.Person).ToListAsync(ct)],
            [.. tries.Where(t => t.Failures >= PinRules.Attempts).Select(t => t.Person)]);
    }
}
