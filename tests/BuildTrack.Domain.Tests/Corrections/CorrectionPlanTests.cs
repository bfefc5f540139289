using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Corrections;

public sealed class CorrectionPlanTests
{
    [Fact]
    public void Without_figures_in_the_plan_nothing_is_worked_out()
    {
        var machine = Ncr.Machine(60);
        var standing = machine.StandingOf(machine.Agreed("H1").Single());
        Assert.False(standing.Accepted);
        var rule = CorrectionPlan.WhyNot(machine, standing)!;
        Assert.Equal(CorrectionPlan.NoFigures, rule.Id);
        Assert.Contains("Edition A", rule.Sentence, StringComparison.Ordinal);
    }
}
