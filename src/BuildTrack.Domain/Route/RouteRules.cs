using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;

namespace BuildTrack.Domain.Route;

/// <summary>When a step may be begun, left, finished or set aside. Roles are checked by the caller, on every request.</summary>
public static class RouteRules
{
    public const string WaitsForSteps = "R-STEP-01";
    public const string NotInThisState = "R-STEP-02";
    public const string RunOpen = "R-STEP-03";
    public const string HasHoldPoint = "R-STEP-04";
    public const string NotFoundHere = "R-STEP-05";
    public const string MachineOnHold = "R-HOLD-01";
    public const string HoldAlready = "R-HOLD-02";

    /// <summary>The rule that forbids work at a step now: the machine is on hold, or steps before it are not complete. Null when none does.</summary>
    public static BrokenRule? WhyNotWork(MachineRecord machine, int step)
    {
        var route = machine.Route;
        if (OnHold(route) is { } held)
        {
            return held;
        }

        var standing = route.Of(step);
        return standing.WaitsFor.IsEmpty ? null
            : new BrokenRule(WaitsForSteps, $"Step {step} of {machine.Serial} waits for {string.Join(", ", standing.WaitsFor.Select(w => $"{w} {route.Of(w).Step.Name} ({Why(route.Of(w))})"))}.");
    }

    /// <summary>The hold on the whole machine, which forbids all work; null where there is none.</summary>
    public static BrokenRule? WhyOnHold(MachineRecord machine) => OnHold(machine.Route);

    /// <summary>The rule that forbids an act on a step, or on the machine as a whole; null when none does.</summary>
    /// <param name="step">Null for a hold on the whole machine.</param>
    public static BrokenRule? WhyNot(MachineRecord machine, int? step, RouteAct act)
    {
        var route = machine.Route;
        if (act is RouteAct.PutOnHold or RouteAct.LiftHold)
        {
            return act == RouteAct.PutOnHold && route.OnHold is { } held
                    ? new BrokenRule(HoldAlready, $"{machine.Serial} is on hold since {held.At.InWords} by {held.Person}: {held.Reason}.")
                : act == RouteAct.LiftHold && route.OnHold is null ? new BrokenRule(HoldAlready, $"{machine.Serial} is not on hold.")
                : null;
        }

        var number = step ?? throw new ArgumentException($"{act} needs the number of a step.", nameof(step));
        var standing = route.Of(number);
        return act switch
        {
            // Work may be noted late, or go on at a rejected step; a step that was finished is opened again by name.
            RouteAct.Start => standing.Last?.Act is RouteAct.Start or RouteAct.Finish or RouteAct.NotApplicable || standing.Complete
                ? State(machine, standing, "ready, paused, rejected or in rework") : WhyNotWork(machine, number),
            RouteAct.Pause => OnHold(route) ?? (standing.Last?.Act == RouteAct.Start ? null : State(machine, standing, "in progress")),
            RouteAct.Finish => WhyNotFinish(machine, route, standing),
            RouteAct.Reopen => OnHold(route) ?? (standing.Last?.Act is RouteAct.Finish or RouteAct.NotApplicable || standing.Complete ? null : State(machine, standing, "finished, released or not applicable")),
            RouteAct.NotApplicable => WhyNotSetAside(machine, route, standing),
            _ => throw new ArgumentOutOfRangeException(nameof(act), act, "There is no such act."),
        };
    }

    /// <summary>The rule that forbids to send a machine back for a rework that the plan knows by name; null when none does.</summary>
    /// <param name="foundAt">Number of the step it was found at.</param>
    public static BrokenRule? WhyNotSendBack(MachineRecord machine, int foundAt, ReworkTrigger trigger)
    {
        var found = machine.Route.Of(foundAt);
        return !trigger.FoundAt.Contains(foundAt)
                ? new BrokenRule(NotFoundHere, $"\"{trigger.Title}\" is raised at {string.Join(", ", trigger.FoundAt)} and returns to {trigger.ReturnsTo}; it is not raised at step {foundAt} of {machine.Serial}.")
            : WhyNot(machine, trigger.ReturnsTo, RouteAct.Reopen)
                ?? (found.State is StepState.NotStarted or StepState.Ready ? State(machine, found, "begun, for something to be found at it") : null);
    }

    private static BrokenRule? WhyNotFinish(MachineRecord machine, RouteStanding route, StepStanding standing)
    {
        if (OnHold(route) is { } held)
        {
            return held;
        }

        if (standing.Last?.Act is not (RouteAct.Start or RouteAct.Pause))
        {
            return State(machine, standing, "started");
        }

        var surveys = machine.Revision.Surveys.Where(s => s.Step == standing.Step.Number).Select(s => s.Id).ToHashSet();
        return machine.Measurements.Where(m => surveys.Contains(m.Survey)).Select(m => m.Open).FirstOrDefault(r => r is not null) is { } open
            ? new BrokenRule(RunOpen, $"Run {open.No} by {open.Person} is still open at step {standing.Step.Number}; finish or discard it first.")
            : FileRules.WhyNotFinish(machine, standing.Step);
    }

    private static BrokenRule? WhyNotSetAside(MachineRecord machine, RouteStanding route, StepStanding standing)
    {
        // Before first mains, first motion, first emission: leaving the step out would pass the point without a release.
        var held = standing.Holds.FirstOrDefault()?.Hold;
        return OnHold(route)
            ?? (held is not null ? new BrokenRule(HasHoldPoint, $"Step {standing.Step.Number} of {machine.Serial} has {held.Id} {held.Name}; a hold point is passed by its release and in no other way.")
                : standing.State is StepState.NotStarted or StepState.Ready ? null
                : State(machine, standing, "not started or ready"));
    }

    private static BrokenRule? OnHold(RouteStanding route) =>
        route.OnHold is { } hold ? new BrokenRule(MachineOnHold, $"{route.Machine.Serial} is on hold since {hold.At.InWords} by {hold.Person}: {hold.Reason}.") : null;

    private static BrokenRule State(MachineRecord machine, StepStanding standing, string needed) =>
        new(NotInThisState, $"Step {standing.Step.Number} of {machine.Serial} is {standing.Word}; this needs a step that is {needed}.");

    private static string Why(StepStanding standing) =>
        standing.Holds.FirstOrDefault(h => h.Released is null) is { } hold && standing.State is StepState.Recorded ? $"{hold.Hold.Id} not released" : standing.Word;
}
