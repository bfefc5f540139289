using BuildTrack.Domain.Tests.Route.Walking;

namespace BuildTrack.Domain.Tests.Route;

/// <summary>Ten thousand seeded random walks over acts and roles, compared with a statement of the rules that shares nothing with them. Two hundred more go through the server.</summary>
public sealed class RouteWalkTests
{
    private const int Walks = 10_000;

    [Fact]
    public void No_walk_passes_a_hold_point_or_a_step_or_reaches_a_certificate_in_any_other_way()
    {
        var (all, certificates) = (new WalkTally(), 0);
        Parallel.For(0, Walks, () => (Tally: new WalkTally(), Certificates: 0), (walk, _, mine) => (mine.Tally, mine.Certificates + Walk(walk, mine.Tally)), mine =>
        {
            lock (all)
            {
                all.Add(mine.Tally);
                certificates += mine.Certificates;
            }
        });

        Assert.True(
            Enum.GetNames<WalkKind>().All(k => all.Of(k) > (k == nameof(WalkKind.Issue) ? 10 : 2500)) && all.Of("Release") > 10_000 && certificates > 500
            && new[] { "R-RELEASE-02", "R-RELEASE-03", "R-RELEASE-04", "R-RELEASE-05", "R-RELEASE-07", "R-NCR-09", "R-PUNCH-02", "R-PUNCH-04", "R-CERTIFICATE-01", RouteStatement.WrongRole }.All(r => all.Of(r) > 150),
            $"the walks did not go far: {certificates} certificates, {all}");
    }

    /// <summary>Walks, compares what stands at the end, and tells how many certificates were issued.</summary>
    private static int Walk(int walk, WalkTally tally)
    {
        var machine = new MachineInMemory();
        var statement = new RouteWalk((ulong)walk + 20261125, 80, tally).Go((act, forbids) => Task.FromResult(machine.Try(act, forbids))).GetAwaiter().GetResult();
        foreach (var (step, _, hold) in RouteStatement.Steps)
        {
            Assert.Equal((walk, step, statement.StepWord(step)), (walk, step, machine.StepWord(step)));
            if (hold is not null)
            {
                Assert.Equal((walk, hold, statement.HoldWord(step), statement.ReleasedBy(step)), (walk, hold, machine.Hold(step).Word, machine.Hold(step).ReleasedBy));
            }
        }

        Assert.Equal((walk, statement.Certificates), (walk, machine.Certificates));
        return machine.Certificates;
    }
}
