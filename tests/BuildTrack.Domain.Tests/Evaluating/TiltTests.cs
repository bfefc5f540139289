using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>Weights of a proof balance heights along z: on a steep set they prove nothing about distances square to the plane.</summary>
public sealed class TiltTests
{
    [Theory]
    [InlineData(0.04, NextKind.MeasureContactsAgain)]
    [InlineData(200, NextKind.MendConditions)]
    public void Places_are_measured_again_only_on_a_bed_that_is_level_enough(double slopeMmPerM, NextKind expected)
    {
        // 34 µm along z; at 200 mm/m that is 34/√(1 + 0.2²) = 33.3 µm square to the plane, beyond 30 µm as well.
        var heights = Make.Corners.Zip(Make.Saddle(34), (s, z) => (s.Id, z + (slopeMmPerM * s.XMm)));
        var run = Make.Run(1, 1, Make.Instrument("small difference", 6), heights);
        var result = Evaluators.Evaluate(Make.Flatness(30, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, Make.Corners, 1, null, false, run)).Result;
        Assert.Equal(34 / Math.Sqrt(1 + (slopeMmPerM * slopeMmPerM / 1e6)), result.Value!.Value, 0.01);
        Assert.Equal(Verdict.NotProven, result.Verdict);
        Assert.Equal(expected, result.Next.Kind);
    }
}
