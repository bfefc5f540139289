using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Witnessing;

/// <summary>Sets the customer's part at the hold points of a machine, where its contract asks otherwise than the plan.</summary>
/// <param name="Points">Every hold point that differs; one that is not named stands as in the plan.</param>
/// <param name="AgreedWith">The customer's person, and where it stands.</param>
/// <param name="Version">The version of the machine that was seen.</param>
/// <param name="Approval">The second person, needed once the order is reviewed; null before.</param>
public sealed record SetCustomersPointsRequest(string Serial, ImmutableArray<CustomersPoint> Points, string AgreedWith, long Version, Approval? Approval = null);

/// <summary>The customer's part at hold points, machine by machine. A later agreement does not change the earlier one; both stay.</summary>
public sealed class CustomersPointActs(ActRunner acts, PasswordCheck passwords)
{
    /// <summary>Most working days of notice that a contract asks for.</summary>
    private const int MostNotice = 60;

    /// <exception cref="NotFoundException">No such machine.</exception>
    /// <exception cref="RefusedException">A rule of <see cref="CustomersPointRules"/>, or the second person's password is wrong.</exception>
    public async Task<ActReceipt> Set(Caller who, SetCustomersPointsRequest request, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.SetCustomersPoints))
        {
            throw new NotAllowedException(ActKind.SetCustomersPoints, who);
        }

        MachineActs.Throw(Faults(request));
        var second = await passwords.Demand(who, request.Approval, ct);
        var asked = new { request.Serial, request.Points, AgreedWith = request.AgreedWith.Trim(), request.Version, ApprovedBy = second?.Person, Reason = request.Approval?.Reason?.Trim() };
        return await acts.Do(who, ActKind.SetCustomersPoints, asked, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            if (machine.Version != request.Version)
            {
                throw new ChangedMeanwhileException($"Machine {request.Serial}", $"version {request.Version}", $"version {machine.Version}");
            }

            RunRules.Refuse(CustomersPointRules.WhyNot(machine, request.Points, who.Person, second?.Person, second is not null && Permissions.May(second.Roles, ActKind.SetCustomersPoints)));
            act.Db.CustomersPoints.Add(new CustomersPointsRow
            {
                Id = act.NewId(), Serial = request.Serial, Revision = (machine.CustomersPoints?.Revision ?? 0) + 1, Points = CanonicalJson.Of(request.Points), AgreedWith = asked.AgreedWith,
                Reason = asked.Reason, ApprovedBy = second?.Person, Person = who.Person, AtUs = act.Now.Microseconds,
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, asked);
        }, ct);
    }

    internal static async Task<ImmutableArray<CustomersPoints>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.CustomersPoints.AsNoTracking().Where(p => p.Serial == serial).OrderBy(p => p.Id).ToListAsync(ct)).Select(p => new CustomersPoints(
            p.Id, p.Revision, CanonicalJson.Read<ImmutableArray<CustomersPoint>>(p.Points), p.AgreedWith, p.Reason, p.ApprovedBy, p.Person, new Instant(p.AtUs)))];

    private static List<InputFault> Faults(SetCustomersPointsRequest request)
    {
        var faults = MachineActs.Texts(("agreed with", request.AgreedWith));
        foreach (var point in request.Points)
        {
            var invites = CustomersPoint.Invites(point.Part);
            if (!Enum.IsDefined(point.Part))
            {
                faults.Add(new InputFault($"{point.Hold}, customer's part", $"'{point.Part}'", string.Join(", ", Enum.GetNames<CustomersPart>())));
            }
            else if (invites && point.NoticeDays is < 1 or > MostNotice)
            {
                faults.Add(new InputFault($"{point.Hold}, notice", FormattableString.Invariant($"{point.NoticeDays}"), FormattableString.Invariant($"1 to {MostNotice} working days")));
            }
            else if (!invites && point.NoticeDays != 0)
            {
                faults.Add(new InputFault($"{point.Hold}, notice", FormattableString.Invariant($"{point.NoticeDays} working days"), $"none: the customer {CustomersPoint.Words(point.Part)}"));
            }
        }

        foreach (var twice in request.Points.GroupBy(p => p.Hold).Where(g => g.Count() > 1))
        {
            faults.Add(new InputFault("hold points", $"{twice.Key} {twice.Count()} times", "each hold point once"));
        }

        return faults;
    }
}
