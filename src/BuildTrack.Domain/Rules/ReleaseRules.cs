using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Qualifications;
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
    /// <param name="people">Who stands on which list on the day of the release; null for nobody on any.</param>
    /// <param name="inEmergency">The own measurements of who releases do not stand against it: see <see cref="EmergencyRules"/>.</param>
    public static BrokenRule? WhyNotRelease(MachineRecord machine, HoldPoint hold, string person, QualifiedPeople? people = null, bool inEmergency = false)
    {
        var standing = machine.StandingOfHold(hold);
        if (ReleaseObstacles.NotApproved(machine, hold) is { } edition)
        {
            return edition;
        }

        if (standing.Released is { } released)
        {
            return new BrokenRule(AlreadyReleased, $"{hold.Id} of {machine.Serial} was released by {released.Person} at {released.At.InWords}.");
        }

        if (ReleaseObstacles.OpenRuns(machine, hold).FirstOrDefault() is { } open)
        {
            return open.Rule;
        }

        if (RouteRules.WhyNotWork(machine, hold.Step) is { } waits)
        {
            return waits;
        }

        // Said before "not accepted": who comes with a concession in hand must read why it does not hold.
        if (ReleaseObstacles.Results(machine, standing).Select(r => r.Rule).ToList() is { Count: > 0 } unproved)
        {
            return unproved.LastOrDefault(r => r.Id == BeyondConcession)
                ?? (standing.Characteristics.Length == 0 ? unproved[0] : new BrokenRule(NotAccepted, $"{hold.Id} needs every result accepted: {string.Join("; ", unproved.Select(r => r.Sentence))}."));
        }

        if (standing.Blocked is { } blocked)
        {
            return blocked;
        }

        if (ReleaseObstacles.EarlierPoints(machine, hold).FirstOrDefault() is { } earlier)
        {
            return ReleaseObstacles.Earlier(machine, earlier.Hold, hold);
        }

        if (QualificationRules.WhyNotRelease(machine, hold, person, people ?? QualifiedPeople.Nobody) is { } unlisted)
        {
            return unlisted;
        }

        if (!machine.Revision.OwnReleases && !inEmergency && HandsOf(machine, hold).FirstOrDefault(h => h.Person == person) is { Person: not null } hand)
        {
            return new BrokenRule(OwnMeasurement, $"{person} had a hand in run {hand.Run.No} of survey {hand.Measurement.Survey}; {hold.Id} is released by somebody who did not measure, upload, correct, discard or help.");
        }

        return ReleaseObstacles.SinceReturn(standing);
    }

    /// <summary>The points that only wait for somebody's name, in the order of the route: every result accepted or conceded, none released.</summary>
    /// <returns>Each with the rule that forbids this person to release it, those before it being released with it; null where none does.</returns>
    /// <param name="limit">What forbids a point to this person beside the rules of every release; null where nothing does.</param>
    public static ImmutableArray<(HoldStanding Hold, BrokenRule? WhyNot)> Together(
        MachineRecord machine, string person, QualifiedPeople? people = null, Func<MachineRecord, HoldPoint, BrokenRule?>? limit = null)
    {
        var points = ImmutableArray.CreateBuilder<(HoldStanding, BrokenRule?)>();
        foreach (var hold in machine.Revision.Holds)
        {
            var standing = machine.StandingOfHold(hold);
            if (standing is not { Released: null, Characteristics.Length: > 0, Worst: null })
            {
                continue;
            }

            var rule = limit?.Invoke(machine, hold) ?? WhyNotRelease(machine, hold, person, people);
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
                ? new BrokenRule(AlreadyReleased, $"{hold.Id} of {machine.Serial} was released by {released.Person} at {released.At.InWords}; record an act on the bed to have it measured anew.")
            : null;
    }

    /// <summary>Everybody who had a hand in any run of the point, discarded and contact runs and replaced measurements included; of a run from paper also who measured.</summary>
    public static ImmutableArray<(string Person, Run Run, Measurement Measurement)> HandsOf(MachineRecord machine, HoldPoint hold)
    {
        var surveys = machine.SurveysOfHold(hold.Id);
        return [.. machine.Measurements.Where(m => surveys.Contains(m.Survey))
            .SelectMany(m => m.Runs.Where(r => r.Kind != RunKind.SpotCheck).SelectMany(r => r.Hands.Concat(machine.Papers.Where(p => p.Run == r.Id).Select(p => p.MeasuredBy)).Distinct().Select(h => (h, r, m))))];
    }
}
