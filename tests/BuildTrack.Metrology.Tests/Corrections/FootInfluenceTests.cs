using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Tests.Support;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>Influences of feet: against the whole Bayesian least squares written out, and on beds simulated as plates on springs.</summary>
public sealed class FootInfluenceTests
{
    private const double Sigma = 2;

    [Theory]
    [InlineData(HeightDatum.OffTheBed)]
    [InlineData(HeightDatum.OnTheBed)]
    public void Learning_is_the_least_squares_of_all_influences_and_errors_at_once(HeightDatum datum)
    {
        var source = new SeededSource(5201);
        var bed = new SprungPlate(source, 3);
        var (rounds, now) = Rounds(bed, source, 2);
        var prior = FootInfluence.Prior(bed.Feet, datum: datum);
        var learned = FootInfluence.Learn(prior, rounds, now, Sigma);
        var (means, sigmas) = Whole(prior, rounds, now, datum);
        for (var k = 0; k < 36; k++)
        {
            Agreement.Near(means[k], learned.Influences[k], 1e-6, $"influence {k}");
            Agreement.Near(sigmas[k], learned.Sigmas[k], 1e-6, $"its uncertainty {k}");
        }

        Assert.True(learned.Sigmas.Average() < prior.Sigmas.Average());
        Assert.Equal((2, 0), (learned.Rounds, prior.Rounds));
    }

    [Fact]
    public void The_second_round_is_predicted_better_than_the_first_on_simulated_beds()
    {
        // Root mean square over the feet of predicted less true height, in µm; and what the same second moves would be predicted by without learning.
        double first = 0, second = 0, unlearned = 0, neighbours = 0, scaledFirst = 0, scaledSecond = 0, start = 0, end = 0;
        var (better, rounds) = (0, 0);
        for (var seed = 0; seed < 120; seed++)
        {
            var source = new SeededSource(52000 + (ulong)seed);
            var bed = new SprungPlate(source, 3 + source.NextInt(3));
            var goal = seed % 2 == 0 ? FootGoal.MeanPlane : FootGoal.RaiseToHighest;
            var prior = FootInfluence.Prior(bed.Feet);
            neighbours += Enumerable.Range(0, prior.Feet).Average(j => FootInfluence.Neighbours(bed.Feet, j).Average(i => bed.Influence(i, j))) / 120;
            var before = bed.Measured(source, Sigma);
            var plan = FootInfluence.Plan(before, prior, Sigma, goal);
            double[] moves = [.. plan.Moves.Select(m => m.MoveUm)];
            var range = Range(bed);
            bed.Move(moves);

            var after = bed.Measured(source, Sigma);
            var learned = FootInfluence.Learn(prior, [new FootRound([.. before.Select(f => f.HeightUm)], [.. moves])], [.. after.Select(f => f.HeightUm)],
                Sigma);
            var next = FootInfluence.Plan(after, learned, Sigma, goal, round: 2);
            if (next.Order.IsEmpty)
                continue;
            rounds++;
            (start, first) = (start + range, first + Error(plan, bed));
            scaledFirst += Square(Error(plan, bed) / plan.Moves[0].PredictedSigmaUm!.Value);
            double[] nextMoves = [.. next.Moves.Select(m => m.MoveUm)];
            var byPrior = next with { Moves = [.. next.Moves.Select((m, i) =>
                m with { PredictedHeightUm = after[i].HeightUm + FootInfluence.Change(prior, i, nextMoves) })] };
            bed.Move(nextMoves);
            (end, second, unlearned) = (end + Range(bed), second + Error(next, bed), unlearned + Error(byPrior, bed));
            scaledSecond += Square(Error(next, bed) / next.Moves[0].PredictedSigmaUm!.Value);
            better += Error(next, bed) < Error(byPrior, bed) ? 1 : 0;
        }

        var what = $"{rounds} beds: first {first / rounds:F2}, second {second / rounds:F2}, without learning {unlearned / rounds:F2}, better on {better}; "
            + $"neighbours {neighbours:F2}; scaled {scaledFirst / rounds:F2} and {scaledSecond / rounds:F2}; range {start / rounds:F0} to {end / rounds:F0} µm";
        Assert.True(neighbours is > 0.30 and < 0.60, what);
        Assert.True(rounds > 60 && second < 0.7 * first && second < 0.7 * unlearned && better > 0.75 * rounds, what);

        // The uncertainty told beforehand is of the right size: one where it is exact.
        Assert.True(scaledFirst / rounds is > 0.3 and < 2 && scaledSecond / rounds is > 0.3 and < 2, what);
        Assert.True(end < 0.5 * start, what);
    }

    private static double Error(FootMovesResult plan, SprungPlate bed) =>
        Math.Sqrt(plan.Moves.Zip(bed.Feet, (m, f) => Square(m.PredictedHeightUm - f.HeightUm)).Average());

    private static double Square(double value) => value * value;

    private static double Range(SprungPlate bed) => bed.Feet.Max(f => f.HeightUm) - bed.Feet.Min(f => f.HeightUm);

    private static (FootRound[] Rounds, double[] Now) Rounds(SprungPlate bed, SeededSource source, int count)
    {
        var rounds = new FootRound[count];
        for (var k = 0; k < count; k++)
        {
            double[] heights = [.. bed.Measured(source, Sigma).Select(f => f.HeightUm)], moves = [.. heights.Select(_ => 100 * source.NextNormal())];
            rounds[k] = new FootRound([.. heights], [.. moves]);
            bed.Move(moves);
        }

        return (rounds, [.. bed.Measured(source, Sigma).Select(f => f.HeightUm)]);
    }

    /// <summary>Every influence, and with a datum on the bed the unknown shift of every survey, in one large system: no row is taken apart.</summary>
    private static (double[] Means, double[] Sigmas) Whole(FootInfluenceEstimate prior, FootRound[] rounds, double[] now, HeightDatum datum)
    {
        int n = prior.Feet, unknowns = n * n, data = n * rounds.Length;
        var surveys = rounds.Select(r => r.HeightsBeforeUm.ToArray()).Append(now).ToArray();
        var design = Matrix<double>.Build.Dense(data, unknowns);
        var noise = Matrix<double>.Build.Dense(data, data);
        var y = Vector<double>.Build.Dense(data);
        for (var a = 0; a < rounds.Length; a++)
        {
            for (var i = 0; i < n; i++)
            {
                y[(a * n) + i] = surveys[a + 1][i] - surveys[a][i];
                for (var j = 0; j < n; j++)
                    design[(a * n) + i, (i * n) + j] = rounds[a].MovesUm[j];
                for (var b = 0; b < rounds.Length; b++)
                {
                    noise[(a * n) + i, (b * n) + i] += (a == b ? 2 : Math.Abs(a - b) == 1 ? -1 : 0) * Sigma * Sigma;

                    // A shift of 10 m in every change stands for a shift that nobody knows.
                    for (var k = 0; k < n; k++)
                        noise[(a * n) + i, (b * n) + k] += datum == HeightDatum.OnTheBed && a == b ? 1e10 : 0;
                }
            }
        }

        var mean = Vector<double>.Build.DenseOfEnumerable(prior.Influences);
        var covariance = Matrix<double>.Build.DenseIdentity(unknowns) * (prior.PriorSigma * prior.PriorSigma);
        var gain = covariance * design.Transpose() * ((design * covariance * design.Transpose()) + noise).Inverse();
        var after = covariance - (gain * design * covariance);
        return ([.. mean + (gain * (y - (design * mean)))], [.. after.Diagonal().Select(Math.Sqrt)]);
    }
}
