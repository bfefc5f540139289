using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;

namespace BuildTrack.Records.Route;

/// <summary>Asks for a line on a machine's route card.</summary>
/// <param name="Step">Number of the step; null where the whole machine is held or let go.</param>
/// <param name="Reason">Why; needed for everything but a start, a finish and a lifted hold.</param>
public sealed record RouteRequest(string Serial, int? Step, RouteAct Act, string? Reason);

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
            if (RouteRules.WhyNot(machine, request.Step, request.Act) is { } rule)
            {
                throw new RefusedException(rule);
            }

            act.Db.Route.Add(new RouteRow
            {
                Id = act.NewId(), Serial = request.Serial, Step = request.Step, Act = (int)request.Act, Person = who.Person, AtUs = act.Now.Microseconds,
                Reason = string.IsNullOrWhiteSpace(request.Reason) ? null : request.Reason.Trim(),
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
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
