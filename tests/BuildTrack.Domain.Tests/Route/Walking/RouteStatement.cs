namespace BuildTrack.Domain.Tests.Route.Walking;

/// <summary>What the rules of the route and of the hold points say, stated once more and sharing nothing with the product: a small plant, and flags for one machine in it.</summary>
/// <remarks>Roles as the permission outline of the trade gives them (common practice); rules by their ids. Where several rules forbid an act, any of them may be the answer.</remarks>
internal sealed class RouteStatement
{
    public const string WrongRole = "role";

    /// <summary>Steps with what they come after, and their hold point. 30 and 40 run side by side.</summary>
    public static readonly (int Number, int[] After, string? Hold)[] Steps =
        [(10, [], "A"), (20, [10], null), (30, [20], null), (40, [20], "B"), (50, [30, 40], null), (60, [50], "H11"), (70, [60], null)];

    /// <summary>What sends a machine back by name: where it is found, and the step it returns to.</summary>
    public static readonly (string Id, int[] FoundAt, int ReturnsTo)[] Triggers = [("rough", [30, 40], 20), ("bent", [60, 70], 40), ("wrong", [40, 60], 10)];

    /// <summary>Two technicians, two inspectors, a planner and an administrator.</summary>
    public static readonly (string Name, char Role)[] People =
        [("renna", 'T'), ("jorin", 'T'), ("maren", 'I'), ("dov", 'I'), ("tilda", 'P'), ("odo", 'A')];

    private readonly Dictionary<int, Flags> flags = Steps.ToDictionary(s => s.Number, _ => new Flags());
    private readonly List<string> openItems = [];
    private bool onHold;
    private bool covered;

    private enum Said
    {
        Nothing,
        Working,
        Paused,
        Done,
        Left,
        Again,
    }

    /// <summary>The letters of the roles that may do it.</summary>
    public static string RolesFor(WalkKind kind) => kind switch
    {
        WalkKind.Release or WalkKind.Return or WalkKind.Issue => "I",
        WalkKind.NotApplicable => "IA",
        WalkKind.Reopen or WalkKind.SendBack or WalkKind.PutOnHold or WalkKind.LiftHold => "IP",
        WalkKind.Raise or WalkKind.Settle => "TIPA",
        WalkKind.AddItem => "TIP",
        _ => "TI",
    };

    public static string? HoldOf(int step) => Steps.Single(s => s.Number == step).Hold;

    /// <summary>The first step of the route that is not complete; the last one where all are.</summary>
    public int Front => Steps.FirstOrDefault(s => !Complete(s.Number), Steps[^1]).Number;

    public bool HasOpenItem => openItems.Count > 0;

    /// <summary>Certificates issued so far, by a release that completed all or by hand.</summary>
    public int Certificates { get; private set; }

    /// <summary>What blocked the certificate of the last release is gone.</summary>
    public bool MayIssue => MayCertify && !covered;

    public bool HasOpenNonconformance(int step) => flags[step].Nonconformances > 0;

    /// <summary>Who began the step's last list; null where none was begun.</summary>
    public string? BegunBy(int step) => flags[step].Runs.LastOrDefault()?.Person;

    /// <summary>The rules that forbid it; empty where it must be done.</summary>
    public List<string> Forbids(WalkAct act)
    {
        var rules = new List<string>();
        void If(bool forbidden, string rule)
        {
            if (forbidden)
            {
                rules.Add(rule);
            }
        }

        if (!RolesFor(act.Kind).Contains(People.Single(p => p.Name == act.Person).Role))
        {
            return [WrongRole];
        }

        if (act.Kind is WalkKind.PutOnHold or WalkKind.LiftHold)
        {
            If(onHold == (act.Kind == WalkKind.PutOnHold), "R-HOLD-02");
            return rules;
        }

        if (act.Kind is WalkKind.AddItem or WalkKind.CloseItem)
        {
            If(act.Kind == WalkKind.CloseItem && openItems[0] == act.Person, "R-PUNCH-02");
            return rules;
        }

        if (act.Kind == WalkKind.Issue)
        {
            If(!MayIssue, "R-CERTIFICATE-01");
            return rules;
        }

        var f = flags[act.Step];
        var run = f.Runs.LastOrDefault();
        If(onHold && act.Kind is WalkKind.Start or WalkKind.Pause or WalkKind.Finish or WalkKind.NotApplicable or WalkKind.Reopen or WalkKind.SendBack or WalkKind.Begin or WalkKind.Release, "R-HOLD-01");
        If((act.Kind is WalkKind.Start or WalkKind.Begin or WalkKind.Release) && Waits(act.Step), "R-STEP-01");
        switch (act.Kind)
        {
            case WalkKind.Start:
                If(f.Said is Said.Working or Said.Done or Said.Left || Complete(act.Step), "R-STEP-02");
                break;
            case WalkKind.Pause:
                If(f.Said != Said.Working, "R-STEP-02");
                break;
            case WalkKind.Finish:
                If(f.Said is not (Said.Working or Said.Paused), "R-STEP-02");
                If(f.Open is not null, "R-STEP-03");
                break;
            case WalkKind.Reopen:
                If(!MayReopen(act.Step), "R-STEP-02");
                break;
            case WalkKind.SendBack:
                var (_, foundAt, returnsTo) = Triggers.Single(t => t.Id == act.Trigger);
                If(!foundAt.Contains(act.Step), "R-STEP-05");
                If(!MayReopen(returnsTo) || StepWord(act.Step) is "ready" or "not started", "R-STEP-02");
                break;
            case WalkKind.NotApplicable:
                If(HoldOf(act.Step) is not null, "R-STEP-04");
                If(f.Said != Said.Nothing, "R-STEP-02");
                break;
            case WalkKind.Begin:
                If(f.ReleasedBy is not null, "R-RUN-01");
                If(f.Open is not null, "R-RUN-02");
                break;
            case WalkKind.Answer:
                If(f.ReleasedBy is not null, "R-RUN-01");
                If(run is null || run.Finished || run.SetAside, "R-READ-01");
                If(run?.Person != act.Person, "R-READ-02");
                break;
            case WalkKind.Discard:
                var inspector = People.Single(p => p.Name == act.Person).Role == 'I';
                If(f.ReleasedBy is not null, "R-RUN-01");
                If(run is null || run.SetAside, "R-DISCARD-02");
                If(run is { Finished: true } && !inspector, "R-DISCARD-01");
                If(run?.Person != act.Person && !inspector, "R-READ-02");
                break;
            case WalkKind.Rework:
                If(flags.Values.Any(x => x.Open is not null), "R-BED-01");
                break;
            case WalkKind.Release:
                If(f.ReleasedBy is not null, "R-RELEASE-02");
                If(!f.Accepted, "R-RELEASE-03");
                If(f.Hands.Contains(act.Person), "R-RELEASE-04");
                If(f.Open is not null, "R-RELEASE-05");
                If(f.Returned, "R-RELEASE-07");
                If(f.Nonconformances > 0, "R-NCR-09");
                If(HoldOf(act.Step) == "H11" && openItems.Count > 0, "R-PUNCH-04");
                break;
            case WalkKind.Return:
                If(run is null, "R-RETURN-01");
                If(f.ReleasedBy is not null, "R-RELEASE-02");
                break;
        }

        return rules;
    }

    /// <summary>What is different after an act that was done.</summary>
    public void Do(WalkAct act)
    {
        var f = act.Step == 0 ? new Flags() : flags[act.Step];
        switch (act.Kind)
        {
            case WalkKind.PutOnHold or WalkKind.LiftHold:
                onHold = act.Kind == WalkKind.PutOnHold;
                break;
            case WalkKind.Start:
                f.Said = Said.Working;
                break;
            case WalkKind.Pause:
                f.Said = Said.Paused;
                break;
            case WalkKind.Finish:
                (f.Said, f.OpenedAgain) = (Said.Done, false);
                break;
            case WalkKind.NotApplicable:
                f.Said = Said.Left;
                break;
            case WalkKind.Reopen:
                Again(f);
                break;
            case WalkKind.SendBack:
                Again(flags[Triggers.Single(t => t.Id == act.Trigger).ReturnsTo]);
                break;
            case WalkKind.Begin:
                // What was answered before the rework speaks for nothing any more.
                f.Runs.ForEach(r => r.Before |= f.Reworked);
                f.Runs.Add(new ListRun { Person = act.Person });
                f.Hands.UnionWith(act.Helper is null ? [act.Person] : [act.Person, act.Helper]);
                (f.Reworked, f.Returned) = (false, false);
                break;
            case WalkKind.Answer:
                (f.Runs[^1].Finished, f.Runs[^1].Yes, f.Returned) = (true, act.Yes, false);
                break;
            case WalkKind.Discard:
                (f.Runs[^1].SetAside, f.Returned) = (true, false);
                f.Hands.Add(act.Person);
                break;
            case WalkKind.Rework:
                (f.Reworked, f.ReleasedBy) = (f.Runs.Count > 0, null);
                break;
            case WalkKind.Release:
                (f.ReleasedBy, f.OpenedAgain, covered) = (act.Person, false, false);
                Certify();
                break;
            case WalkKind.Issue:
                Certify();
                break;
            case WalkKind.AddItem:
                openItems.Add(act.Helper!);
                break;
            case WalkKind.CloseItem:
                openItems.RemoveAt(0);
                break;
            case WalkKind.Return:
                f.Returned = true;
                break;
            case WalkKind.Raise:
                f.Nonconformances++;
                break;
            case WalkKind.Settle:
                f.Nonconformances--;
                break;
        }
    }

    /// <summary>How the step stands, in the words of the shop.</summary>
    public string StepWord(int step)
    {
        var f = flags[step];
        return f.Said switch
        {
            Said.Left => "not applicable",
            Said.Again => "rework",
            Said.Working => "in progress",
            Said.Paused => "paused",
            _ when f.ReleasedBy is not null => "released",
            _ when f.Returned || f.Rejected => "rejected",
            Said.Done => HoldOf(step) is null ? "finished" : "recorded",
            _ when f.Runs.Count > 0 => f.Accepted ? "recorded" : "in progress",
            _ => Waits(step) ? "not started" : "ready",
        };
    }

    public string? ReleasedBy(int step) => flags[step].ReleasedBy;

    /// <summary>How the hold point of a step stands.</summary>
    public string HoldWord(int step)
    {
        var f = flags[step];
        return f.ReleasedBy is not null ? "released" : f.Returned ? "returned" : f.Accepted && f.Nonconformances == 0 && (HoldOf(step) != "H11" || openItems.Count == 0) ? "ready for release" : "open";
    }

    /// <summary>Some step before it, however far, is not complete.</summary>
    private bool Waits(int step) => Steps.Single(s => s.Number == step).After.Any(a => !Complete(a) || Waits(a));

    /// <summary>Every hold point released, no step before one or at one opened again, nothing known that does not conform.</summary>
    private bool MayCertify => !onHold && openItems.Count == 0
        && Steps.Where(s => s.Hold is not null).All(s => flags[s.Number] is { ReleasedBy: not null, Nonconformances: 0, OpenedAgain: false } && !Waits(s.Number));

    private void Certify()
    {
        if (MayCertify)
        {
            (covered, Certificates) = (true, Certificates + 1);
        }
    }

    private static void Again(Flags f) => (f.Said, f.OpenedAgain) = (Said.Again, f.ReleasedBy is not null);

    private bool MayReopen(int step) => flags[step].Said is Said.Done or Said.Left || Complete(step);

    private bool Complete(int step)
    {
        var f = flags[step];
        return f.Said == Said.Left || (f.Said is Said.Nothing or Said.Done && (HoldOf(step) is null ? f.Said == Said.Done : f.ReleasedBy is not null));
    }

    private sealed class ListRun
    {
        public required string Person { get; init; }

        public bool Finished;
        public bool SetAside;
        public bool Yes;

        /// <summary>From before a rework.</summary>
        public bool Before;
    }

    /// <summary>What is known of a step.</summary>
    private sealed class Flags
    {
        public Said Said;
        public bool Reworked;

        /// <summary>Opened again since its release, and not finished.</summary>
        public bool OpenedAgain;
        public bool Returned;
        public string? ReleasedBy;
        public int Nonconformances;
        public readonly List<ListRun> Runs = [];
        public readonly HashSet<string> Hands = [];

        public ListRun? Open => Runs.LastOrDefault() is { Finished: false, SetAside: false } open ? open : null;

        public bool Accepted => Counting is { Yes: true };

        public bool Rejected => Counting is { Yes: false };

        /// <summary>The list that was answered last and counts; null where there is none.</summary>
        private ListRun? Counting => Reworked ? null : Runs.LastOrDefault(r => r is { Finished: true, SetAside: false, Before: false });
    }
}
