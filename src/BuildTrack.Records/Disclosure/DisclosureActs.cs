using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Disclosure;

/// <summary>Sets what the customer's copy of a machine's certificates leaves out.</summary>
/// <param name="AgreedWith">The customer's person, and where it stands.</param>
/// <param name="Version">The version of the machine that was seen.</param>
/// <param name="Approval">The second person, needed once the hold point of the list is released; null before.</param>
public sealed record SetDisclosureRequest(string Serial, DisclosureList List, string AgreedWith, long Version, Approval? Approval = null);

/// <summary>Disclosure lists of machines. A later list does not change the earlier one, nor copies of certificates whose number was taken before; all stay.</summary>
public sealed class DisclosureActs(ActRunner acts, PasswordCheck passwords)
{
    /// <exception cref="NotFoundException">No such machine.</exception>
    /// <exception cref="RefusedException">A rule of <see cref="DisclosureRules"/>, or the second person's password is wrong.</exception>
    public async Task<ActReceipt> Set(Caller who, SetDisclosureRequest request, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.SetDisclosure))
        {
            throw new NotAllowedException(ActKind.SetDisclosure, who);
        }

        var second = await passwords.Demand(who, request.Approval, ct);
        var reason = request.Approval?.Reason?.Trim();
        var list = request.List with { Readings = [.. request.List.Readings.Select(l => l.Trim()).Where(l => l.Length > 0).Distinct()] };
        var asked = new { request.Serial, List = list, AgreedWith = request.AgreedWith.Trim(), request.Version, ApprovedBy = second?.Person, Reason = reason };
        return await acts.Do(who, ActKind.SetDisclosure, asked, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var faults = MachineActs.Texts(("agreed with", request.AgreedWith));
            if (list.Readings.Length > 1 && list.Readings.Contains(DisclosureList.AllLines))
            {
                faults.Add(new InputFault("readings", string.Join(", ", list.Readings), $"'{DisclosureList.AllLines}' alone, or lines"));
            }

            MachineActs.Throw(faults);
            if (machine.Version != request.Version)
            {
                throw new ChangedMeanwhileException($"Machine {request.Serial}", $"version {request.Version}", $"version {machine.Version}");
            }

            RunRules.Refuse(DisclosureRules.WhyNot(machine, list, who.Person, second?.Person, second is not null && Permissions.May(second.Roles, ActKind.SetDisclosure)));
            act.Db.Disclosures.Add(new DisclosureRow
            {
                Id = act.NewId(), Serial = request.Serial, Revision = (machine.Disclosure?.Revision ?? 0) + 1, List = CanonicalJson.Of(list), AgreedWith = asked.AgreedWith,
                Reason = reason, ApprovedBy = second?.Person, Person = who.Person, AtUs = act.Now.Microseconds,
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, asked);
        }, ct);
    }

    internal static async Task<ImmutableArray<DisclosureRevision>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.Disclosures.AsNoTracking().Where(d => d.Serial == serial).OrderBy(d => d.Id).ToListAsync(ct)).Select(d => new DisclosureRevision(
            d.Id, d.Revision, CanonicalJson.Read<DisclosureList>(d.List), d.AgreedWith, d.Reason, d.ApprovedBy, d.Person, new Instant(d.AtUs)))];
}
