using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Domain.Tests.Support.Surveyed;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>Circular test, rack joints, differences at several places, targets of Y. Numbers worked by hand, and by the slow twin where named.</summary>
public sealed class MotionDecisionTests
{
    private static readonly MachineModel Model = new("M", "B", "Model", 4000, 1750, 500, null, 3000, TravelAcrossMm: 1500);
    private static readonly ImmutableArray<Station> Path = new LayoutPlan("c", 5, [], LayoutShape.Circle, RadiusMm: 300).StationsFor(Model);
    private static readonly RegisterEntry Device = Instrument("radius", "µm", "absolute", new Amount(1.5m, "µm"), new Amount(1.5m, "µm"), new Amount(0, "µm"));

    [Fact]
    public void Layouts_of_motion_have_the_places_they_promise()
    {
        Assert.Equal(72, Path.Length);
        Assert.Equal(new Station("A045", 212.132, 212.132, "45°", Degrees: 45), Path[9]);
        Assert.Equal(["Y-01", "Y-02", "Y-08"], new LayoutPlan("y", 200, [], LayoutShape.Targets, 2000, Axis: "Y").StationsFor(Model) is var y ? [y[0].Id, y[1].Id, y[^1].Id] : Array.Empty<string>());
        Assert.Equal(["R1-K1", "R1-K2", "R1-K3", "R2-K1", "R2-K2", "R2-K3"], new LayoutPlan("k", 1000, [], LayoutShape.RackJoints).StationsFor(Model).Select(s => s.Id));
    }

    // An ellipse r = s sin 2θ has its axes at 45°: G is 2 s, and 2 s/R the departure from square (ISO 230-4; 300 mm and s = 6 µm: 40 µm/m). Of U 1.5 µm the difference of two has 2.12, a √2 more.
    [Theory]
    [InlineData(6.0, Verdict.Accepted)]
    [InlineData(14.5, Verdict.NotProven)]
    [InlineData(17.0, Verdict.NotProven)]
    [InlineData(18.5, Verdict.Rejected)]
    public void An_ellipse_is_judged_by_its_width(double s, Verdict verdict)
    {
        var result = Circle(a => s * Math.Sin(2 * a), a => s * Math.Sin(2 * a));
        Assert.Equal(2 * s, result.Value!.Value, 3);
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(s / 0.15, Math.Abs(result.Figure("axes from square, plus where the angle is below 90°")), 3);
    }

    [Fact]
    public void An_instrument_off_the_centre_and_too_long_changes_nothing()
    {
        var plain = Circle(a => 5 * Math.Sin(2 * a), a => 5 * Math.Sin(2 * a));
        var moved = Circle(a => 8 + (20 * Math.Cos(a)) + (5 * Math.Sin(2 * a)), a => 8 + (20 * Math.Cos(a)) + (5 * Math.Sin(2 * a)));
        Assert.Equal(plain.Value!.Value, moved.Value!.Value, 0.01);
    }

    [Fact]
    public void Backlash_shows_between_both_ways_round_and_in_neither_alone()
    {
        var both = Circle(a => 4, a => -4);
        Assert.Equal(8, both.Value!.Value, 6);
        Assert.Equal(0, both.Figure("G clockwise"), 6);
        Assert.Equal(0, Circle(a => 4, a => -4, "circular-G").Value!.Value, 6);
    }

    // Slow twin: the pair of places that is farthest apart about the centre, over all pairs.
    [Fact]
    public void The_width_is_the_largest_difference_of_any_pair()
    {
        var random = new Random(20261129);
        double[] one = [.. Path.Select(_ => Math.Round(10 * random.NextDouble(), 3))], other = [.. Path.Select(_ => Math.Round(10 * random.NextDouble(), 3))];
        var result = Evaluators.Evaluate(Input("circular", AtMost(0.030m, "mm"), "circular-G", null, ("clockwise", Way("clockwise", one)), ("counter", Way("counter", other)))).Result;
        double Widest(double[] um)
        {
            var fitted = Metrology.Circular.CircleFit.LeastSquares([.. Path.Select((p, i) => (300 + (um[i] / 1000)) * Math.Cos(p.Degrees!.Value * Math.PI / 180))], [.. Path.Select((p, i) => (300 + (um[i] / 1000)) * Math.Sin(p.Degrees!.Value * Math.PI / 180))]);
            double[] far = [.. Path.Select((p, i) => Math.Sqrt(Square(((300 + (um[i] / 1000)) * Math.Cos(p.Degrees!.Value * Math.PI / 180)) - fitted.CentreXMm) + Square(((300 + (um[i] / 1000)) * Math.Sin(p.Degrees!.Value * Math.PI / 180)) - fitted.CentreYMm)))];
            return 1000 * far.Max(a => far.Max(b => a - b));
        }

        Assert.Equal(Math.Max(Widest(one), Widest(other)), result.Value!.Value, 1e-6);
    }

    // The bound that a rejection rests on: no noise makes a difference of two readings look larger than it is by more than the reach, in 39 of 40 runs.
    [Fact]
    public void Noise_alone_is_rejected_no_oftener_than_the_bound_says()
    {
        var random = new Random(7);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        const double s = 15;
        var rejected = 0;
        for (var i = 0; i < 400; i++)
        {
            double[] of(int _) => [.. Path.Select(p => (s * Math.Sin(2 * p.Degrees!.Value * Math.PI / 180)) + (0.75 * Normal()))];
            rejected += Evaluators.Evaluate(Input("circular", AtMost(0.030m, "mm"), "bidirectional-Gb", null, ("clockwise", Way("clockwise", of(0))), ("counter", Way("counter", of(1))))).Result.Verdict == Verdict.Rejected ? 1 : 0;
        }

        Assert.InRange(rejected, 0, 10);
    }

    [Fact]
    public void A_mistaken_unit_gives_no_result()
    {
        var result = Circle(a => 20_000, a => 0);
        Assert.Equal((ResultState.Incomplete, (double?)null), (result.State, result.Value));
        Assert.Contains("found a deviation of 20 mm at 0°, expected at most 5 % of the radius 300 mm", string.Join(' ', result.Because), StringComparison.Ordinal);
    }

    // Trade notes, 4.2: Δp = 0.728 Δh straight, 0.772 Δh with a helix of 19°31′42″ (20°). A roller 0.020 mm too deep: 14.6 and 15.4 µm; limit 30, U of 4 µm times 0.73 and the root of 7/6: 3.1.
    [Theory]
    [InlineData("straight-20", -0.020, 14.56, Verdict.Accepted)]
    [InlineData("helical-20", -0.020, 15.45, Verdict.Accepted)]
    [InlineData("helical-20", 0.038, 29.35, Verdict.NotProven)]
    [InlineData("straight-20", 0.055, 40.04, Verdict.Rejected)]
    public void A_roller_that_sinks_at_a_joint_shows_its_pitch(string teeth, double mm, double pitch, Verdict verdict)
    {
        var joints = new LayoutPlan("k", 1000, [], LayoutShape.RackJoints).StationsFor(Model);
        var indicator = Instrument("indicator", "mm", "absolute", new Amount(4m, "µm"), new Amount(4m, "µm"), new Amount(0, "µm"));
        string[] spaces = ["before-3", "before-2", "before-1", "joint", "behind-1", "behind-2", "behind-3"];
        // The rack lies 0.01 mm higher behind the joint; that is a step and no pitch.
        var result = Evaluators.Evaluate(Input("rack-joints", AtMost(0.030m, "mm"), teeth, null, spaces.Select((name, i) => (name, Source(
            "indicator", joints, null, 1, [Run(1, indicator, name, joints.Select(j => j.Id), joints.Select(j => 0.3 + (i < 3 ? -0.005 : i > 3 ? 0.005 : j.Id == "R2-K2" ? mm : 0)))], name))))).Result;
        Assert.Equal((verdict, pitch), (result.Verdict, Math.Round(result.Value!.Value, 2)));
        Assert.Equal(10, result.Figure("largest step of height between two racks"), 6);
        Assert.Equal(-pitch * Math.Sign(mm), result.Deviations.Single(d => d.Place == "R2-K2").Value, 0.01);
        Assert.Equal(verdict == Verdict.Rejected, result.Next.Sentence.Contains("Loosen the later rack at R2-K2", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(0.012, Verdict.Accepted)]
    [InlineData(0.029, Verdict.NotProven)]
    [InlineData(0.040, Verdict.Rejected)]
    public void The_largest_difference_of_several_places_decides(double drift, Verdict verdict)
    {
        var targets = Line(3, 500, 0, "T");
        var by = Instrument("position", "mm", "absolute", new Amount(1m, "µm"), new Amount(1m, "µm"), new Amount(0, "µm"));
        Source Of(string column, double[] mm) => Source("position", targets, null, 1, [Run(1, by, column, targets.Select(t => t.Id), mm)], column);
        var result = Evaluators.Evaluate(Input("difference", AtMost(0.030m, "mm"), null, null, ("first", Of("cold", [0.001, 0.002, 0.003])), ("second", Of("hot", [0.004, 0.002 - drift, 0.005])))).Result;
        Assert.Equal((verdict, Math.Round(1000 * drift, 6)), (result.Verdict, Math.Round(result.Value!.Value, 6)));
        Assert.Contains("T-01", string.Join(' ', result.Contacts.Select(c => c.Place)), StringComparison.Ordinal);
    }

    [Fact]
    public void Where_features_share_their_stations_a_place_is_named_with_its_feature()
    {
        var stations = Line(5, 500);
        var level = Instrument("slope", "µm/m", "slope", new Amount(2m, "µm/m"));
        Source Of(string feature, double[] slopes) => Source("slope", stations, PlaceKind.Between, 1, [Run(1, level, "v", Steps(stations), slopes)], "v", feature);
        var result = Evaluators.Evaluate(Input(
            "straightness", AtMost(0.030m, "mm"), "end-point", null, ("line/middle", Of("middle", [1, 2, -2, -1])), ("line/far-end", Of("far-end", [10, 12, -12, -10])))).Result;
        Assert.Equal(10, result.Deviations.Select(d => d.Place).Distinct(StringComparer.Ordinal).Count());
        Assert.Equal(["far-end S-00", "far-end S-02"], result.Contacts.Select(c => c.Place).Order(StringComparer.Ordinal));
        Assert.Equal(11, result.Deviations.Single(d => d.Place == "far-end S-02").Value, 9);
    }

    private static EvaluationResult Circle(Func<double, double> clockwise, Func<double, double> counter, string reference = "bidirectional-Gb") => Evaluators.Evaluate(Input(
        "circular", AtMost(0.030m, "mm"), reference, null, ("clockwise", Way("clockwise", [.. Path.Select(p => clockwise(p.Degrees!.Value * Math.PI / 180))])),
        ("counter", Way("counter", [.. Path.Select(p => counter(p.Degrees!.Value * Math.PI / 180))])))).Result;

    private static Source Way(string column, double[] um) => Source("radius", Path, null, 1, [Run(1, Device, column, Path.Select(p => p.Id), um)], column);

    private static double Square(double value) => value * value;
}
