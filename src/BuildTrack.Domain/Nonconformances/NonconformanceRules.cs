using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Nonconformances;

/// <summary>When a nonconformance may be raised and carried on, and which hold points it blocks. The right to the act itself is checked by the caller.</summary>
public static class NonconformanceRules
{
    public const string NotInThisState = "R-NCR-01";
    public const string NotFailed = "R-NCR-02";
    public const string RaisedAlready = "R-NCR-03";
    public const string OtherRole = "R-NCR-04";
    public const string ProposerAlone = "R-NCR-05";
    public const string ApprovedAlready = "R-NCR-06";
    public const string OwnAction = "R-NCR-07";
    public const string LineNotAccepted = "R-NCR-08";
    public const string Blocks = "R-NCR-09";

    /// <summary>The point "ready for the customer": no machine passes it, or any point after it, with an open nonconformance.</summary>
    public const string CustomerPoint = "H10";

    /// <summary>The failed result that a nonconformance of a line is raised from, or the rule that forbids it.</summary>
    public static (FailedResult? Result, BrokenRule? Rule) FromResult(MachineRecord machine, AgreedCharacteristic agreed)
    {
        var standing = machine.StandingOf(agreed);
        var (line, title) = (agreed.Characteristic.Line, agreed.Characteristic.Title);
        if (standing.Standing != Standing.Calculated || standing.Evaluation is not { } evaluation || FailedResult.Of(evaluation) is not { } failed)
        {
            return (null, new BrokenRule(NotFailed, $"{line} {title} of {machine.Serial} is {standing.Word}; a nonconformance is raised from a result that is rejected or not proven, or for something seen."));
        }

        return machine.Nonconformances.FirstOrDefault(n => n.Result?.EvaluationHash == evaluation.Hash) is { } before
            ? (null, new BrokenRule(RaisedAlready, $"{before.Name} was raised by {before.Person} from this result of {line} {title} ({failed.Found}); it is {before.Standing.Word}."))
            : (failed, null);
    }

    /// <summary>The rule that forbids a person an act on a nonconformance; null when none does.</summary>
    /// <param name="proposed">The disposition that is proposed, where the act is to propose one.</param>
    public static BrokenRule? WhyNot(MachineRecord machine, Nonconformance of, NonconformanceAct act, string person, ImmutableArray<string> roles, Disposition? proposed = null)
    {
        var standing = of.Standing;
        var from = act switch
        {
            NonconformanceAct.Contain => NonconformanceState.Raised,
            NonconformanceAct.Propose => NonconformanceState.Contained,
            NonconformanceAct.Approve or NonconformanceAct.Consent => NonconformanceState.DispositionProposed,
            NonconformanceAct.GiveBack => standing.State == NonconformanceState.ActionDone ? NonconformanceState.ActionDone : NonconformanceState.DispositionProposed,
            NonconformanceAct.Action => NonconformanceState.DispositionApproved,
            NonconformanceAct.Verify => NonconformanceState.ActionDone,
            NonconformanceAct.Close => NonconformanceState.Verified,
            _ => throw new ArgumentOutOfRangeException(nameof(act), act, "There is no such act."),
        };
        if (standing.State != from)
        {
            return new BrokenRule(NotInThisState, $"{of.Name} is {standing.Word}; {WordOf(act)} needs one that is {(standing with { State = from }).Word}.");
        }

        return act switch
        {
            NonconformanceAct.Propose => WhyNotPropose(of, roles, proposed ?? throw new ArgumentNullException(nameof(proposed))),
            NonconformanceAct.Approve => WhyNotApprove(of, standing, person, roles),
            NonconformanceAct.Consent => standing.Consent is { } given
                ? new BrokenRule(ApprovedAlready, $"The consent of {given.Detail.Consent!.Person} to {of.Name} is recorded already, by letter {given.Detail.Consent.Letter}.") : null,
            NonconformanceAct.GiveBack => WhyNotGiveBack(of, standing, person, roles),
            NonconformanceAct.Verify => WhyNotVerify(machine, of, standing, person),
            _ => null,
        };
    }

    /// <summary>The open nonconformances that block a hold point, in the order of their numbers.</summary>
    public static ImmutableArray<Nonconformance> Against(MachineRecord machine, HoldPoint hold)
    {
        var holds = machine.Revision.Holds;
        var customer = holds.FirstOrDefault(h => h.Id == CustomerPoint);
        var late = customer is not null && holds.IndexOf(hold) >= holds.IndexOf(customer);
        bool Belongs(Nonconformance n) => late || (n.Line is { } line ? machine.Revision.FindCharacteristic(line)?.Hold == hold.Id : n.Step is { } step && Reaches(machine.Revision, step, hold));

        return [.. machine.Nonconformances.Where(n => n.Open && Belongs(n))];
    }

    /// <summary>The same in one sentence; null when none does.</summary>
    public static BrokenRule? WhyBlocked(MachineRecord machine, HoldPoint hold) => Against(machine, hold) is { IsEmpty: false } open
        ? new BrokenRule(Blocks, $"{hold.Id} of {machine.Serial} waits for {string.Join("; ", open.Select(n => $"{n.Name} ({n.Standing.Word}: {n.What})"))}: to be closed, or conceded.") : null;

    /// <summary>The hold points that a step leads to: its own, or where it has none, those of the steps after it.</summary>
    private static bool Reaches(ChecklistRevision revision, int step, HoldPoint hold) =>
        revision.Holds.Any(h => h.Step == step) ? hold.Step == step : revision.Steps.Where(s => s.After.Contains(step)).Any(s => Reaches(revision, s.Number, hold));

    private static BrokenRule? WhyNotPropose(Nonconformance of, ImmutableArray<string> roles, Disposition proposed) =>
        // Quality and engineering propose anything; a planner what a planner decides on.
        roles.Contains(Roles.Inspector) || roles.Contains(Roles.Administrator) || Approval.Roles(proposed).Any(roles.Contains) ? null
        : new BrokenRule(OtherRole, $"{Approval.Word(proposed)} of {of.Name} is proposed by {string.Join(" or ", Approval.Roles(proposed).Append(Roles.Administrator).Distinct())}.");

    private static BrokenRule? WhyNotApprove(Nonconformance of, NonconformanceStanding standing, string person, ImmutableArray<string> roles)
    {
        var (disposition, needed) = (standing.Disposition!.Value, Approval.Roles(standing.Disposition!.Value));
        if (standing.Approvals.Any(a => a.Person == person))
        {
            return new BrokenRule(ApprovedAlready, $"{person} has approved {Approval.Word(disposition)} of {of.Name} already; {string.Join(" and ", needed)} approve it as two persons.");
        }

        var missing = standing.Missing;
        if (!missing.Any(roles.Contains))
        {
            return new BrokenRule(OtherRole, missing.IsEmpty ? $"{of.Name} has every approval and waits for the customer's consent."
                : $"{Approval.Word(disposition)} of {of.Name} waits for the approval of {string.Join(" or ", missing)}; {person} is {(roles.Length == 0 ? "none" : string.Join(", ", roles))}.");
        }

        return needed.Length == 1 && standing.Proposal!.Person == person
            ? new BrokenRule(ProposerAlone, $"{person} proposed {Approval.Word(disposition)} of {of.Name} and would be its only approver; another {needed[0]} approves it.")
            : null;
    }

    private static BrokenRule? WhyNotGiveBack(Nonconformance of, NonconformanceStanding standing, string person, ImmutableArray<string> roles)
    {
        ImmutableArray<string> may = standing.State == NonconformanceState.ActionDone ? [Roles.Inspector] : Approval.Roles(standing.Disposition!.Value);
        return may.Any(roles.Contains) || (standing.State == NonconformanceState.DispositionProposed && standing.Proposal!.Person == person) ? null
            : new BrokenRule(OtherRole, $"{of.Name}, {standing.Word}, is given back by {string.Join(" or ", may)}.");
    }

    private static BrokenRule? WhyNotVerify(MachineRecord machine, Nonconformance of, NonconformanceStanding standing, string person)
    {
        if (standing.Action!.Person == person)
        {
            return new BrokenRule(OwnAction, $"{person} did the action on {of.Name}; another inspector verifies it.");
        }

        if (standing.Disposition != Disposition.Rework || of.Line is not { } line)
        {
            return null;
        }

        var agreed = machine.Agreed().SingleOrDefault(a => a.Characteristic.Line == line);
        return agreed is not null && machine.StandingOf(agreed) is var now && now.Accepted ? null
            : new BrokenRule(LineNotAccepted, $"{of.Name} was reworked; {line} {of.Result!.Title} of {machine.Serial} must be accepted now, and is {(agreed is null ? "no longer asked for" : machine.StandingOf(agreed).Word)}.");
    }

    private static string WordOf(NonconformanceAct act) => act switch
    {
        NonconformanceAct.Contain => "containing it",
        NonconformanceAct.Propose => "proposing a disposition",
        NonconformanceAct.Approve => "an approval",
        NonconformanceAct.Consent => "the customer's consent",
        NonconformanceAct.GiveBack => "giving it back",
        NonconformanceAct.Action => "the action",
        NonconformanceAct.Verify => "verifying it",
        _ => "closing it",
    };
}
