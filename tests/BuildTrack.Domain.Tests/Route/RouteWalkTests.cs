using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Chance;

namespace BuildTrack.Domain.Tests.Route;

/// <summary>Seeded random walks over the acts of the route, compared with a statement of the rules that shares nothing with them: flags per step.</summary>
public sealed class RouteWalkTests
{
    private static readonly (int Number, int[] After, string? Hold)[] Steps =
        [(10, [], "A"), (20, [10], null), (30, [20], null), (40, [20], "B"), (50, [30, 40], null), (60, [50], "C"), (70, [60], null)];

    /// <summary>What the twin knows of a step.</summary>
    private sealed class Flags
    {
        public bool Working;
        public bool Begun;
        public bool Done;
        public bool Left;
        public bool Again;
        public bool Released;
    }

    [Fact]
    public void No_walk_passes_a_hold_point_or_a_step_in_any_other_way()
    {
        var (done, refused) = (0, 0);
        for (var walk = 0; walk < 2000; walk++)
        {
            var random = new SeededSource((ulong)walk + 20261125);
            var flags = Steps.ToDictionary(s => s.Number, _ => new Flags());
            var onHold = false;
            var machine = Empty();
            for (var i = 0; i < 80; i++)
            {
                var at = Steps[(int)(random.NextUniform() * Steps.Length)];
                var what = (int)(random.NextUniform() * 9);
                var f = flags[at.Number];
                if (what == 8)
                {
                    if (at.Hold is null)
                    {
                        continue;
                    }

                    var allowed = !onHold && !f.Released && at.After.All(a => Complete(flags, a));
                    var rule = ReleaseRules.WhyNotRelease(machine, machine.Revision.Holds.Single(h => h.Id == at.Hold), "ida");
                    Assert.True(allowed == rule is null, $"walk {walk}, act {i}: release {at.Hold}: {rule}");
                    if (allowed)
                    {
                        machine = machine with { Decisions = machine.Decisions.Add(new HoldDecision(10_000 + i, at.Hold, HoldDecisionKind.Released, "ida", At(i), null, "s", [], i)) };
                        f.Released = true;
                    }

                    continue;
                }

                // Putting on hold seldom, or nothing else would happen.
                var act = what == 7 ? (onHold ? RouteAct.LiftHold : random.NextUniform() < 0.15 ? RouteAct.PutOnHold : RouteAct.Start) : (RouteAct)Math.Min(what, 4);
                int? step = act is RouteAct.PutOnHold or RouteAct.LiftHold ? null : at.Number;
                var may = act switch
                {
                    RouteAct.PutOnHold => !onHold,
                    RouteAct.LiftHold => onHold,
                    _ when onHold => false,
                    RouteAct.Start => !f.Working && !f.Left && (f.Again || !f.Done) && !(f.Released && !f.Begun && !f.Again) && at.After.All(a => Complete(flags, a)),
                    RouteAct.Pause => f.Working,
                    RouteAct.Finish => f.Begun && !f.Done && !f.Left && !f.Again,
                    RouteAct.Reopen => (f.Done || f.Left) && !f.Again,
                    _ => at.Hold is null && !f.Begun && !f.Done && !f.Left && !f.Again,
                };
                var why = RouteRules.WhyNot(machine, step, act);
                Assert.True(may == why is null, $"walk {walk}, act {i}: {act} {step}: {why}");
                if (!may)
                {
                    refused++;
                    continue;
                }

                done++;
                machine = machine with { RouteCard = machine.RouteCard.Add(new RouteEntry(i + 1, step, act, "tom", At(i), "why")) };
                switch (act)
                {
                    case RouteAct.PutOnHold or RouteAct.LiftHold:
                        onHold = act == RouteAct.PutOnHold;
                        break;
                    case RouteAct.Start:
                        (f.Working, f.Begun, f.Again, f.Done) = (true, true, false, false);
                        break;
                    case RouteAct.Pause:
                        f.Working = false;
                        break;
                    case RouteAct.Finish:
                        (f.Working, f.Done, f.Begun) = (false, true, true);
                        break;
                    case RouteAct.Reopen:
                        (f.Again, f.Done, f.Left, f.Begun) = (true, false, false, false);
                        break;
                    default:
                        f.Left = true;
                        break;
                }
            }
        }

        Assert.True(done > 20_000 && refused > 20_000, $"{done} done, {refused} refused: the walks did not go far");
    }

    private static bool Complete(Dictionary<int, Flags> flags, int step)
    {
        var f = flags[step];
        var hold = Steps.Single(s => s.Number == step).Hold;
        return f.Left || (!f.Working && !f.Again && (hold is null ? f.Done : f.Released && (f.Done || !f.Begun)));
    }

    private static Instant At(int i) => new(Make.Noon.Microseconds + i + 1);

    /// <summary>A machine whose every hold point has one accepted result, so that only the route decides.</summary>
    private static MachineRecord Empty()
    {
        var machine = Make.Machine(Make.Measurement(500, 1, Make.GoodPass(501)));
        var characteristic = machine.Revision.Characteristics[0];
        var holds = Steps.Where(s => s.Hold is not null).ToList();
        return machine with
        {
            Revision = machine.Revision with
            {
                Steps = [.. Steps.Select(s => new RouteStep(s.Number, $"Step {s.Number}", "bench", [.. s.After], ImmutableSortedDictionary<string, decimal>.Empty))],
                Holds = [.. holds.Select(s => new HoldPoint(s.Hold!, s.Number, s.Hold!))],
                Scopes = [new CertificateScope("all", "All", [.. holds.Select(s => s.Hold!)])],
                Surveys = [machine.Revision.Surveys[0] with { Step = 5 }],
                Characteristics = [.. holds.Select(s => characteristic with { Id = $"flat-{s.Hold}", Line = $"{s.Number}-01", Hold = s.Hold! })],
            },
            Evaluations = [.. holds.Select((s, i) => machine.Evaluations[0] with { Id = 900 + i, Line = $"{s.Number}-01" })],
        };
    }
}
