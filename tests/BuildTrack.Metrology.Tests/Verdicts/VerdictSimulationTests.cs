using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Tests.Verdicts;

/// <summary>The claims of docs/method/verdict.md in small: beds of known shape, measured with noise many times.</summary>
public sealed class VerdictSimulationTests
{
    private const double LimitUm = 50;
    private const double NoiseUm = 3;
    private const int Trials = 2000;

    // 5 % + 3 standard errors of 2000 trials, and 2.5 % + 3 standard errors.
    private const double FivePercent = 0.05 + 0.0147;
    private const double HalfOfIt = 0.025 + 0.0105;

    public static TheoryData<string, int, int, PlaneReference> Cases()
    {
        var cases = new TheoryData<string, int, int, PlaneReference>();
        foreach (var shape in new[] { "bowl", "saddle", "one peak", "steps", "rough" })
        {
            foreach (var reference in Enum.GetValues<PlaneReference>())
            {
                cases.Add(shape, 3, 2, reference);
                cases.Add(shape, 9, 6, reference);
            }
        }

        return cases;
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void A_bed_exactly_at_the_limit_is_seldom_accepted_and_seldom_rejected(string shape, int columns, int rows, PlaneReference reference)
    {
        const ulong seed = 6001;
        var truth = Truth(shape, columns, rows, reference, LimitUm);
        var reach = PlaneReach.Of(truth.X, truth.Y, NoiseUm, 0, reference, trials: 4000);
        var limits = new Conformity.Limits(LimitUm, null);
        var source = new SeededSource(seed);
        int accepted = 0, rejectedAlone = 0, rejectedAgain = 0, rejectedByEither = 0;
        for (var trial = 0; trial < Trials; trial++)
        {
            var first = Noisy(truth, source);
            var value = Value(first, reference);
            var alone = Conformity.Decide(value, limits, reach.AboveUm, reach.BelowUm).Verdict;
            var again = RejectedAgain(first, [Noisy(truth, source), Noisy(truth, source)], reference, limits);
            accepted += alone == Verdict.Accepted ? 1 : 0;
            rejectedAlone += alone == Verdict.Rejected ? 1 : 0;
            rejectedAgain += again ? 1 : 0;
            rejectedByEither += again || alone == Verdict.Rejected ? 1 : 0;
        }

        Assert.True(accepted <= FivePercent * Trials, $"{shape} {columns}x{rows} {reference}, seed {seed}: accepted {accepted} of {Trials}");
        Assert.True(rejectedAlone <= HalfOfIt * Trials, $"{shape} {columns}x{rows} {reference}, seed {seed}: rejected alone {rejectedAlone}");
        Assert.True(rejectedAgain <= HalfOfIt * Trials, $"{shape} {columns}x{rows} {reference}, seed {seed}: rejected again {rejectedAgain}");
        Assert.True(rejectedByEither <= FivePercent * Trials, $"{shape} {columns}x{rows} {reference}, seed {seed}: rejected by either {rejectedByEither}");
    }

    [Fact]
    public void The_naive_rule_would_reject_good_beds_often_and_the_contacts_find_bad_ones()
    {
        var source = new SeededSource(6002);
        var good = Truth("rough", 10, 6, PlaneReference.LeastSquares, LimitUm);
        var bad = Truth("rough", 10, 6, PlaneReference.MinimumZone, 1.4 * LimitUm);
        var sound = Truth("bowl", 10, 6, PlaneReference.MinimumZone, 0.6 * LimitUm);
        var reach = PlaneReach.Of(good.X, good.Y, NoiseUm, 0, PlaneReference.MinimumZone, trials: 2000);
        var limits = new Conformity.Limits(LimitUm, null);
        int naive = 0, found = 0, accepted = 0;
        const int trials = 400;
        for (var trial = 0; trial < trials; trial++)
        {
            naive += Value(Noisy(good, source), PlaneReference.LeastSquares) - (1.960 * NoiseUm) > LimitUm ? 1 : 0;
            found += RejectedAgain(Noisy(bad, source), [Noisy(bad, source), Noisy(bad, source)], PlaneReference.MinimumZone, limits) ? 1 : 0;
            var decision = Conformity.Decide(Value(Noisy(sound, source), PlaneReference.MinimumZone), limits, reach.AboveUm, reach.BelowUm);
            accepted += decision.Verdict == Verdict.Accepted ? 1 : 0;
        }

        Assert.True(naive > 0.10 * trials, $"naive rule: {naive} of {trials}");
        Assert.True(found > 0.95 * trials, $"contacts: {found} of {trials}");
        Assert.True(accepted > 0.95 * trials, $"accepted: {accepted} of {trials}");
    }

    [Fact]
    public void Looking_again_with_the_running_mean_and_an_undivided_band_stays_within_the_risk()
    {
        // Five repeat runs of the contacts, decided after each: the mean enters, the band stays that of the second.
        var truth = Truth("saddle", 6, 4, PlaneReference.MinimumZone, LimitUm);
        var source = new SeededSource(6003);
        var wrong = 0;
        for (var trial = 0; trial < Trials; trial++)
        {
            var contacts = Noisy(truth, source).Flatness().MinimumZone!.Contacts;
            double[] weights = [.. contacts.Select(c => c.Weight)];
            double sum = 0;
            for (var run = 1; run <= 5; run++)
            {
                var again = Noisy(truth, source);
                sum += ContactsAgain.Value(weights, [.. contacts.Select(c => again.Z[c.Index])]);
                if ((sum / run) - ContactsAgain.RejectBandUm(weights, NoiseUm, 0, run) > LimitUm)
                {
                    wrong++;
                    break;
                }
            }
        }

        Assert.True(wrong <= FivePercent * Trials, $"wrong rejections: {wrong} of {Trials}");
    }

    [Fact]
    public void The_smallest_of_several_thicknesses_keeps_its_risks()
    {
        const int count = 12;
        const double sigma = 0.05;
        var limits = new Conformity.Limits(null, 20);
        var (accept, alone, again) = ExtremeReach.Of(count, sigma, 0);
        var source = new SeededSource(6004);
        foreach (var others in new[] { 20.0, 20.1, 25.0 })
        {
            int accepted = 0, rejectedAlone = 0, rejectedAgain = 0;
            for (var trial = 0; trial < 4000; trial++)
            {
                double smallest = double.PositiveInfinity, trueThere = 0;
                for (var i = 0; i < count; i++)
                {
                    var truth = i == 0 ? 20.0 : others;
                    var value = truth + (sigma * source.NextNormal());
                    if (value < smallest)
                        (smallest, trueThere) = (value, truth);
                }

                var decision = Conformity.Decide(smallest, limits, accept, alone).Verdict;
                accepted += decision == Verdict.Accepted ? 1 : 0;
                rejectedAlone += decision == Verdict.Rejected ? 1 : 0;
                rejectedAgain += Conformity.Decide(trueThere + (sigma * source.NextNormal()), limits, accept, again).Verdict == Verdict.Rejected ? 1 : 0;
            }

            Assert.True(accepted <= 0.061 * 4000 && rejectedAlone <= 0.033 * 4000 && rejectedAgain <= 0.033 * 4000,
                $"others {others}: accepted {accepted}, rejected alone {rejectedAlone}, again {rejectedAgain} of 4000");
        }
    }

    /// <summary>Looked at after the first of two repeat runs and after both.</summary>
    private static bool RejectedAgain(Points first, Points[] repeats, PlaneReference reference, Conformity.Limits limits)
    {
        var contacts = reference == PlaneReference.LeastSquares ? [] : first.Flatness().MinimumZone!.Contacts;
        double[] weights = reference == PlaneReference.LeastSquares
            ? [.. ContactsAgain.LeastSquaresRangeWeights(first.X, first.Y, first.Z, ContactsAgain.ChoiceBandUm(NoiseUm))]
            : [.. contacts.Select(c => c.Weight)];
        double[] values = [.. repeats.Select(r => ContactsAgain.Value(weights, reference == PlaneReference.LeastSquares ? r.Z : [.. contacts.Select(c => r.Z[c.Index])]))];
        return Enumerable.Range(1, values.Length).Any(runs =>
        {
            var band = ContactsAgain.RejectBandUm(weights, NoiseUm, 0, runs);
            return Conformity.Decide(values.Take(runs).Average(), limits, band, band).Verdict == Verdict.Rejected;
        });
    }

    private static double Value(Points points, PlaneReference reference)
    {
        var result = points.Flatness();
        return reference == PlaneReference.LeastSquares ? result.LeastSquares!.FlatnessUm : result.MinimumZone!.FlatnessUm;
    }

    private static Points Noisy(Points truth, SeededSource source) => truth.WithZ(i => truth.Z[i] + (NoiseUm * source.NextNormal()));

    private static Points Truth(string shape, int columns, int rows, PlaneReference reference, double zoneUm)
    {
        var grid = Points.Grid(new SeededSource(9), columns, rows, 500, 1, 20);
        double cx = (columns - 1) * 250.0, cy = (rows - 1) * 250.0;
        var shaped = grid.WithZ(i =>
        {
            double u = (grid.X[i] - cx) / 1000, w = (grid.Y[i] - cy) / 1000;
            return shape switch
            {
                "bowl" => (u * u) + (w * w * 2),
                "saddle" => u * w,
                "one peak" => i == columns * rows / 2 ? 1 : 0,
                "steps" => (i % columns) + (i / columns) % 2 == 0 ? 1 : i % 3 == 0 ? -1 : 0,
                _ => grid.Z[i],
            };
        });
        var factor = zoneUm / Value(shaped, reference);
        return shaped.WithZ(i => factor * shaped.Z[i]);
    }
}
