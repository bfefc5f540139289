using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Delegations;

/// <summary>Lends a right of the caller to another person.</summary>
/// <param name="Role">A role of the caller; null where hold points are delegated.</param>
/// <param name="Holds">Ids of hold points; empty where a role is delegated.</param>
/// <param name="From">yyyy-MM-dd in plant time, as <paramref name="Until"/>; both days included, neither in the past.</param>
public sealed record DelegateRequest(string To, string? Role, ImmutableArray<string> Holds, string From, string Until, string Reason);

/// <summary>Ends a delegation before its last day, with the reason.</summary>
public sealed record EndDelegationRequest(int No, string Reason);

/// <param name="Subject">Who the right is lent to.</param>
public sealed record DelegationReceipt(long Sequence, string Subject, int No);

/// <summary>Rights lent for some days. Append-only: what is ended early keeps its dates and the reason.</summary>
public sealed class DelegationActs(ActRunner acts)
{
    /// <exception cref="NotFoundException">No such person.</exception>
    public Task<DelegationReceipt> Delegate(Caller who, DelegateRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.Delegate, request, key, async act =>
        {
            var holds = request.Holds.IsDefault ? [] : request.Holds.Distinct().ToImmutableArray();
            var plan = await ChecklistReader.Current(act.Db, ct) is { } row ? ChecklistReader.Parse(row) : throw new NotFoundException("No checklists are loaded; nothing can be delegated.");
            var day = (await PlantReader.Time(act.Db, ct)).Day(act.Now);
            MachineActs.Throw(Faults(request, holds, plan, day));
            var to = await act.Db.Persons.AsNoTracking().SingleOrDefaultAsync(p => p.Person == request.To, ct) ?? throw new NotFoundException($"There is no person {request.To}.");
            RunRules.Refuse(to.Disabled ? new BrokenRule(DelegationRules.NoAccess, $"The access of {to.Person} has ended; nothing is delegated to {to.Person}.") : null);
            var no = (await act.Db.Delegations.MaxAsync(d => (int?)d.No, ct) ?? 0) + 1;
            var asked = new Delegation(no, who.Person, request.To, request.Role, holds, request.From, request.Until, request.Reason.Trim(), act.Now);
            RunRules.Refuse(DelegationRules.WhyNotDelegate(asked, who.Own, who.Lent, plan, await QualificationReader.On(act.Db, act.Now, ct)));
            act.Db.Delegations.Add(new DelegationRow
            {
                Id = act.NewId(), No = no, By = who.Person, ToPerson = asked.To, Role = asked.Role, Holds = string.Join(' ', holds), FromDay = asked.From, UntilDay = asked.Until, Reason = asked.Reason, AtUs = act.Now.Microseconds,
            });
            return new ActResult<DelegationReceipt>(new DelegationReceipt(act.Sequence, asked.To, no), asked.To, new { request, No = no });
        }, ct);

    /// <exception cref="NotFoundException">No such delegation.</exception>
    public Task<DelegationReceipt> End(Caller who, EndDelegationRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.EndDelegation, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var of = (await DelegationReader.All(act.Db, ct)).FirstOrDefault(d => d.No == request.No) ?? throw new NotFoundException($"There is no delegation {request.No}.");
            var day = (await PlantReader.Time(act.Db, ct)).Day(act.Now);
            RunRules.Refuse(DelegationRules.WhyNotEnd(of, who.Person, who.Own, day));
            act.Db.DelegationEnds.Add(new DelegationEndRow { Id = act.NewId(), No = of.No, Day = day, Reason = request.Reason.Trim(), By = who.Person, AtUs = act.Now.Microseconds });
            return new ActResult<DelegationReceipt>(new DelegationReceipt(act.Sequence, of.To, of.No), of.To, new { request, of.By, of.To });
        }, ct);

    private static List<InputFault> Faults(DelegateRequest request, ImmutableArray<string> holds, ChecklistRevision plan, string day)
    {
        var faults = MachineActs.Texts(("reason", request.Reason));
        faults.AddRange(QualificationActs.Days(request.From, request.Until, "until"));
        if (faults.Count == 0 && string.CompareOrdinal(request.From, day) < 0)
        {
            faults.Add(new InputFault("from", request.From, $"{day} or a later day: nothing is delegated afterwards"));
        }

        if (request.Role is null == holds.IsEmpty)
        {
            faults.Add(new InputFault("what is delegated", request.Role is null ? "nothing" : $"the role {request.Role} and {string.Join(", ", holds)}", "a role, or hold points"));
        }

        faults.AddRange(request.Role is { } role && !Roles.All.Contains(role) ? [new InputFault("role", $"'{role}'", $"one of {string.Join(", ", Roles.All)}")] : []);
        faults.AddRange(holds.Where(h => plan.Holds.All(x => x.Id != h)).Select(h => new InputFault("hold point", $"'{h}'", $"one of {string.Join(", ", plan.Holds.Select(x => x.Id))}")));
        return faults;
    }
}
