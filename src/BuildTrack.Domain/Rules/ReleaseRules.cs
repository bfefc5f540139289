using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.Rules;

/// <summary>When a hold point may be released or returned. Password and role are checked by the caller, on every request.</summary>
public static class ReleaseRules
{
    public const string NotApproved = "R-RELEASE-01";
    public const string AlreadyReleased = "R-RELEASE-02";
    public const string NotAccepted = "R-RELEASE-03";
    public const string OwnMeasurement = "R-RELEASE-04";
    public const string RunOpen = "R-RELEASE-05";
    public const string WrongPassword = "R-RELEASE-06";
    public const string NothingSinceReturn = "R-RELEASE-07";
    public const string EarlierPoint = "R-RELEASE-08";
    public const string BeyondConcession = "R-RELEASE-09";
    public const string NothingToReturn = "R-RETURN-01";

    /// <summary>The rule that forbids this person to release this hold point now; null when none does.</summary>
    public static BrokenRule? WhyNotRelease(MachineRecord machine, HoldPoint hold, string person)
    {
        var standing = machine.StandingOfHold(hold);
        if (!machine.RevisionApproved)
        {
            return new BrokenRule(NotApproved,
                $"Checklists edition {machine.Revision.Edition} ({machine.Revision.Hash[..8]}) are not yet approved; an administrator approves them before {hold.Id} of {machine.Serial} can be released.");
        }

        if (standing.Released is { } released)
        {
            return new BrokenRule(AlreadyReleased, $"{hold.Id} of {machine.Serial} was released by {released.Person} at {released.At}.");
        }

        if (OpenRun(machine, hold) is { } open)
        {
            return new BrokenRule(RunOpen, $"Run {open.Run.No} of survey {open.Measurement.Survey} by {open.Run.Person} is still open; finish or discard it first.");
        }

        if (RouteRules.WhyNotWork(machine, hold.Step) is { } waits)
        {
            return waits;
        }

        // Said before "not accepted": who comes with a concession in hand must read why it does not hold.
        if (standing.Characteristics.Where(c => !c.MayPass).SelectMany(c => machine.Concessions.Where(x => x.Of.Line == c.Agreed.Characteristic.Line).Select(x => (Result: c, Given: x)))
            .LastOrDefault() is { Given: { } given, Result: { Standing: Standing.Calculated } beyond })
        {
            return new BrokenRule(BeyondConcession,
                $"{given.Name} concedes {given.Conceded} for {given.Of.Line} {given.Of.Result!.Title} against {given.Of.Result.Required}; now {FailedResult.Of(beyond.Evaluation!)!.Found} is found, which it does not cover.");
        }

        var unproved = standing.Characteristics.Where(c => !c.MayPass).Select(c => $"{c.Agreed.Characteristic.Line} {c.Agreed.Characteristic.Title} is {c.Word}").ToList();
        if (unproved.Count > 0 || standing.Characteristics.Length == 0)
        {
            return new BrokenRule(NotAccepted,
                unproved.Count > 0 ? $"{hold.Id} needs every result accepted: {string.Join("; ", unproved)}." : $"{hold.Id} has no characteristic for class {machine.Model.Class}.");
        }

        if (standing.Blocked is { } blocked)
        {
            return blocked;
        }

        // H7a before H7b before H7: the points of one step are released in the order of the route.
        if (machine.Revision.Holds.TakeWhile(h => h != hold).Where(h => h.Step == hold.Step).Select(machine.StandingOfHold)
            .FirstOrDefault(h => h.Characteristics.Length > 0 && h.Released is null) is { } earlier)
        {
            return new BrokenRule(EarlierPoint, $"{earlier.Hold.Id} {earlier.Hold.Name} of {machine.Serial} is released before {hold.Id}.");
        }

        if (HandsOf(machine, hold).FirstOrDefault(h => h.Person == person) is { Person: not null } hand)
        {
            return new BrokenRule(OwnMeasurement, $"{person} had a hand in run {hand.Run.No} of survey {hand.Measurement.Survey}; {hold.Id} is released by somebody who did not measure, upload, correct, discard or help.");
        }

        if (standing.Returned is { } returned)
        {
            return new BrokenRule(NothingSinceReturn, $"{hold.Id} was returned by {returned.Person} because: {returned.Reason}. Nothing was recorded since.");
        }

        return null;
    }

    /// <summary>The points that only wait for somebody's name, in the order of the route: every result accepted or conceded, none released.</summary>
    /// <returns>Each with the rule that forbids this person to release it, those before it being released with it; null where none does.</returns>
    public static ImmutableArray<(HoldStanding Hold, BrokenRule? WhyNot)> Together(MachineRecord machine, string person)
    {
        var points = ImmutableArray.CreateBuilder<(HoldStanding, BrokenRule?)>();
        foreach (var hold in machine.Revision.Holds)
        {
            var standing = machine.StandingOfHold(hold);
            if (standing is not { Released: null, Characteristics.Length: > 0, Worst: null })
            {
                continue;
            }

            var rule = WhyNotRelease(machine, hold, person);
            points.Add((standing, rule));
            machine = rule is null ? machine with { Decisions = machine.Decisions.Add(AsIfReleased(machine, hold, person)) } : machine;
        }

        return points.ToImmutable();
    }

    // Never stored: it only lets the points after this one be judged as they will stand.
    private static HoldDecision AsIfReleased(MachineRecord machine, HoldPoint hold, string person) =>
        new(long.MaxValue, hold.Id, HoldDecisionKind.Released, person, machine.Ordered, null, machine.SheetHash(hold.Id), [], 0);

    /// <summary>The rule that forbids a return; null when none does.</summary>
    public static BrokenRule? WhyNotReturn(MachineRecord machine, HoldPoint hold)
    {
        var standing = machine.StandingOfHold(hold);
        return !machine.SurveysOfHold(hold.Id).SelectMany(machine.Currents).Any(m => m is not null)
                ? new BrokenRule(NothingToReturn, $"Nothing of {hold.Id} was recorded on {machine.Serial}; there is nothing to return.")
            : standing.Released is { } released
                ? new BrokenRule(AlreadyReleased, $"{hold.Id} of {machine.Serial} was released by {released.Person} at {released.At}; record an act on the bed to have it measured anew.")
            : null;
    }

    /// <summary>Everybody who had a hand in any run of the point, discarded and contact runs and replaced measurements included.</summary>
    public static ImmutableArray<(string Person, Run Run, Measurement Measurement)> HandsOf(MachineRecord machine, HoldPoint hold)
    {
        var surveys = machine.SurveysOfHold(hold.Id);
        return [.. machine.Measurements.Where(m => surveys.Contains(m.Survey))
            .SelectMany(m => m.Runs.Where(r => r.Kind != RunKind.SpotCheck).SelectMany(r => r.Hands.Select(h => (h, r, m))))];
    }

    private static (Measurement Measurement, Run Run)? OpenRun(MachineRecord machine, HoldPoint hold)
    {
        foreach (var measurement in machine.SurveysOfHold(hold.Id).SelectMany(machine.Currents))
        {
            if (measurement?.Open is { } run)
            {
                return (measurement, run);
            }
        }

        return null;
    }
}
