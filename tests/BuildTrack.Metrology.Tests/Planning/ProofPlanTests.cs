using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Planning;

/// <summary>What a plan would prove: against the usefulness table of the verdicts, the acceptance lines of ISO 14253-1, closed forms and a slow twin.</summary>
public sealed class ProofPlanTests
{
    private const string EveryContact = "up and down from place to place";

    private static readonly ReferenceFile Reference = ReferenceFile.Load("planning");

    [Theory]
    [InlineData(60, PlaneReference.LeastSquares)]
    [InlineData(28, PlaneReference.LeastSquares)]
    [InlineData(28, PlaneReference.MinimumZone)]
    public void Beds_are_accepted_as_often_as_the_usefulness_table_says(int stations, PlaneReference reference)
    {
        var table = Reference.At("usefulness");
        var zone = TwoRails(stations, reference);
        var limit = table.GetProperty("limit").GetDouble();
        var plan = Reach(table.GetProperty("noise").GetDouble(), table.GetProperty("passes").GetInt32());

        // Three standard errors of 2000 trials at a chance of a half, and less towards 0 and 1.
        foreach (var row in table.GetProperty("rows").EnumerateArray())
        {
            var chances = ProofPlan.Chances(zone, plan, limit, row.GetProperty("share").GetDouble() * limit);
            foreach (var (shape, chance) in zone.Shapes.Zip(chances))
            {
                var range = row.GetProperty(shape.Name == EveryContact ? "everyContact" : "smooth");
                double low = range[0].GetDouble(), high = range[1].GetDouble();
                Assert.True(chance >= low - Errors(low) && chance <= high + Errors(high),
                    $"{stations} stations, {reference}, {shape.Name} at {row.GetProperty("share")} of the limit: accepted {chance}, {low}…{high} expected");
            }
        }
    }

    [Fact]
    public void Acceptance_lines_are_those_of_the_rules()
    {
        foreach (var row in Reference.At("acceptanceLines").EnumerateArray())
        {
            double limit = row.GetProperty("limit").GetDouble(), u = row.GetProperty("u").GetDouble();
            var limits = new Conformity.Limits(limit, null);
            var guarded = ProofPlan.OfSingle(limits, 1, new PlannedMeasurement(u, 0, 1, DecisionRule.Guarded, 2 * u, 2));
            var oneSided = ProofPlan.OfSingle(limits, 1, new PlannedMeasurement(u, 0, 1, DecisionRule.OneSided95, 2 * u, 2));
            Assert.Equal(row.GetProperty("guarded").GetDouble(), Math.Round(guarded.AcceptUpTo!.Value, 1));
            Assert.Equal(row.GetProperty("oneSided").GetDouble(), Math.Round(oneSided.AcceptUpTo!.Value, 1));
        }
    }

    [Fact]
    public void Single_values_take_the_factor_of_the_largest_of_so_many()
    {
        foreach (var row in Reference.At("factors").EnumerateArray())
        {
            var count = row.GetProperty("count").GetInt32();
            var proof = ProofPlan.OfSingle(new(100, null), count, new PlannedMeasurement(3, 0.5, 1, DecisionRule.Guarded, 6, 2));
            Reference.Reaches(row.GetProperty("factor").GetDouble(), (100 - 6 - 0.5 - proof.Widest!.Value) / 3, "factor", $"{count} values");
            Agreement.Near(100 - proof.Widest.Value, proof.RandomPart + proof.CommonPart + proof.RulePart, 1e-9, "parts");
        }
    }

    [Fact]
    public void A_lower_limit_mirrors_an_upper_one_and_two_limits_share_the_risk()
    {
        var plan = new PlannedMeasurement(3, 1, 2, DecisionRule.Guarded, 6, 2);
        var upper = ProofPlan.OfSingle(new(100, null), 4, plan);
        var lower = ProofPlan.OfSingle(new(null, 100), 4, plan);
        Agreement.Near(100 - upper.Widest!.Value, lower.Least!.Value - 100, 1e-9, "mirror");
        Agreement.Near(100 / lower.Least.Value, lower.Share!.Value, 1e-12, "share");
        var both = ProofPlan.OfSingle(new(10, -10), 1, new PlannedMeasurement(1, 0, 1, DecisionRule.Guarded, 2, 2));
        Agreement.Near(10 - 2 - 1.95996, both.Widest!.Value, 1e-5, "two limits");
        Agreement.Near((10 - 2 - 1.95996) / 10, both.Share!.Value, 1e-6, "share of two limits");
        Assert.Null(ProofPlan.OfSingle(new(0, null), 1, plan).Share);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(4)]
    public void The_simulation_of_one_value_comes_to_the_closed_form(double common)
    {
        var one = PlannedZone.Sums([new SumLine(1, [new SumGroup([[1.0]], Range: false)])]);
        var plan = new PlannedMeasurement(3, common, 2, DecisionRule.OneSided95, 0, 2);
        var simulated = ProofPlan.Of(one, plan, 60, trials: 20000);
        var closed = ProofPlan.OfSingle(new(60, null), 1, plan);
        Assert.Equal(closed.AcceptBand, simulated.AcceptBand);

        // The 5 % point of 20000 normals has a standard error of 0.015 σ.
        Agreement.Near(closed.Widest!.Value, simulated.Widest!.Value, 0.06 * 3 / Math.Sqrt(2), "widest");
    }

    [Fact]
    public void A_slow_twin_accepts_a_bed_of_the_widest_value_as_often_as_was_asked()
    {
        const double limit = 50, common = 2;
        var (x, y) = Places(24);
        foreach (var reference in new[] { PlaneReference.LeastSquares, PlaneReference.MinimumZone })
        {
            var zone = PlannedZone.Plane(x, y, reference);
            var plan = new PlannedMeasurement(3, common, 2, DecisionRule.Guarded, 6, 2);
            var proof = ProofPlan.Of(zone, plan, limit);
            Agreement.Near(Math.Max(PlaneReach.Of(x, y, 3 / Math.Sqrt(2), common, reference, trials: 100).AboveUm, 6), proof.AcceptBand, 1e-12, "band");
            foreach (var (shape, found) in zone.Shapes.Zip(proof.Shapes))
            {
                // Another generator, both passes drawn and averaged, the zone from the public calculation; the common part adds all it may.
                var random = new Random(471);
                int accepted = 0, trials = 600;
                for (var trial = 0; trial < trials; trial++)
                {
                    double[] heights = [.. shape.Readings.Select(s => (found.Widest!.Value * s) + (((3 * Normal(random)) + (3 * Normal(random))) / 2))];
                    var flatness = FlatnessCalculation.Of(x, y, heights);
                    var value = reference == PlaneReference.LeastSquares ? flatness.LeastSquares!.FlatnessUm : flatness.MinimumZone!.VerticalUm;
                    accepted += value + common + proof.AcceptBand <= limit ? 1 : 0;
                }

                // Standard errors: 0.0089 of this count, 0.0049 of the trials behind the value.
                Assert.InRange(accepted / (double)trials, 0.95 - 0.035, 0.95 + 0.035);
            }
        }
    }

    [Fact]
    public void A_minimum_zone_along_lines_agrees_with_the_public_calculation()
    {
        double[] x = [0, 250, 500, 800, 1000, 1250];
        ImmutableArray<double> positions = [.. x];
        var zone = PlannedZone.LineZones([new PlannedStretches(positions, LineRows.Themselves(6), [(0, 2), (1, 5)])]);
        var random = new Random(9);
        var result = zone.Worker();
        for (var trial = 0; trial < 200; trial++)
        {
            double[] heights = [.. x.Select(_ => Normal(random))];
            var expected = Math.Max(
                StraightnessCalculation.Of(x.AsSpan()[..3], heights.AsSpan()[..3]).Values!.MinimumZoneUm,
                StraightnessCalculation.Of(x.AsSpan()[1..6], heights.AsSpan()[1..6]).Values!.MinimumZoneUm);
            Agreement.Near(expected, result(heights), 1e-9, "zone");
        }

        Assert.All(zone.Shapes, s => Agreement.Near(1, result([.. s.Readings]), 1e-9, s.Name));
    }

    [Fact]
    public void More_passes_less_noise_and_a_wider_limit_never_prove_less()
    {
        var source = new BuildTrack.Metrology.Chance.SeededSource(5);
        for (var trial = 0; trial < 12; trial++)
        {
            double sigma = 1 + (4 * source.NextUniform()), common = 3 * source.NextUniform(), limit = 60 + (40 * source.NextUniform());
            var zone = trial % 2 == 0 ? TwoRails(16, PlaneReference.LeastSquares) : Level(9);
            var plan = new PlannedMeasurement(sigma, common, 1, DecisionRule.Guarded, 2 * sigma, 2);
            var one = ProofPlan.Of(zone, plan, limit, trials: 400);
            foreach (var better in new[]
            {
                ProofPlan.Of(zone, plan with { Passes = 3 }, limit, trials: 400), ProofPlan.Of(zone, plan with { Sigma = sigma / 2 }, limit, trials: 400),
                ProofPlan.Of(zone, plan with { Common = common / 2 }, limit, trials: 400), ProofPlan.Of(zone, plan, limit * 1.2, trials: 400),
            })
                Assert.True(better.Widest >= one.Widest, $"seed 5, trial {trial}: {better.Widest} after {one.Widest}");

            Assert.True(one.AnyShape is null || one.AnyShape <= one.Widest);
            Assert.True(one.Widest < one.AcceptUpTo);
            Agreement.Near(limit - one.Widest!.Value, one.RandomPart + one.CommonPart + one.RulePart, 1e-9, "parts");
            Assert.Equal(one, ProofPlan.Of(zone, plan, limit, trials: 400) with { Shapes = one.Shapes });
        }
    }

    [Fact]
    public void Without_noise_the_widest_value_is_the_acceptance_line_less_the_common_part()
    {
        var proof = ProofPlan.Of(TwoRails(12, PlaneReference.LeastSquares), new PlannedMeasurement(0, 3, 1, DecisionRule.Guarded, 6, 2), 50, trials: 100);
        Agreement.Near(41, proof.Widest!.Value, 1e-6, "widest");
        Agreement.Near(41, proof.AnyShape!.Value, 1e-6, "any form");
    }

    [Fact]
    public void What_cannot_be_proved_says_why()
    {
        var zone = TwoRails(12, PlaneReference.LeastSquares);
        Assert.Contains("not below the limit", ProofPlan.Of(zone, new PlannedMeasurement(1, 0, 1, DecisionRule.Guarded, 20, 2), 20).CannotBecause, StringComparison.Ordinal);
        Assert.Contains("perfect", ProofPlan.Of(zone, new PlannedMeasurement(4, 0, 1, DecisionRule.OneSided95, 0, 2), 20).CannotBecause, StringComparison.Ordinal);
        Assert.Contains("quarter", ProofPlan.Of(zone, new PlannedMeasurement(1, 0, 1, DecisionRule.Simple, 6, 2), 20).CannotBecause, StringComparison.Ordinal);
        Assert.Contains("not below", ProofPlan.OfSingle(new(5, -5), 1, new PlannedMeasurement(1, 0, 1, DecisionRule.Guarded, 5, 2)).CannotBecause, StringComparison.Ordinal);
    }

    [Fact]
    public void Bad_input_is_refused_by_name()
    {
        var zone = TwoRails(12, PlaneReference.LeastSquares);
        var plan = new PlannedMeasurement(1, 0, 1, DecisionRule.Guarded, 2, 2);
        Refused("limit is NaN", () => ProofPlan.Of(zone, plan, double.NaN));
        Refused("limit is 0; it must be above zero", () => ProofPlan.Of(zone, plan, 0));
        Refused("Sigma is NaN", () => ProofPlan.Of(zone, plan with { Sigma = double.NaN }, 50));
        Refused("Common is -1", () => ProofPlan.Of(zone, plan with { Common = -1 }, 50));
        Refused("Passes", () => ProofPlan.Of(zone, plan with { Passes = 0 }, 50));
        Refused("trials is 99", () => ProofPlan.Of(zone, plan, 50, trials: 99));
        Refused("There is no limit", () => ProofPlan.OfSingle(new(null, null), 1, plan));
        Refused("3 stations cannot decide", () => PlannedZone.Plane([0, 1, 2], [0, 1, 0], PlaneReference.LeastSquares));
        Refused("no stretch", () => PlannedZone.LineZones([]));
        Refused("fewer than three", () => PlannedZone.LineZones([new PlannedStretches([0, 1, 2], LineRows.Themselves(3), [(0, 1)])]));
    }

    private static double Errors(double chance) => 0.005 + (3 * Math.Sqrt(chance * (1 - chance) / ProofPlan.DefaultTrials));

    private static PlannedMeasurement Reach(double sigma, int passes) => new(sigma, 0, passes, DecisionRule.OneSided95, 0, 2);

    private static (double[] X, double[] Y) Places(int stations) =>
        ([.. Enumerable.Range(0, stations).Select(i => 250.0 * (i % (stations / 2)))], [.. Enumerable.Range(0, stations).Select(i => i < stations / 2 ? 0.0 : 1600)]);

    private static PlannedZone TwoRails(int stations, PlaneReference reference)
    {
        var (x, y) = Places(stations);
        return PlannedZone.Plane(x, y, reference);
    }

    private static PlannedZone Level(int stations)
    {
        double[] x = [.. Enumerable.Range(0, stations).Select(i => 250.0 * i)];
        return PlannedZone.Sums([new SumLine(stations - 1, [new SumGroup(LineRows.FromEnds(x, LineRows.Steps(x)), Range: true)])]);
    }

    private static double Normal(Random random) => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
