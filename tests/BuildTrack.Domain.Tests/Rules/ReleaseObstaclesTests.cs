using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Tests.Route.Walking;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Rules;

/// <summary>Everything that stands against a release, compared with the one rule that a release is refused by.</summary>
public sealed class ReleaseObstaclesTests
{
    private const string Stranger = "who.never.was.here";

    /// <summary>Seeded walks: the list is empty exactly where somebody who had no hand in anything may release, and the rule of the refusal stands in it.</summary>
    [Fact]
    public async Task The_list_is_empty_exactly_where_a_stranger_may_release()
    {
        var (empty, full, rules) = (0, 0, new HashSet<string>());
        for (var walk = 0; walk < 60; walk++)
        {
            var machine = new MachineInMemory();
            await new RouteWalk((ulong)walk + 7, 80, new WalkTally()).Go((act, forbids) =>
            {
                var refused = machine.Try(act, forbids);
                foreach (var hold in machine.Record.Revision.Holds)
                {
                    var obstacles = ReleaseObstacles.Of(machine.Record, hold);
                    var told = ReleaseRules.WhyNotRelease(machine.Record, hold, Stranger);
                    if (told?.Id == ReleaseRules.AlreadyReleased)
                    {
                        Assert.Empty(obstacles);
                        continue;
                    }

                    Assert.Equal(told is null, obstacles.IsEmpty);
                    Assert.Equal(obstacles.Length, obstacles.Select(o => (o.Rule.Id, o.At, o.Thing)).Distinct().Count());
                    Assert.All(obstacles, o => Assert.EndsWith(".", o.Rule.Sentence, StringComparison.Ordinal));

                    // What waits for steps is told of each of them; everything else in the same words or by the same rule.
                    Assert.True(told is null || told.Id == RouteRules.WaitsForSteps || obstacles.Any(o => o.Rule.Id == told.Id), $"{told} is not among {string.Join("; ", obstacles)}");
                    (empty, full) = obstacles.IsEmpty ? (empty + 1, full) : (empty, full + 1);
                    rules.UnionWith(obstacles.Select(o => o.Rule.Id));
                }

                return Task.FromResult(refused);
            });
        }

        Assert.True(empty > 100 && full > 1000, $"{empty} empty, {full} full");
        Assert.Superset(
            new HashSet<string> { ReleaseRules.NotAccepted, ReleaseRules.RunOpen, ReleaseRules.NothingSinceReturn, ReleaseRules.EarlierPoint, RouteRules.WaitsForSteps, RouteRules.MachineOnHold, NonconformanceRules.Blocks }, rules);
    }

    [Fact]
    public void Each_thing_stands_there_with_its_rule_its_step_and_its_place()
    {
        var open = Make.GoodPass(4) with { No = 2, Finished = null, Readings = [] };
        var machine = Make.Machine(Make.Measurement(1, 1, open)) with { RevisionApproved = false };
        Assert.Equal(
            [(ReleaseRules.NotApproved, ObstacleAt.Checklists, ""), (ReleaseRules.RunOpen, ObstacleAt.Run, "4"), (ReleaseRules.NotAccepted, ObstacleAt.Result, "100-01")],
            ReleaseObstacles.Of(machine, machine.Revision.Holds[0]).Select(o => (o.Rule.Id, o.At, o.Thing)));
        Assert.All(ReleaseObstacles.Of(machine, machine.Revision.Holds[0]), o => Assert.Equal(100, o.Step));

        var good = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        Assert.Empty(ReleaseObstacles.Of(good, good.Revision.Holds[0]));
        Assert.Equal("H2 has no characteristic for class B.", Assert.Single(ReleaseObstacles.Of(good, good.Revision.Holds[1]), o => o.At == ObstacleAt.HoldPoint && o.Thing == "H2").Rule.Sentence);

        var held = good with { RouteCard = [new RouteEntry(5, null, RouteAct.PutOnHold, "til", new Instant(6), "customer asks")] };
        Assert.Equal((RouteRules.MachineOnHold, ObstacleAt.RouteCard), Assert.Single(ReleaseObstacles.Of(held, held.Revision.Holds[0]).Select(o => (o.Rule.Id, o.At))));
    }
}
