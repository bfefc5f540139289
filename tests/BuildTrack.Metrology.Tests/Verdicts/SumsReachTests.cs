using System.Collections.Immutable;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Tests.Verdicts;

/// <summary>Reaches of sums of readings: the claims of docs/method/verdict.md for stepped levels, cross-level and twist, and an independent twin.</summary>
public sealed class SumsReachTests
{
    private const int Trials = 2000;

    // 5 % and 2.5 %, each with 3 standard errors of 2000 trials.
    private const double FivePercent = 0.05 + 0.0147;
    private const double HalfOfIt = 0.025 + 0.0105;

    private static readonly double[] Stations = [.. Enumerable.Range(0, 17).Select(i => i * 250.0)];

    public static TheoryData<string, string> Cases()
    {
        var cases = new TheoryData<string, string>();
        foreach (var result in new[] { "end-point by level", "least squares by level", "range", "deviation from mean", "end twist", "worst metre by level", "change over a metre" })
        {
            foreach (var shape in new[] { "bow", "wave", "one step" })
                cases.Add(result, shape);
        }

        return cases;
    }

    /// <summary>|e|/s of one reading is Student's t without its sign (W. S. Gosset 1908): quantiles by the general library.</summary>
    [Theory]
    [InlineData(4)]
    [InlineData(10)]
    public void An_estimated_sigma_gives_the_law_of_Student(int degrees)
    {
        SumLine[] lines = [new SumLine(1, [new SumGroup([[1]], false)])];
        const int trials = 100_000;
        var reach = SumsReach.Of(lines, 2, 0.5, trials: trials, degreesOfFreedom: degrees);
        var (each, whole) = (MathNet.Numerics.Distributions.StudentT.InvCDF(0, 1, degrees, 0.95), MathNet.Numerics.Distributions.StudentT.InvCDF(0, 1, degrees, 0.9875));
        var density = 2 * MathNet.Numerics.Distributions.StudentT.PDF(0, 1, degrees, whole);

        Agreement.Near((2 * each) + 0.5, reach.AboveUm, 1e-5, "reach above");
        Agreement.Near(2 * whole, reach.NoiseQuantileUm, 2 * 3 * Math.Sqrt(0.975 * 0.025 / trials) / density, "97.5 % quantile");
        Agreement.Near(
            (MathNet.Numerics.Distributions.StudentT.InvCDF(0, 1, degrees, 0.975) * 2 * 5) + 0.5, SumsReach.RejectBand([3, -4], 2, 0.5, degrees), 1e-4, "measured again");
        Assert.ThrowsAny<ArgumentException>(() => SumsReach.Of(lines, 2, 0, degreesOfFreedom: 0.5));
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void A_line_exactly_at_the_limit_is_seldom_accepted_and_seldom_rejected(string result, string shape)
    {
        const double sigma = 3;
        const ulong seed = 7100;
        var line = LineOf(result);
        SumLine[] lines = [line];
        var truth = Shape(shape, line.Readings);
        var limit = SumsReach.Largest(lines, [truth]).Value;
        Assert.True(limit > 0, $"{shape} has no {result}");

        // The shape is scaled so that noise and limit are of the same order as on a bed.
        var scale = 8 * sigma * SumsReach.Of(lines, 1, 0, trials: 400).PairSigmaUm / limit;
        truth = [.. truth.Select(v => v * scale)];
        limit *= scale;
        var reach = SumsReach.Of(lines, sigma, 0, trials: 4000);
        var source = new SeededSource(seed);
        int accepted = 0, alone = 0, again = 0;
        for (var trial = 0; trial < Trials; trial++)
        {
            double[] first = [.. truth.Select(t => t + (sigma * source.NextNormal()))], second = [.. truth.Select(t => t + (sigma * source.NextNormal()))];
            var found = SumsReach.Largest(lines, [first]);
            accepted += found.Value + reach.AboveUm <= limit ? 1 : 0;
            alone += found.Value - reach.BelowUm > limit ? 1 : 0;
            again += SumsReach.Sum(found.Weights.AsSpan(), second) - SumsReach.RejectBand(found.Weights.AsSpan(), sigma, 0) > limit ? 1 : 0;
        }

        Assert.True(accepted <= FivePercent * Trials, $"{result}, {shape}, seed {seed}: accepted {accepted} of {Trials}");
        Assert.True(alone <= HalfOfIt * Trials, $"{result}, {shape}, seed {seed}: rejected alone {alone} of {Trials}");
        Assert.True(again <= HalfOfIt * Trials, $"{result}, {shape}, seed {seed}: rejected by the other run {again} of {Trials}");
    }

    [Fact]
    public void Independent_heights_have_the_reaches_that_the_line_has()
    {
        var rows = LineRows.FromLeastSquares(Stations, LineRows.Themselves(Stations.Length));
        var sums = SumsReach.Of([new SumLine(Stations.Length, [new SumGroup(rows, Range: true)])], 2.5, 1.5);
        var line = LineReach.Of(Stations, 2.5, 1.5, PlaneReference.LeastSquares);
        Agreement.Near(line.PairSigmaUm, sums.PairSigmaUm, 1e-12, "s");
        Agreement.Near(line.AboveUm, sums.AboveUm, 1e-12, "reach above");

        // Two Monte-Carlo quantiles of the same law, of 10⁴ trials each.
        Assert.InRange(sums.NoiseQuantileUm / line.NoiseQuantileUm, 0.97, 1.03);
    }

    [Fact]
    public void The_spread_of_a_stepped_level_is_that_of_the_handbook_at_mid_length()
    {
        // u_mid ≈ u_slope · base · √n / 2 (trade notes, both ends fitted): 26 steps of 250 mm at 2 µm/m give 2.55 µm.
        double[] stations = [.. Enumerable.Range(0, 27).Select(i => i * 250.0)];
        var middle = LineRows.FromEnds(stations, LineRows.Steps(stations))[13];
        Agreement.Near(2 * 0.25 * Math.Sqrt(26) / 2, 2 * Math.Sqrt(middle.Sum(w => w * w)), 1e-9, "u at mid length");
    }

    [Fact]
    public void Rows_give_what_the_calculation_gives_for_random_lines()
    {
        var source = new SeededSource(7101);
        for (var round = 0; round < 200; round++)
        {
            var count = 3 + source.NextInt(20);
            var x = new double[count];
            for (var i = 1; i < count; i++)
                x[i] = x[i - 1] + 50 + (400 * source.NextUniform());
            double[] slopes = [.. Enumerable.Range(0, count - 1).Select(_ => 20 * source.NextNormal())];
            var steps = LineRows.Steps(x);
            double[] heights = [.. steps.Select(r => SumsReach.Sum(r.AsSpan(), slopes))];
            var values = StraightnessCalculation.Of(x, heights).Values!;
            Agreement.Near(values.EndPointUm, Range(LineRows.FromEnds(x, steps), slopes), 1e-9, $"end-point, round {round}");
            Agreement.Near(values.LeastSquaresUm, Range(LineRows.FromLeastSquares(x, steps), slopes), 1e-9, $"least squares, round {round}");
        }
    }

    [Fact]
    public void Nothing_and_what_is_no_number_are_refused()
    {
        Assert.Throws<ArgumentException>(() => SumsReach.Of([], 1, 0));
        Assert.Throws<ArgumentException>(() => SumsReach.Of([new SumLine(1, [])], 1, 0));
        Assert.Throws<ArgumentException>(() => SumsReach.Of([new SumLine(1, [new SumGroup([[double.NaN]], true)])], 1, 0));
        Assert.Throws<ArgumentException>(() => SumsReach.Of([new SumLine(2, [new SumGroup([[1]], true)])], 1, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => SumsReach.Of([new SumLine(1, [new SumGroup([[1]], true)])], -1, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => SumsReach.Of([new SumLine(1, [new SumGroup([[1]], true)])], 1, 0, trials: 99));
        Assert.Throws<ArgumentException>(() => LineRows.Steps([0, 0]));
        Assert.Throws<ArgumentException>(() => LineRows.FromEnds([0, 1], LineRows.Themselves(2)));
    }

    private static double Range(ImmutableArray<ImmutableArray<double>> rows, double[] readings)
    {
        double[] sums = [.. rows.Select(r => SumsReach.Sum(r.AsSpan(), readings))];
        return sums.Max() - sums.Min();
    }

    private static SumLine LineOf(string result)
    {
        var (steps, values) = (LineRows.Steps(Stations), LineRows.Themselves(Stations.Length));
        return result switch
        {
            "end-point by level" => new SumLine(16, [new SumGroup(LineRows.FromEnds(Stations, steps), true)]),
            "least squares by level" => new SumLine(16, [new SumGroup(LineRows.FromLeastSquares(Stations, steps), true)]),
            "worst metre by level" => new SumLine(16, [.. LineRows.Windows(Stations, 1000).Select(w => new SumGroup(LineRows.FromEnds(Stations.AsSpan()[w.From..(w.To + 1)], steps[w.From..(w.To + 1)]), true))]),
            "range" => new SumLine(17, [new SumGroup(values, true)]),
            "deviation from mean" => new SumLine(17, [new SumGroup([.. values.Select(r => ImmutableArray.Create([.. r.Select(w => w - (1.0 / 17))]))], false)]),
            "end twist" => new SumLine(17, [new SumGroup([values[0], values[^1]], true)]),
            _ => new SumLine(17, [.. LineRows.Windows(Stations, 1000).Select(w => new SumGroup(values[w.From..(w.To + 1)], true))]),
        };
    }

    private static double[] Shape(string shape, int count) => [.. Enumerable.Range(0, count).Select(i => i / (count - 1.0)).Select(t => shape switch
    {
        "bow" => t,
        "wave" => ((t * 5) - Math.Floor(t * 5) < 0.5 ? 1 : -1) + (0.3 * t),
        _ => t < 0.6 ? 0.0 : 1.0,
    })];
}
