using System.Collections.Immutable;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Witnessing;

namespace BuildTrack.Domain.Rules;

/// <summary>Where an obstacle is put right.</summary>
public enum ObstacleAt
{
    Checklists,
    RouteCard,
    Run,
    Result,
    Nonconformance,
    PunchItem,
    Photo,
    Witness,
    AsBuilt,
    HoldPoint,
}

/// <summary>One thing that stands between a hold point and its release, whoever would release it.</summary>
/// <param name="Step">Number of the step of the route it belongs to.</param>
/// <param name="Thing">Which one: the line, the id of the run, the number of the nonconformance or item, the hold point; empty where there is only one.</param>
public sealed record Obstacle(BrokenRule Rule, int Step, ObstacleAt At, string Thing);

/// <summary>Everything that stands against a release, where <see cref="ReleaseRules.WhyNotRelease"/> tells the first: both are made of the same pieces.</summary>
/// <remarks>Not among them is what forbids the release to one person and not to another: the list of people, the own measurement.</remarks>
public static class ReleaseObstacles
{
    /// <summary>All of it, in the order of the route, each thing once; empty for a point that is released or only waits for a name.</summary>
    public static ImmutableArray<Obstacle> Of(MachineRecord machine, HoldPoint hold)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(hold);
        if (machine.StandingOfHold(hold).Released is not null)
        {
            return [];
        }

        var (found, seen) = (ImmutableArray.CreateBuilder<Obstacle>(), new HashSet<(string, ObstacleAt, string)>());
        void Add(IEnumerable<Obstacle> obstacles) => found.AddRange(obstacles.Where(o => seen.Add((o.Rule.Id, o.At, o.Thing))));

        if (NotApproved(machine, hold) is { } edition)
        {
            Add([new(edition, hold.Step, ObstacleAt.Checklists, "")]);
        }

        if (RouteRules.WhyOnHold(machine) is { } held)
        {
            Add([new(held, hold.Step, ObstacleAt.RouteCard, "")]);
        }

        var before = Before(machine.Revision, hold.Step);
        foreach (var step in machine.Route.Steps.Where(s => before.Contains(s.Step.Number) && !s.Complete))
        {
            var open = step.Holds.Where(h => h.Released is null).ToList();
            foreach (var point in open)
            {
                Add(OfEarlier(machine, point, hold));
            }

            // A release says that its work was done, unless somebody is at it, or opened it again.
            if (open.Count == 0 || step.Last?.Act is RouteAct.Start or RouteAct.Pause or RouteAct.Reopen)
            {
                Add([new(new BrokenRule(RouteRules.WaitsForSteps, $"Step {step.Step.Number} {step.Step.Name} is {step.Word}{(step.Because is { } why ? $": {why}" : "")}."), step.Step.Number, ObstacleAt.RouteCard, $"{step.Step.Number}")]);
            }
        }

        foreach (var point in EarlierPoints(machine, hold))
        {
            Add(OfEarlier(machine, point, hold));
        }

        Add(OfPoint(machine, machine.StandingOfHold(hold)));
        return found.ToImmutable();
    }

    internal static BrokenRule? NotApproved(MachineRecord machine, HoldPoint hold) => machine.RevisionApproved ? null : new BrokenRule(ReleaseRules.NotApproved,
        $"Checklists edition {machine.Revision.Edition} ({machine.Revision.Hash[..8]}) are not yet approved; an administrator approves them before {hold.Id} of {machine.Serial} can be released.");

    /// <summary>Every open run of the point.</summary>
    internal static IEnumerable<Obstacle> OpenRuns(MachineRecord machine, HoldPoint hold) =>
        from survey in machine.SurveysOfHold(hold.Id)
        from measurement in machine.Currents(survey)
        where measurement?.Open is not null
        let run = measurement.Open
        select new Obstacle(
            new BrokenRule(ReleaseRules.RunOpen, $"Run {run.No} of survey {survey} by {run.Person} is still open; finish or discard it first."), machine.Revision.Survey(survey).Step, ObstacleAt.Run, $"{run.Id}");

    /// <summary>Every result of the point that is neither accepted nor conceded.</summary>
    internal static IEnumerable<Obstacle> Results(MachineRecord machine, HoldStanding standing) =>
        standing.Characteristics.Length == 0
            ? [new(new BrokenRule(ReleaseRules.NotAccepted, $"{standing.Hold.Id} has no characteristic for class {machine.Model.Class}."), standing.Hold.Step, ObstacleAt.HoldPoint, standing.Hold.Id)]
            : standing.Characteristics.Where(c => !c.MayPass).Select(c => new Obstacle(Beyond(machine, c) ?? new BrokenRule(ReleaseRules.NotAccepted, $"{c.Agreed.Characteristic.Line} {c.Agreed.Characteristic.Title} is {c.Word}"),
                machine.SurveysOf(c.Agreed.Characteristic) is [.., var survey] ? machine.Revision.Survey(survey).Step : standing.Hold.Step, ObstacleAt.Result, c.Agreed.Characteristic.Line));

    /// <summary>The points of the same step that come before it on the route and are not released: H7a before H7b before H7.</summary>
    internal static IEnumerable<HoldStanding> EarlierPoints(MachineRecord machine, HoldPoint hold) =>
        machine.Revision.Holds.TakeWhile(h => h != hold).Where(h => h.Step == hold.Step).Select(machine.StandingOfHold).Where(h => h.Characteristics.Length > 0 && h.Released is null);

    internal static BrokenRule Earlier(MachineRecord machine, HoldPoint earlier, HoldPoint hold) =>
        new(ReleaseRules.EarlierPoint, $"{earlier.Id} {earlier.Name} of {machine.Serial} is released before {hold.Id}.");

    internal static BrokenRule? SinceReturn(HoldStanding standing) => standing.Returned is { } returned
        ? new BrokenRule(ReleaseRules.NothingSinceReturn, $"{standing.Hold.Id} was returned by {returned.Person} because: {returned.Reason}. Nothing was recorded since.") : null;

    /// <summary>Who comes with a concession in hand must read why it does not hold.</summary>
    private static BrokenRule? Beyond(MachineRecord machine, CharacteristicStanding standing) =>
        standing.Standing == Standing.Calculated && machine.Concessions.LastOrDefault(x => x.Of.Line == standing.Agreed.Characteristic.Line) is { } given
            ? new BrokenRule(ReleaseRules.BeyondConcession,
                $"{given.Name} concedes {given.Conceded} for {given.Of.Line} {given.Of.Result!.Title} against {given.Of.Result.Required}; now {FailedResult.Of(standing.Evaluation!)!.Found} is found, which it does not cover.")
            : null;

    private static List<Obstacle> OfEarlier(MachineRecord machine, HoldStanding point, HoldPoint hold)
    {
        var own = OfPoint(machine, point);
        return own.Count > 0 ? own : [new Obstacle(Earlier(machine, point.Hold, hold), point.Hold.Step, ObstacleAt.HoldPoint, point.Hold.Id)];
    }

    // The point alone: what was measured for it, and what is open against it.
    private static List<Obstacle> OfPoint(MachineRecord machine, HoldStanding standing)
    {
        var hold = standing.Hold;
        return
        [
            .. OpenRuns(machine, hold),
            .. Results(machine, standing).Select(r => r with { Rule = r.Rule with { Sentence = r.Rule.Sentence.TrimEnd('.') + "." } }),
            .. NonconformanceRules.Against(machine, hold).Select(n => new Obstacle(
                new BrokenRule(NonconformanceRules.Blocks, $"{n.Name} is {n.Standing.Word} ({n.What}): to be closed, or conceded."), n.Step ?? hold.Step, ObstacleAt.Nonconformance, $"{n.Number}")),
            .. PunchRules.Against(machine, hold).Select(i => new Obstacle(new BrokenRule(PunchRules.OpenClassA, $"Item {i.No} of the punch list is open and of class A: {i.Text}."), hold.Step, ObstacleAt.PunchItem, $"{i.No}")),
            .. machine.Revision.FindStep(hold.Step) is { } step
                ? FileRules.Missing(machine, step).Select(p => new Obstacle(new BrokenRule(FileRules.PhotoMissing, $"A photo is missing: {p.Text}."), step.Number, ObstacleAt.Photo, p.Id)) : [],
            .. WitnessRules.WhyBlocked(machine, hold) is { } witness ? [new Obstacle(witness, hold.Step, ObstacleAt.Witness, hold.Id)] : Array.Empty<Obstacle>(),
            .. ComponentRules.WhyBlocked(machine, hold) is { } list ? [new Obstacle(list, hold.Step, ObstacleAt.AsBuilt, hold.Id)] : Array.Empty<Obstacle>(),
            .. PaperRules.Against(machine, hold),
            .. SinceReturn(standing) is { } returned ? [new Obstacle(returned, hold.Step, ObstacleAt.HoldPoint, hold.Id)] : Array.Empty<Obstacle>(),
        ];
    }

    private static HashSet<int> Before(ChecklistRevision revision, int step)
    {
        var (before, open) = (new HashSet<int>(), new Stack<int>([step]));
        while (open.TryPop(out var at))
        {
            foreach (var after in revision.FindStep(at)?.After ?? [])
            {
                if (before.Add(after))
                {
                    open.Push(after);
                }
            }
        }

        return before;
    }
}
