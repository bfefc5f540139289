using System.Numerics;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>Against Fortescue's transform of the phasors of a triangle, and worked by hand.</summary>
public sealed class VoltageUnbalanceTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("commissioning-worked");

    [Fact]
    public void Worked_by_hand()
    {
        foreach (var row in File.At("unbalance").EnumerateArray())
        {
            double N(string name) => row.GetProperty(name).GetDouble();
            File.Reaches(N("percent"), VoltageUnbalance.Percent(N("v12"), N("v23"), N("v31"))!.Value, "unbalance", $"{row}");
        }
    }

    [Fact]
    public void Both_sequences_of_the_phasors_give_the_same()
    {
        var random = new SeededSource(611);
        for (var i = 0; i < 2000; i++)
        {
            var (a, b, c) = (380 + (40 * random.NextUniform()), 380 + (40 * random.NextUniform()), 380 + (40 * random.NextUniform()));
            Agreement.Near(ByPhasors(a, b, c), VoltageUnbalance.Percent(a, b, c)!.Value, 1e-9, $"{a} {b} {c}");
            Assert.Equal(VoltageUnbalance.Percent(a, b, c)!.Value, VoltageUnbalance.Percent(c, a, b)!.Value, 10);
            Agreement.Near(VoltageUnbalance.Percent(a, b, c)!.Value, VoltageUnbalance.Percent(a / 400, b / 400, c / 400)!.Value, 1e-9, "a quotient has no unit");
        }
    }

    [Fact]
    public void A_small_step_of_a_reading_moves_the_share_as_its_uncertainty_says()
    {
        const double step = 1e-4;
        foreach (var (a, b, c) in new[] { (400.0, 396.0, 406.0), (400.0, 402.0, 399.0), (395.0, 405.0, 400.0) })
        {
            double At(double da, double db, double dc) => VoltageUnbalance.Percent(a + da, b + db, c + dc)!.Value;
            double[] slopes = [(At(step, 0, 0) - At(-step, 0, 0)) / (2 * step), (At(0, step, 0) - At(0, -step, 0)) / (2 * step), (At(0, 0, step) - At(0, 0, -step)) / (2 * step)];
            Assert.InRange(VoltageUnbalance.StandardUncertaintyPercent(a, b, c, 1) / Math.Sqrt(slopes.Sum(s => s * s)), 0.97, 1.03);
        }
    }

    [Fact]
    public void Voltages_that_close_no_triangle_have_no_share_and_wrong_numbers_are_refused()
    {
        Assert.Null(VoltageUnbalance.Percent(400, 200, 200));
        Assert.Null(VoltageUnbalance.Percent(400, 400, 900));
        Assert.Equal(0, VoltageUnbalance.Percent(400, 400, 400));
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, 0, -400, 1001 })
        {
            Assert.ThrowsAny<ArgumentException>(() => VoltageUnbalance.Percent(400, bad, 400));
        }

        Assert.ThrowsAny<ArgumentException>(() => VoltageUnbalance.StandardUncertaintyPercent(400, 400, 400, -1));
    }

    // The triangle laid out in the plane; positive and negative sequence are thirds of sums turned by 120°, the larger is the positive one.
    private static double ByPhasors(double v12, double v23, double v31)
    {
        var x = ((v12 * v12) + (v31 * v31) - (v23 * v23)) / (2 * v12);
        Complex first = 0, second = v12, third = new(x, Math.Sqrt((v31 * v31) - (x * x)));
        var turn = Complex.FromPolarCoordinates(1, 2 * Math.PI / 3);
        var (a, b, c) = (second - first, third - second, first - third);
        double[] sequences = [((a + (turn * b) + (turn * turn * c)) / 3).Magnitude, ((a + (turn * turn * b) + (turn * c)) / 3).Magnitude];
        return 100 * sequences.Min() / sequences.Max();
    }
}
