using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Route.Walking;

/// <summary>A machine on a walk, without server and database: roles, route and releases are judged by the product; the rules of runs stand with the database and are not judged here.</summary>
internal sealed class MachineInMemory
{
    private MachineRecord record = Ordered();
    private long last = 1000;

    public MachineRecord Record => record;

    private Instant Now => new(Make.Noon.Microseconds + last);

    /// <summary>Does the act, or tells the rule that forbids it.</summary>
    /// <param name="forbids">What the statement says: followed where only the database would know.</param>
    public string? Try(WalkAct act, IReadOnlyList<string> forbids)
    {
        var role = RouteStatement.People.Single(p => p.Name == act.Person).Role;
        if (!Permissions.May(Ncr.RolesOf($"{role}"), KindOf(act.Kind)))
        {
            return RouteStatement.WrongRole;
        }

        var hold = record.Revision.Holds.FirstOrDefault(h => h.Step == act.Step);
        var rule = act.Kind switch
        {
            WalkKind.Release => ReleaseRules.WhyNotRelease(record, hold!, act.Person)?.Id,
            WalkKind.Return => ReleaseRules.WhyNotReturn(record, hold!)?.Id,
            WalkKind.Issue => CertificateRules.WhyNotComplete(record, All) is not null || CertificateRules.WhyBlocked(record, All) is not null || CertificateRules.Covering(record, All) is not null
                ? CertificateRules.NotIssued : null,
            WalkKind.CloseItem => PunchRules.WhyNot(record.OpenPunch.First(), PunchAct.Close, act.Person)?.Id,
            WalkKind.SendBack => RouteRules.WhyNotSendBack(record, act.Step, record.Revision.FindRework(act.Trigger!)!)?.Id,
            _ when OnCard(act.Kind) is { } onCard => RouteRules.WhyNot(record, act.Step == 0 ? null : act.Step, onCard)?.Id,
            _ => forbids.Count > 0 ? forbids[0] : null,
        };
        if (rule is null)
        {
            last++;
            Do(act, hold);
        }

        return rule;
    }

    public int Certificates => record.Certificates.Length;

    private CertificateScope All => record.Revision.Scopes.Single();

    public string StepWord(int step) => record.Route.Of(step).Word;

    public (string Word, string? ReleasedBy) Hold(int step)
    {
        var standing = record.StandingOfHold(record.Revision.Holds.Single(h => h.Step == step));
        return (standing.Released is not null ? "released" : standing.Returned is not null ? "returned" : standing.Ready ? "ready for release" : "open", standing.Released?.Person);
    }

    private void Do(WalkAct act, HoldPoint? hold)
    {
        if (OnCard(act.Kind) is { } onCard)
        {
            record = record with { RouteCard = record.RouteCard.Add(new RouteEntry(last, act.Step == 0 ? null : act.Step, onCard, act.Person, Now, "why")) };
            return;
        }

        if (act.Kind == WalkKind.SendBack)
        {
            var back = new RouteEntry(last, record.Revision.FindRework(act.Trigger!)!.ReturnsTo, RouteAct.Reopen, act.Person, Now, "why", new SentBack(act.Trigger!, act.Step));
            record = record with { RouteCard = record.RouteCard.Add(back) };
            return;
        }

        var current = hold is null ? null : record.Current(ListOf(hold));
        switch (act.Kind)
        {
            case WalkKind.Begin:
                if (current is null || record.VoidedBy(current) is not null)
                {
                    current = new Measurement(last++, ListOf(hold!), null, (current?.No ?? 0) + 1, 1, null, Now, act.Person, []);
                }

                Put(current with { Runs = current.Runs.Add(Make.Run(last, current.Runs.Length + 1, null, [], person: act.Person) with { Finished = null, Helpers = act.Helper is null ? [] : [act.Helper] }) });
                break;
            case WalkKind.Answer:
                var run = current!.Runs[^1];
                var reading = new Reading(last, Place.Whole, "q1", new ReadingValue(ValueKind.Choice, act.Yes ? "yes" : "no", null, null, null, null), Now, act.Person, EntryRoute.Typed, null, null);
                Put(current with { Runs = current.Runs.SetItem(current.Runs.Length - 1, run with { Readings = [reading], Finished = Now, Shown = Now }) });
                Calculate(hold!);
                break;
            case WalkKind.Discard:
                Put(current! with { Runs = current.Runs.SetItem(current.Runs.Length - 1, current.Runs[^1] with { Discarded = new Discarded(act.Person, Now, "why") }) });
                Calculate(hold!);
                break;
            case WalkKind.Rework:
                record = record with { Changes = record.Changes.Add(new BedChange(last, $"again-{hold!.Id}", "why", act.Person, Now)) };
                break;
            case WalkKind.Release or WalkKind.Return:
                var kind = act.Kind == WalkKind.Release ? HoldDecisionKind.Released : HoldDecisionKind.Returned;
                record = record with { Decisions = record.Decisions.Add(new HoldDecision(last, hold!.Id, kind, act.Person, Now, "why", "s", [], last)) };
                if (CertificateRules.WhyNotComplete(record, All) is null && CertificateRules.WhyBlocked(record, All) is null)
                {
                    Issue();
                }

                break;
            case WalkKind.Issue:
                Issue();
                break;
            case WalkKind.AddItem:
                record = record with { Punch = record.Punch.Add(new PunchItem(last, record.Punch.Length + 1, "Sharp edge", PunchClass.A, act.Helper!, false, "2026-12-01", act.Person, Now, [])) };
                break;
            case WalkKind.CloseItem:
                var item = record.OpenPunch.First();
                record = record with { Punch = record.Punch.Replace(item, item with { Entries = [new PunchEntry(last, PunchAct.Close, act.Person, Now, "why", null, null)] }) };
                break;
            case WalkKind.Raise:
                record = record with
                {
                    Nonconformances = record.Nonconformances.Add(new Nonconformance(
                        last, record.Nonconformances.Length + 1, record.Serial, act.Step, null, new SeenFault("Ra 3.2", "Ra 3.9", "company standard", false), Severity.Minor, null, act.Person, Now, [])),
                };
                break;
            default:
                Settle(act.Step);
                break;
        }
    }

    private void Issue() => record = record with
    {
        Certificates = record.Certificates.Add(new CertificateState(++last, All.Id, "T-1", record.Certificates.Length + 1, CertificateStage.Issued, Now, "r", "f", null, null)),
    };

    private void Settle(int step)
    {
        var of = record.Nonconformances.First(n => n.Step == step && n.Open);
        record = record with { Nonconformances = record.Nonconformances.Remove(of).Add(of) };
        record = Ncr.Enter(record, NonconformanceAct.Contain, "renna", "T");
        record = Ncr.Enter(record, NonconformanceAct.Propose, "maren", "I", Disposition.Rework);
        record = Ncr.Enter(record, NonconformanceAct.Approve, "dov", "I");
        record = Ncr.Enter(record, NonconformanceAct.Action, "renna", "T");
        record = Ncr.Enter(record, NonconformanceAct.Verify, "maren", "I");
        record = Ncr.Enter(record, NonconformanceAct.Close, "maren", "I");
    }

    private void Put(Measurement measurement) =>
        record = record with { Measurements = [.. record.Measurements.Where(m => m.Id != measurement.Id), measurement] };

    // As every act does that changes what a result rests on.
    private void Calculate(HoldPoint hold)
    {
        var agreed = record.Agreed(hold.Id).Single();
        var result = Evaluators.Evaluate(EvaluationInputs.For(record, agreed));
        record = record with { Evaluations = [.. record.Evaluations.Where(e => e.Line != agreed.Characteristic.Line), new StoredEvaluation(++last, agreed.Characteristic.Line, result.Hash, Now, result)] };
    }

    private static string ListOf(HoldPoint hold) => $"list-{hold.Id}";

    private static RouteAct? OnCard(WalkKind kind) => kind switch
    {
        WalkKind.Start => RouteAct.Start,
        WalkKind.Pause => RouteAct.Pause,
        WalkKind.Finish => RouteAct.Finish,
        WalkKind.NotApplicable => RouteAct.NotApplicable,
        WalkKind.Reopen => RouteAct.Reopen,
        WalkKind.PutOnHold => RouteAct.PutOnHold,
        WalkKind.LiftHold => RouteAct.LiftHold,
        _ => null,
    };

    private static string KindOf(WalkKind kind) => kind switch
    {
        WalkKind.Start or WalkKind.Pause or WalkKind.Finish => ActKind.WorkStep,
        WalkKind.NotApplicable => ActKind.SetNotApplicable,
        WalkKind.Reopen or WalkKind.SendBack => ActKind.ReopenStep,
        WalkKind.PutOnHold => ActKind.HoldMachine,
        WalkKind.LiftHold => ActKind.LiftHold,
        WalkKind.Begin => ActKind.BeginRun,
        WalkKind.Answer => ActKind.Record,
        WalkKind.Discard => ActKind.Discard,
        WalkKind.Rework => ActKind.ChangeBed,
        WalkKind.Release => ActKind.Release,
        WalkKind.Return => ActKind.Return,
        WalkKind.AddItem => ActKind.AddPunchItem,
        WalkKind.CloseItem => ActKind.ClosePunchItem,
        WalkKind.Issue => ActKind.IssueCertificate,
        // Settling is the work of several people; who raises may be anybody.
        _ => ActKind.RaiseNonconformance,
    };

    private static MachineRecord Ordered()
    {
        var machine = Make.Machine();
        var holds = RouteStatement.Steps.Where(s => s.Hold is not null).Select(s => new HoldPoint(s.Hold!, s.Number, s.Hold!)).ToImmutableArray();
        var question = new Column("q1", "Is everything in order?", ValueKind.Choice, null, null, ["yes", "no"]);
        return machine with
        {
            Revision = machine.Revision with
            {
                Steps = [.. RouteStatement.Steps.Select(s => new RouteStep(s.Number, $"Step {s.Number}", "bench", [.. s.After], ImmutableSortedDictionary<string, decimal>.Empty, []))],
                Holds = holds,
                Scopes = [new CertificateScope("all", "All", [.. holds.Select(h => h.Id)])],
                Surveys = [.. holds.Select(h => new Survey(ListOf(h), h.Step, "List", null, PlaceKind.Whole, [question], 1, false, [], [], false, null))],
                Characteristics = [.. holds.Select(h => new Characteristic(
                    $"answers-{h.Id}", $"{h.Step}-01", h.Id, "List", AnswersEvaluator.Name, ImmutableSortedDictionary<string, SourceRef>.Empty.Add("q1", new SourceRef(ListOf(h), "q1", null, null)), null, "answered-no"))],
                Limits = [new LimitSet("B", ImmutableSortedDictionary<string, Requirement>.Empty.Add("answered-no", new Requirement(new Amount(0, "1"), null, null, null, DecisionRule.Simple, "company standard", "A", null)))],
                Rework = [.. RouteStatement.Triggers.Select(t => new ReworkTrigger(t.Id, t.Id, [.. t.FoundAt], t.ReturnsTo, "company standard"))],
                Invalidation = [.. holds.Select(h => new InvalidationRule($"again-{h.Id}", "Worked on again", [ListOf(h)]))],
            },
            Evaluations = [],
        };
    }
}
