using BuildTrack.Domain.Tests.Route.Walking;

namespace BuildTrack.Web.Tests.Walks;

/// <summary>Seeded random walks over acts and roles through the running server, held against the same statement of the rules as the walks in memory.</summary>
public sealed class RouteWalksThroughServerTests(WalkPlant plant) : IClassFixture<WalkPlant>
{
    private const int Walks = 200;

    // Thirty acts seldom come as far as a certificate.
    private const int LongWalks = 20;

    // A walk in memory told that some of the long ones come as far.
    private const ulong FirstSeed = 20261338;

    // What must have forbidden something: the walks then tried what should be refused.
    private static readonly string[] Rules =
    [
        RouteStatement.WrongRole, "R-STEP-01", "R-STEP-02", "R-STEP-03", "R-STEP-04", "R-STEP-05", "R-HOLD-01", "R-HOLD-02", "R-RUN-01", "R-RUN-02", "R-READ-01", "R-READ-02", "R-DISCARD-01", "R-DISCARD-02",
        "R-BED-01", "R-RELEASE-02", "R-RELEASE-03", "R-RELEASE-04", "R-RELEASE-05", "R-RELEASE-07", "R-RETURN-01", "R-NCR-09", "R-PUNCH-02", "R-CERTIFICATE-01",
    ];

    [Fact]
    public async Task No_walk_passes_a_hold_point_or_a_step_or_reaches_a_certificate_in_any_other_way()
    {
        var (tally, issued) = (new WalkTally(), 0);
        for (var walk = 0; walk < Walks; walk++)
        {
            var machine = new MachineOnServer(plant, $"WALK-{walk:00}");
            await machine.Order();
            var statement = await new RouteWalk(FirstSeed + (ulong)walk, walk < LongWalks ? 80 : 30, tally).Go((act, _) => machine.Try(act));
            var (steps, holds, certificates) = await machine.Read();
            foreach (var (step, _, hold) in RouteStatement.Steps)
            {
                Assert.Equal((walk, step, statement.StepWord(step)), (walk, step, steps[step]));
                if (hold is not null)
                {
                    Assert.Equal((walk, hold, (statement.HoldWord(step), statement.ReleasedBy(step))), (walk, hold, holds[hold]));
                }
            }
            Assert.Equal((walk, statement.Certificates), (walk, certificates));
            issued += certificates;
        }

        TestContext.Current.TestOutputHelper?.WriteLine($"{tally}");
        Assert.True(
            Enum.GetNames<WalkKind>().Concat(Rules).All(n => tally.Of(n) > 0 || n == nameof(WalkKind.Issue)) && issued >= 4 && tally.Of("Release") >= 120 && tally.Of("Rework") >= 80 && tally.Of("Reopen") >= 80,
            $"the walks did not go far: {issued} certificates, {tally}");
    }
}
