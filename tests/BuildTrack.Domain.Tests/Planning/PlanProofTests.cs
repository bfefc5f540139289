using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Planning;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Planning;

/// <summary>
/// What a plan promises is what the product then does: parts of the widest true value are measured many times, seeded, and judged by the calculation that
/// decides in the plant. At least 95 of 100 are accepted but for four standard errors of the count, whatever the form of the part and with all that the
/// common part may add; of the worst form without a common part no more than that, so that the promise is not small for safety.
/// </summary>
public sealed class PlanProofTests
{
    private const int Trials = 600;

    // √(0.95 · 0.05/600) = 0.0089 of the count; √(0.95 · 0.05/2000) = 0.0049 of the trials behind the widest value.
    private const double StandardError = 0.0089, BothErrors = 0.0102;

    [Theory]
    [InlineData(400, 0, DecisionRule.Guarded)]
    [InlineData(400, 300, DecisionRule.OneSided95)]
    public void Two_diagonals_of_a_frame(double random, double common, DecisionRule rule)
    {
        var tape = Gantry.Tracker(random, common);
        var machine = Gantry.Machine(rule);
        var plan = Listed(machine, "difference", tape);
        var source = new SeededSource(11);
        var sizes = new[] { 3354.0 + (plan.Proof.Widest!.Value / 2000), 3354.0 - (plan.Proof.Widest.Value / 2000) };
        var accepted = Accepted(() => machine.Measure("difference", tape, Gantry.Whole("d1", "d2"), (_, i) => sizes[i] + ((common + (random / 2 * source.NextNormal())) / 1000)), plan, 1e-9);
        Assert.InRange(accepted, 0.95 - (4 * StandardError), 0.95 + (4 * BothErrors));
    }

    [Theory]
    [InlineData(10, 0, 1, DecisionRule.Guarded)]
    [InlineData(14, 8, -1, DecisionRule.OneSided95)]
    [InlineData(33, 0, 1, DecisionRule.OneSided95)]
    public void Diagonals_of_a_marked_rectangle(double random, double common, int sign, DecisionRule rule)
    {
        var tracker = Gantry.Tracker(random, common);
        var machine = Gantry.Machine(rule);
        var plan = Listed(machine, "squareness", tracker);

        // By hand: two diagonals turn the angle by D/(2 W L) each, the sides of a rectangle not at all; what all share turns it not at all either.
        double along = Gantry.TravelMm, across = 0.8 * Gantry.GaugeMm, square = (along * along) + (across * across);
        Assert.Equal(Math.Sqrt(2) * random * 1000 * Math.Sqrt(square) / (2 * along * across), plan.Expanded, 5);

        // Closed form of one value, where the other side is far: limit less band, less what 95 of 100 values stay below. Good to a tenth of σ.
        var sigma = plan.Expanded / 2;
        if (plan.Proof.Widest > 3 * sigma)
        {
            Assert.Equal(40 - Math.Max(rule == DecisionRule.Guarded ? 2 * sigma : 0, 1.6449 * sigma) - (1.6449 * sigma), plan.Proof.Widest!.Value, 0.1 * sigma);
        }

        // Corners of a parallelogram that leans by the widest angle: d² = L² + W² ± 2 L W γ.
        var lean = sign * 2 * along * across * plan.Proof.Widest!.Value * 1e-6;
        double[] truth = [Math.Sqrt(square + lean), Math.Sqrt(square - lean), along, across, along, across];
        var source = new SeededSource(12);
        var accepted = Accepted(() =>
        {
            double[] lengths = [.. truth.Select(l => l + ((common + (random / 2 * source.NextNormal())) / 1000))];
            return machine.Measure("squareness", tracker, Gantry.Whole(Gantry.Lengths), (_, i) => lengths[i]);
        }, plan, 0.002);
        Assert.InRange(accepted, 0.95 - (4 * StandardError), 0.95 + (4 * BothErrors));
    }

    [Theory]
    [InlineData("accuracy-A", "window", 0)]
    [InlineData("systematic-E", "window", 0)]
    [InlineData("repeatability-R", "window", 0)]
    [InlineData("reversal-B", "window", 0)]
    [InlineData("mean-M", "window", 0)]
    [InlineData("travel-E", "travel", 0)]
    [InlineData("accuracy-A", "window", 3)]
    [InlineData("repeatability-R", "window", 3)]
    [InlineData("travel-E", "travel", 3)]
    public void A_figure_of_positioning(string id, string layout, double common)
    {
        const double random = 3;
        var machine = Gantry.Machine();
        var laser = Gantry.Laser(random, common);
        var plan = Listed(machine, id, laser);
        var places = Gantry.Targets(machine, layout);
        int targets = places.Length / 2, runs = machine.Revision.Survey(layout).Passes;

        // An axis of each form has the same figure in the same runs when it is read without error; its scale may be wrong by the common part.
        var source = new SeededSource(13);
        var rough = new double[runs * places.Length];
        for (var i = 0; i < rough.Length; i++)
        {
            rough[i] = source.NextNormal();
        }

        double Along(int i) => (2.0 * (i / 2) / (targets - 1)) - 1;
        double Direction(int i) => i % 2 == 0 ? 1 : -1;
        double Scatter(int run) => run == runs - 1 && runs % 2 == 1 ? 0 : run % 2 == 0 ? 1 : -1;
        double UpAndDown(int i) => i / 2 % 2 == 0 ? 1 : -1;
        (string Name, Func<int, int, double> At)[] forms =
        [
            ("growth", (_, i) => Along(i)), ("up and down", (_, i) => UpAndDown(i)), ("reversal", (_, i) => Direction(i)), ("reversal at one target", (_, i) => i / 2 == targets / 2 ? Direction(i) : 0),
            ("scatter", (run, _) => Scatter(run)), ("reversal and scatter", (run, i) => Direction(i) + Scatter(run)), ("up and down with scatter", (run, i) => UpAndDown(i) + Scatter(run)),
            ("disorder", (run, i) => rough[(run * places.Length) + i]),
        ];
        var shares = new List<(string Form, double Accepted)>();
        foreach (var (name, at) in forms)
        {
            // A thousand times the form: positions are kept to the nanometre.
            var size = machine.Measure(id, laser, places, (run, i) => 1000 * at(run, i)).Value!.Value / 1000;
            if (size < 1e-6)
            {
                continue;
            }

            // One place of two carries 1/√2 of U of a difference.
            var sigma = random / 2 / Math.Sqrt(2);
            shares.Add((name, Accepted(
                () => machine.Measure(id, laser, places, (run, i) => (plan.Proof.Widest!.Value * at(run, i) / size) + (common / 2 * Along(i)) + (sigma * source.NextNormal())), plan, 1e-9)));
        }

        Assert.All(shares, s => Assert.True(s.Accepted >= 0.95 - (4 * StandardError), $"{s.Form}: {s.Accepted}"));
        if (common == 0)
        {
            Assert.True(shares.Min(s => s.Accepted) <= 0.95 + (4 * BothErrors), string.Join("; ", shares));
        }
    }

    [Theory]
    [InlineData("net-least-squares", 0)]
    [InlineData("net-minimum-zone", 0)]
    [InlineData("net-least-squares", 2)]
    public void Flatness_from_a_net_of_rises(string id, double common)
    {
        const double random = 6;
        var machine = Gantry.Machine();
        var level = Gantry.Level(random, common);
        var plan = Listed(machine, id, level);
        var places = Gantry.Net;
        var at = Gantry.Seats.Select((s, i) => (s.Id, i)).ToDictionary(s => s.Id, s => s.i);
        double Slope(double[] heights, int i)
        {
            var place = Place.Parse(places[i].Place);
            int from = at[place.From!], to = at[place.To!];
            return (heights[to] - heights[from]) / ((to - from == 1 ? 500 : Gantry.GaugeMm) / 1000);
        }

        // The level's zero drifts through every pass from one end of its common part to the other, in the order of reading.
        double Drift(int i) => common * ((2.0 * i / (places.Length - 1)) - 1);
        var source = new SeededSource(14);
        var shares = new List<(string Form, double Accepted)>();
        foreach (var (name, form) in new (string, Func<int, double>)[]
        {
            ("crown", i => (i % 7 - 3) * (i % 7 - 3)), ("twist", i => (i % 7 - 3) * (i < 7 ? 1 : -1)), ("one high pad", i => i == 7 ? 1 : 0),
            ("up and down", i => Math.Min(i, 13 - i) % 2 == 0 ? 1 : -1), ("drift", _ => 0),
        })
        {
            double[] heights = [.. Enumerable.Range(0, Gantry.Seats.Length).Select(form)];

            // The last form is what a drift of the level fakes: it adds to itself.
            double Truth(int i) => name == "drift" ? Drift(i) : Slope(heights, i);
            var size = machine.Measure(id, level, places, (_, i) => Truth(i)).Value!.Value;
            if (size < 1e-6)
            {
                continue;
            }

            shares.Add((name, Accepted(() => machine.Measure(id, level, places, (_, i) => (plan.Proof.Widest!.Value * Truth(i) / size) + Drift(i) + (random / 2 * source.NextNormal())), plan, 1e-9)));
        }

        Assert.All(shares, s => Assert.True(s.Accepted >= 0.95 - (4 * StandardError), $"{s.Form}: {s.Accepted}"));
        if (common == 0)
        {
            Assert.True(shares.Min(s => s.Accepted) <= 0.95 + (4 * BothErrors), string.Join("; ", shares));
        }
    }

    /// <summary>The plan as the checklists have it.</summary>
    private static MeasuringPlan Listed(MachineRecord machine, string id, RegisterEntry instrument)
    {
        var plan = MeasuringPlans.Of(machine, machine.Check(id), [instrument], Make.Day).Plans.Single(p => p.AsListed);
        Assert.True(plan.Proof.Widest > 0, plan.Proof.CannotBecause);
        return plan;
    }

    /// <summary>How many of the trials are accepted; the first one has the plan's figures.</summary>
    private static double Accepted(Func<EvaluationResult> measure, MeasuringPlan plan, double relative)
    {
        var accepted = 0;
        for (var trial = 0; trial < Trials; trial++)
        {
            var result = measure();
            Assert.Equal(ResultState.Calculated, result.State);
            Assert.Equal(plan.Expanded, result.ExpandedUncertainty!.Value, relative * plan.Expanded);
            Assert.Equal(plan.K, result.K!.Value);
            Assert.Equal(plan.Proof.AcceptBand, result.AcceptBand!.Value, relative * plan.Proof.AcceptBand);
            accepted += result.Verdict == Verdict.Accepted ? 1 : 0;
        }

        return (double)accepted / Trials;
    }
}
