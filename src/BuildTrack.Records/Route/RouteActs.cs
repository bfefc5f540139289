using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Storage;

namespace BuildTrack.Records.Route;

/// <summary>Asks for a line on a machine's route card.</summary>
/// <param name="Step">Number of the step; null where the whole machine is held or let go.</param>
/// <param name="Reason">Why; needed for everything but a start, a finish and a lifted hold.</param>
public sealed record RouteRequest(string Serial, int? Step, RouteAct Act, string? Reason);

/// <summary>Sends a machine back for a rework that its plan knows by name: the step it returns to is opened again.</summary>
/// <param name="FoundAt">Number of the step it was found at.</param>
/// <param name="Trigger">Name of the rework trigger in the machine's edition of the plan.</param>
/// <param name="Reason">What was found, in the person's own words.</param>
public sealed record SendBackRequest(string Serial, int FoundAt, string Trigger, string? Reason);

/// <param name="Opened">Number of the step that is open again.</param>
public sealed record SendBackReceipt(long Sequence, string Subject, int Opened);

/// <summary>Work at the steps of the route: started, paused, finished, not applicable, opened again; and machines on hold.</summary>
public sealed class RouteActs(ActRunner acts)
{
    /// <summary>Writes the line, or refuses it with the rule and what the step waits for.</summary>
    /// <exception cref="NotFoundException">No such machine, or no such step on its route.</exception>
    public Task<ActReceipt> Do(Caller who, RouteRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, KindOf(request.Act), request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            Check(machine, request);
            if ((RouteRules.WhyNot(machine, request.Step, request.Act) ?? await WhyNotQualified(act, machine, request, ct)) is { } rule)
            {
                throw new RefusedException(rule);
            }

            await Write(act, request, null, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    /// <summary>Opens the step that the trigger returns to, or refuses it with the rule. The act keeps what the plan said of the trigger.</summary>
    /// <exception cref="NotFoundException">No such machine, or no such step on its route.</exception>
    public Task<SendBackReceipt> SendBack(Caller who, SendBackRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, KindOf(RouteAct.Reopen), request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            if (machine.Revision.FindStep(request.FoundAt) is null)
            {
                throw new NotFoundException($"There is no step {request.FoundAt} on the route of {machine.Serial}.");
            }

            var faults = MachineActs.Texts(("reason", request.Reason));
            var trigger = machine.Revision.FindRework(request.Trigger ?? "");
            if (trigger is null)
            {
                var here = machine.Revision.Rework.Where(t => t.FoundAt.Contains(request.FoundAt)).Select(t => t.Id).ToList();
                faults.Add(new InputFault("trigger", $"'{request.Trigger}'", here.Count > 0 ? $"one of {string.Join(", ", here)}" : $"none: nothing is sent back from step {request.FoundAt} by name; open the step again with a reason"));
            }

            MachineActs.Throw(faults);
            if (RouteRules.WhyNotSendBack(machine, request.FoundAt, trigger!) is { } rule)
            {
                throw new RefusedException(rule);
            }

            await Write(act, new RouteRequest(request.Serial, trigger!.ReturnsTo, RouteAct.Reopen, request.Reason), new SentBack(trigger.Id, request.FoundAt), ct);
            return new ActResult<SendBackReceipt>(new SendBackReceipt(act.Sequence, request.Serial, trigger.ReturnsTo), request.Serial, new { request, trigger.Title, trigger.ReturnsTo, trigger.Origin });
        }, ct);

    /// <summary>The act that a person needs the right for.</summary>
    public static string KindOf(RouteAct act) => act switch
    {
        RouteAct.Start or RouteAct.Pause or RouteAct.Finish => ActKind.WorkStep,
        RouteAct.NotApplicable => ActKind.SetNotApplicable,
        RouteAct.Reopen => ActKind.ReopenStep,
        RouteAct.PutOnHold => ActKind.HoldMachine,
        RouteAct.LiftHold => ActKind.LiftHold,
        _ => throw new ArgumentOutOfRangeException(nameof(act), act, "There is no such act."),
    };

    // Who pauses or opens again does none of the work.
    private static async Task<BrokenRule?> WhyNotQualified(ActContext act, MachineRecord machine, RouteRequest request, CancellationToken ct) =>
        request is { Act: RouteAct.Start or RouteAct.Finish, Step: { } number } && machine.Revision.FindStep(number) is { } step
            ? QualificationRules.WhyNotWork(machine, step, act.Who.Person, await QualificationReader.For(act, step.Qualified, ct)) : null;

    private static async Task Write(ActContext act, RouteRequest line, SentBack? back, CancellationToken ct)
    {
        act.Db.Route.Add(new RouteRow
        {
            Id = act.NewId(), Serial = line.Serial, Step = line.Step, Act = (int)line.Act, Person = act.Who.Person, AtUs = act.Now.Microseconds,
            Reason = string.IsNullOrWhiteSpace(line.Reason) ? null : line.Reason.Trim(), Trigger = back?.Trigger, FoundAt = back?.FoundAt,
        });
        await act.Touch(line.Serial, ct);
    }

    private static void Check(MachineRecord machine, RouteRequest request)
    {
        var whole = request.Act is RouteAct.PutOnHold or RouteAct.LiftHold;
        if (whole != request.Step is null)
        {
            throw new BadInputException("step", request.Step is { } given ? $"{given}" : "nothing", whole ? "none: the whole machine is held" : "the number of a step");
        }

        if (request.Step is { } step && machine.Revision.FindStep(step) is null)
        {
            throw new NotFoundException($"There is no step {step} on the route of {machine.Serial}.");
        }

        var needed = request.Act is RouteAct.Pause or RouteAct.NotApplicable or RouteAct.Reopen or RouteAct.PutOnHold;
        if (needed || !string.IsNullOrEmpty(request.Reason))
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
        }
    }
}
