using BuildTrack.Domain.Tests.Route.Walking;

namespace BuildTrack.Domain.Tests.Route;

/// <summary>Seeded random walks over acts and roles, compared with a statement of the rules that shares nothing with them. Fifty more go through the server.</summary>
public sealed class RouteWalkTests
{
    [Fact]
    public async Task No_walk_passes_a_hold_point_or_a_step_in_any_other_way()
    {
        var tally = new WalkTally();
        for (var walk = 0; walk < 2000; walk++)
        {
            var machine = new MachineInMemory();
            var statement = await new RouteWalk((ulong)walk + 20261125, 80, tally).Go((act, forbids) => Task.FromResult(machine.Try(act, forbids)));
            foreach (var (step, _, hold) in RouteStatement.Steps)
            {
                Assert.Equal((walk, step, statement.StepWord(step)), (walk, step, machine.StepWord(step)));
                if (hold is not null)
                {
                    Assert.Equal((walk, hold, statement.HoldWord(step), statement.ReleasedBy(step)), (walk, hold, machine.Hold(step).Word, machine.Hold(step).ReleasedBy));
                }
            }
        }

        Assert.True(
            Enum.GetNames<WalkKind>().All(k => tally.Of(k) > 500) && tally.Of("Release") > 2000
            && new[] { "R-RELEASE-02", "R-RELEASE-03", "R-RELEASE-04", "R-RELEASE-05", "R-RELEASE-07", "R-NCR-09", RouteStatement.WrongRole }.All(r => tally.Of(r) > 50),
            $"the walks did not go far: {tally}");
    }
}
