using System.Collections.Immutable;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Planning;

/// <summary>Plans of positioning and of level networks: against the public calculations and tabled laws of the normal distribution.</summary>
public sealed class PlannedAxesAndNetsTests
{
    private static readonly PositioningFigure[] Figures = Enum.GetValues<PositioningFigure>();

    private static readonly (double X, double Y)[] Corners = [(0, 0), (500, 0), (1000, 0), (0, 1500), (500, 1500), (1000, 1500)];

    [Theory]
    [InlineData(2, 1)]
    [InlineData(5, 5)]
    [InlineData(11, 2)]
    public void A_figure_of_positioning_is_that_of_the_public_calculation(int targets, int runs)
    {
        var source = new SeededSource(21);
        foreach (var figure in Figures.Where(f => runs > 1 || f is not (PositioningFigure.AccuracyA or PositioningFigure.RepeatabilityR)))
        {
            var zone = PlannedZone.Positioning(targets, runs, figure);
            Assert.Equal(2 * targets * runs, zone.Readings);
            var result = zone.Worker();
            for (var trial = 0; trial < 50; trial++)
            {
                double[] readings = [.. Enumerable.Range(0, zone.Readings).Select(_ => 10 * source.NextNormal())];
                Agreement.Near(Published(readings, targets, runs, figure), result(readings), 1e-9, $"seed 21, {figure}");
                Assert.Equal(result(readings), result([.. readings.Select(r => -r)]), 9);
            }

            Assert.All(zone.Shapes, s => Agreement.Near(1, result([.. s.Readings]), 1e-9, s.Name));
        }
    }

    /// <summary>The worked set of the published axis: what the standard's calculation finds is what a plan calculates with.</summary>
    [Fact]
    public void The_slit_axis_gives_its_published_figures()
    {
        var file = ReferenceFile.Load("acc-iso230-2-slit-axis");
        double[] targets = [.. file.At("targets").EnumerateArray().Select(t => t.GetDouble())];
        double[][] Deviations(string direction) =>
            [.. file.At(direction).EnumerateArray().Select((t, i) => (double[])[.. t.EnumerateArray().Select(p => 1000 * (p.GetDouble() - targets[i]))])];
        var (forward, backward) = (Deviations("forward_positions"), Deviations("backward_positions"));
        double[] readings = [.. targets.SelectMany((_, i) => forward[i].Concat(backward[i]))];
        foreach (var (figure, name) in new[]
        {
            (PositioningFigure.AccuracyA, "A"), (PositioningFigure.SystematicE, "E"), (PositioningFigure.RepeatabilityR, "R"),
            (PositioningFigure.ReversalB, "B"), (PositioningFigure.MeanRangeM, "M"),
        })
        {
            var found = PlannedZone.Positioning(5, 5, figure).Worker()(readings);
            file.Reaches(file.Number("recomputed_um", name == "B" ? "B_axis" : name), found, "recomputed", name);
        }
    }

    [Fact]
    public void Noise_alone_gives_the_tabled_range_of_normals_and_the_largest_of_them()
    {
        // E of an axis without error: the range of 2 m means, each with σ/√n. M: of m, each with σ/√(2 n). Quantiles of the range: Harter 1960, recomputed.
        var table = ReferenceFile.Load("acc-normal-range").At("recomputed", "table").EnumerateArray().ToDictionary(r => r.GetProperty("n").GetInt32());
        double Range95(int n) => table[n].GetProperty("quantiles").GetProperty("0.95").GetDouble();
        const double sigma = 2, limit = 60;
        const int trials = 8000;
        var plan = new PlannedMeasurement(sigma, 1, 1, DecisionRule.Guarded, 4, 2, 3.2898);
        foreach (var (figure, expected) in new[]
        {
            (PositioningFigure.SystematicE, Range95(10) * sigma / Math.Sqrt(5)), (PositioningFigure.MeanRangeM, Range95(5) * sigma / Math.Sqrt(10)),
        })
        {
            var proof = ProofPlan.Of(PlannedZone.Positioning(5, 5, figure), plan, limit, trials: trials);
            Assert.Equal(4, proof.AcceptBand);

            // Standard error of the 95 % point: √(0.95 · 0.05/8000)/0.12 σ = 0.02 σ of a mean.
            Agreement.Near(limit - 4 - 1 - expected, proof.AnyShape!.Value, 0.06 * sigma, $"{figure}");
        }

        // B of an axis with the same reversal everywhere: the largest of m normals, each with σ √(2/n). Factors: tables of the normal distribution.
        foreach (var row in ReferenceFile.Load("planning").At("factors").EnumerateArray().Where(r => r.GetProperty("count").GetInt32() > 1))
        {
            var zone = PlannedZone.Positioning(row.GetProperty("count").GetInt32(), 2, PositioningFigure.ReversalB);
            var proof = ProofPlan.Of(zone, plan with { Common = 0 }, limit, trials: trials);
            var reversal = proof.Shapes.Single(s => s.Name == "reversal at every target").Widest!.Value;
            Agreement.Near(limit - 4 - (row.GetProperty("factor").GetDouble() * sigma), reversal, 0.08 * sigma, "reversal");
        }
    }

    [Fact]
    public void The_spread_is_the_largest_slope_that_noise_finds()
    {
        // Steepest ascent from seeded readings: no step of length one raises a figure by more than the spread, and some come near it.
        var source = new SeededSource(22);
        foreach (var figure in Figures)
        {
            foreach (var (targets, runs) in new[] { (2, 2), (3, 5), (4, 9) })
            {
                var zone = PlannedZone.Positioning(targets, runs, figure);
                var result = zone.Worker();
                var steepest = 0.0;
                for (var trial = 0; trial < 400; trial++)
                {
                    // Some axes repeat well and some hardly: the band then ends at two places, or at one.
                    var spread = trial % 3 == 0 ? 0.05 : 3;
                    double[] at =
                    [
                        .. Enumerable.Range(0, zone.Readings).Select(
                            i => (10 * (i / runs % 2 == 0 ? 1 : -1) * (trial % 2)) + (spread * source.NextNormal()) + (i / (2 * runs))),
                    ];
                    var slope = Enumerable.Range(0, at.Length).Sum(i => Square(Slope(result, at, i)));
                    steepest = Math.Max(steepest, Math.Sqrt(slope));
                }

                Assert.True(steepest <= zone.Spread * (1 + 1e-5), $"seed 22, {figure}, {runs} runs: {steepest} beyond {zone.Spread}");
                Assert.True(steepest >= 0.97 * zone.Spread, $"seed 22, {figure}, {runs} runs: {steepest} far below {zone.Spread}");
            }
        }
    }

    [Fact]
    public void Every_figure_is_convex_in_its_readings()
    {
        var source = new SeededSource(23);
        var zones = Figures.Select(f => PlannedZone.Positioning(4, 3, f)).Append(Net(PlaneReference.LeastSquares)).Append(Net(PlaneReference.MinimumZone));
        foreach (var zone in zones)
        {
            var result = zone.Worker();
            for (var trial = 0; trial < 100; trial++)
            {
                double[] one = [.. Enumerable.Range(0, zone.Readings).Select(_ => source.NextNormal())], other = [.. one.Select(_ => source.NextNormal())];
                var share = source.NextUniform();
                var between = result([.. one.Zip(other, (a, b) => (share * a) + ((1 - share) * b))]);
                var chord = (share * result(one)) + ((1 - share) * result(other));
                Assert.True(between <= chord + 1e-9, $"seed 23: {between} above {chord}");
            }
        }
    }

    [Fact]
    public void A_net_is_adjusted_and_levelled_as_the_public_calculations_do()
    {
        double[] x = [.. Corners.Select(c => c.X)], y = [.. Corners.Select(c => c.Y)];
        var source = new SeededSource(24);
        foreach (var reference in new[] { PlaneReference.LeastSquares, PlaneReference.MinimumZone })
        {
            var zone = Net(reference);
            var result = zone.Worker();
            for (var trial = 0; trial < 50; trial++)
            {
                double[] slopes = [.. Joins.Select(_ => 5 * source.NextNormal())];
                var flatness = FlatnessCalculation.Of(x, y, Heights(slopes));
                var expected = reference == PlaneReference.LeastSquares ? flatness.LeastSquares!.FlatnessUm : flatness.MinimumZone!.FlatnessUm;

                // Square to the plane and along z differ by a part in 10¹⁰ here.
                Agreement.Near(expected, result(slopes), 1e-7, $"seed 24, {reference}");
            }

            // A form is true heights: its rises close every loop, so that the adjustment leaves none of them over.
            Assert.Contains(zone.Shapes, s => s.Name == "twist");
            Assert.DoesNotContain(zone.Shapes, s => s.Name == "ramp");
            Assert.All(zone.Shapes, s => Agreement.Near(1, result([.. s.Readings]), 1e-7, s.Name));
            Assert.All(zone.Shapes, s => Agreement.Near(0, Loop([.. s.Readings]), 1e-9, s.Name));

            // The reach of the sums is that of the verdicts: the same rows by the public calculations, one reading at a time.
            double[][] columns =
            [
                .. Joins.Select((_, k) => FlatnessCalculation.Of(
                    x, y, Heights([.. Joins.Select((_, i) => i == k ? 1.0 : 0.0)])).LeastSquares!.DeviationsUm.ToArray()),
            ];
            ImmutableArray<ImmutableArray<double>> rows = [.. Corners.Select((_, i) => ImmutableArray.Create([.. columns.Select(c => c[i])]))];
            var reach = SumsReach.Of([new SumLine(Joins.Length, [new SumGroup(rows, Range: true)])], 1, 0, trials: 100);
            Agreement.Near(reach.PairSigmaUm, zone.Spread, 1e-9, "spread");
        }
    }

    [Fact]
    public void A_reach_that_is_U_itself_is_all_the_band_and_the_parts_still_add_up()
    {
        var zone = PlannedZone.Positioning(4, 5, PositioningFigure.AccuracyA);
        var plan = new PlannedMeasurement(1, 2, 1, DecisionRule.Simple, 6, 2, 4.9347);
        var proof = ProofPlan.Of(zone, plan, 60);
        Assert.Equal(4.9347, proof.AcceptBand);
        Assert.Equal(4.9347, proof.RulePart);
        Assert.Equal(2, proof.CommonPart);
        Agreement.Near(60 - proof.Widest!.Value, proof.RandomPart + proof.CommonPart + proof.RulePart, 1e-9, "parts");
        Assert.Equal(6, ProofPlan.Of(zone, plan with { Rule = DecisionRule.Guarded }, 60).AcceptBand);
        Assert.Contains("not below the limit", ProofPlan.Of(zone, plan with { Rule = DecisionRule.OneSided95 }, 4.9).CannotBecause, StringComparison.Ordinal);
    }

    [Fact]
    public void Bad_input_is_refused_by_name()
    {
        Refused("targets", () => PlannedZone.Positioning(1, 5, PositioningFigure.SystematicE));
        Refused("runs", () => PlannedZone.Positioning(5, 1, PositioningFigure.AccuracyA));
        Refused("runs", () => PlannedZone.Positioning(5, 0, PositioningFigure.ReversalB));
        Refused("Not a figure", () => PlannedZone.Positioning(5, 5, (PositioningFigure)9));
        Refused("FixedReach is NaN", () => ProofPlan.Of(
            PlannedZone.Positioning(5, 5, PositioningFigure.SystematicE), new PlannedMeasurement(1, 0, 1, DecisionRule.Guarded, 2, 2, double.NaN), 50));
        Refused("rises", () => Net(PlaneReference.LeastSquares, rise: new PlannedRise(0, 0, 1)));
        Refused("rises", () => Net(PlaneReference.LeastSquares, rise: new PlannedRise(0, 6, 1)));
        Refused("rises is NaN", () => Net(PlaneReference.LeastSquares, rise: new PlannedRise(0, 1, double.NaN)));
        Refused("heights", () => PlannedZone.Network([0, 1, 0, 1], [0, 0, 1, 1], PlaneReference.LeastSquares, [[1.0]], [new PlannedRise(0, 1, 1)]));
    }

    private static double Published(double[] readings, int targets, int runs, PositioningFigure figure)
    {
        var figures = PositioningCalculation.Of(
            [
                .. readings.Select((r, i) => new PositioningReading(
                    100 * (i / (2 * runs)), (i % runs) + 1, i / runs % 2 == 0 ? Approach.Forward : Approach.Backward, r)),
            ]).Figures!;
        Assert.Equal(targets, readings.Length / (2 * runs));
        return figure switch
        {
            PositioningFigure.AccuracyA => figures.AccuracyUm!.Value,
            PositioningFigure.SystematicE => figures.SystematicUm!.Value,
            PositioningFigure.RepeatabilityR => figures.RepeatabilityUm!.Value,
            PositioningFigure.ReversalB => figures.ReversalUm!.Value,
            _ => figures.MeanRangeUm!.Value,
        };
    }

    private static double Slope(Func<double[], double> result, double[] at, int index)
    {
        const double step = 1e-6;
        double[] up = [.. at], down = [.. at];
        up[index] += step;
        down[index] -= step;
        return (result(up) - result(down)) / (2 * step);
    }

    private static double Square(double value) => value * value;

    private static readonly ImmutableArray<(int From, int To)> Joins = [(0, 1), (1, 2), (3, 4), (4, 5), (0, 3), (1, 4), (2, 5)];

    private static double Metres(int join)
    {
        var ((x, y), (ox, oy)) = (Corners[Joins[join].From], Corners[Joins[join].To]);
        return (Math.Abs(ox - x) + Math.Abs(oy - y)) / 1000;
    }

    // Around the first cell, as rises.
    private static double Loop(double[] slopes) => (slopes[0] * Metres(0)) + (slopes[5] * Metres(5)) - (slopes[2] * Metres(2)) - (slopes[4] * Metres(4));

    private static double[] Heights(double[] slopes)
    {
        var adjusted = LevelNetworkCalculation.Adjust(
            [.. Joins.Select((j, i) => new LevelObservation($"{j.From}", $"{j.To}", slopes[i] * Metres(i), 1 / Square(Metres(i))))],
            new Dictionary<string, double>(), sigmasKnown: false).Values!;
        return [.. Corners.Select((_, i) => adjusted.Heights.Single(h => h.Id == $"{i}").HeightUm)];
    }

    private static PlannedZone Net(PlaneReference reference, PlannedRise? rise = null)
    {
        double[][] columns = [.. Joins.Select((_, k) => Heights([.. Joins.Select((_, i) => i == k ? 1.0 : 0.0)]))];
        ImmutableArray<PlannedRise> rises = [.. Joins.Select((j, i) => new PlannedRise(j.From, j.To, Metres(i)))];
        return PlannedZone.Network(
            [.. Corners.Select(c => c.X)], [.. Corners.Select(c => c.Y)], reference,
            [.. Corners.Select((_, i) => ImmutableArray.Create([.. columns.Select(c => c[i])]))],
            rise is { } bad ? rises.SetItem(0, bad) : rises);
    }
}
