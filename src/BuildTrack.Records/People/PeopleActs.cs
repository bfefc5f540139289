using System.Collections.Immutable;
using System.Text.RegularExpressions;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.People;

public sealed class PeopleReader(Store store)
{
    public async Task<ImmutableArray<PersonLine>> List(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return [.. (await db.Persons.OrderBy(p => p.Name).ToListAsync(ct)).Select(p => new PersonLine(p.Person, p.Name, SessionStore.ToCaller(p).Roles, p.Disabled))];
    }

    /// <summary>Names by sign-in name.</summary>
    public async Task<ImmutableDictionary<string, string>> Names(CancellationToken ct) =>
        (await List(ct)).ToImmutableDictionary(p => p.Person, p => p.Name);
}

/// <summary>Adding people, giving and taking roles, issuing tokens.</summary>
public sealed partial class PeopleActs(ActRunner acts, Store store)
{
    public Task<ActReceipt> AddPerson(Caller who, AddPersonRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.AddPerson, new { request.Person, request.Name, request.Roles }, key, act => Add(act, request, store.Settings.Filling, ct), ct);

    /// <summary>Gives or takes roles; what was taken no longer counts from the person's next request on.</summary>
    public Task<ActReceipt> ChangeRoles(Caller who, ChangeRolesRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ChangeRoles, request, key, async act =>
        {
            MachineActs.Throw([.. RoleFaults(request.Roles)]);
            var row = await Find(act.Db, request.Person, ct);
            var was = row.Roles;
            row.Roles = string.Join(' ', request.Roles.Distinct());
            await KeepOneAdministrator(act.Db, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Person), request.Person, new { request, Was = was });
        }, ct);

    /// <summary>Ends a person's access; everything they did stays under their name.</summary>
    public Task<ActReceipt> DisablePerson(Caller who, DisablePersonRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.DisablePerson, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            (await Find(act.Db, request.Person, ct)).Disabled = true;
            await KeepOneAdministrator(act.Db, ct);
            await act.Db.Sessions.Where(s => s.Person == request.Person && s.EndedUs == null)
                .ExecuteUpdateAsync(s => s.SetProperty(r => r.EndedUs, act.Now.Microseconds), ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Person), request.Person, request);
        }, ct);

    /// <summary>Issues the caller's one token; an earlier one ends.</summary>
    public async Task<IssuedToken> IssueToken(Caller who, CancellationToken ct)
    {
        var secret = SessionStore.NewSecret();
        var receipt = await acts.Do(who, ActKind.IssueToken, new { who.Person }, null, async act =>
        {
            await act.Db.Sessions.Where(s => s.Person == who.Person && s.Bearer && s.EndedUs == null)
                .ExecuteUpdateAsync(s => s.SetProperty(r => r.EndedUs, act.Now.Microseconds), ct);
            act.Db.Sessions.Add(SessionStore.NewRow(secret, who.Person, bearer: true, act.Now));
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, who.Person), who.Person, new { who.Person });
        }, ct);
        return new IssuedToken(receipt.Sequence, secret);
    }

    internal static async Task<ActResult<ActReceipt>> Add(ActContext act, AddPersonRequest request, bool filling, CancellationToken ct)
    {
        var faults = MachineActs.Texts(("name", request.Name));
        faults.AddRange(RoleFaults(request.Roles));
        if (!SignInName().IsMatch(request.Person ?? ""))
        {
            faults.Add(new InputFault("sign-in name", $"'{request.Person}'", "2 to 40 of a–z, 0–9, dot and hyphen, beginning with a letter"));
        }

        if (PasswordCheck.WhyNot(request.Password) is { } fault)
        {
            faults.Add(fault);
        }

        MachineActs.Throw(faults);
        if (await act.Db.Persons.AnyAsync(p => p.Person == request.Person, ct))
        {
            throw new RefusedException(new BrokenRule("R-PERSON-01", $"There is a person {request.Person} already; a sign-in name is never used twice."));
        }

        act.Db.Persons.Add(new PersonRow
        {
            Person = request.Person!, Name = request.Name, PasswordHash = PasswordCheck.Hash(request.Password, filling), Roles = string.Join(' ', request.Roles.Distinct()),
            AddedUs = act.Now.Microseconds,
        });
        return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Person!), request.Person!, new { request.Person, request.Name, request.Roles });
    }

    private static async Task<PersonRow> Find(Db db, string person, CancellationToken ct) =>
        await db.Persons.SingleOrDefaultAsync(p => p.Person == person, ct) ?? throw new NotFoundException($"There is no person {person}.");

    private static async Task KeepOneAdministrator(Db db, CancellationToken ct)
    {
        await db.SaveChangesAsync(ct);
        if (!(await db.Persons.Where(p => !p.Disabled).ToListAsync(ct)).Any(p => p.Roles.Split(' ').Contains(Roles.Administrator)))
        {
            throw new RefusedException(new BrokenRule("R-PERSON-02", "At least one administrator must remain."));
        }
    }

    private static IEnumerable<InputFault> RoleFaults(ImmutableArray<string> roles) =>
        roles.Where(r => !Roles.All.Contains(r)).Select(r => new InputFault("role", $"'{r}'", $"one of {string.Join(", ", Roles.All)}"));

    [GeneratedRegex("^[a-z][a-z0-9.-]{1,39}$")]
    private static partial Regex SignInName();
}

/// <summary>Before anybody has an account: a one-time code makes the first administrator.</summary>
public sealed class FirstStart(Store store, ActRunner acts)
{
    private readonly string code = SessionStore.NewSecret()[..32];

    /// <summary>The code to print once at start; it ends with the first person.</summary>
    public string Code => code;

    public async Task<bool> IsNeeded(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return !await db.Persons.AnyAsync(ct);
    }

    public Task<ActReceipt> CreateAdministrator(string? given, string person, string name, string password, CancellationToken ct) =>
        !System.Security.Cryptography.CryptographicOperations.FixedTimeEquals(System.Text.Encoding.UTF8.GetBytes(given ?? ""), System.Text.Encoding.UTF8.GetBytes(code))
            ? throw new RefusedException(new BrokenRule("R-START-01", "This link is not the one printed at this start of the server."))
            : acts.Run(new Caller(person, name, []), ActKind.AddPerson, new { person, name }, null, async act =>
            {
                if (await act.Db.Persons.AnyAsync(ct))
                {
                    throw new RefusedException(new BrokenRule("R-START-02", "There is an administrator already; the link made one account and has ended."));
                }

                return await PeopleActs.Add(act, new AddPersonRequest(person, name, password, [Roles.Administrator]), filling: false, ct);
            }, ct);
}
