using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Corrections;

namespace BuildTrack.Domain.Corrections;

/// <summary>The rounds of a bed: which measurement closed each, and what the feet are thought to do to each other.</summary>
public static class FootRounds
{
    /// <summary>Rounds at most that are learned from: the latest (see <see cref="FootInfluence.Learn"/>).</summary>
    private const int Most = 20;

    /// <summary>What the next measurement showed of a round; null while there is none, or where another act on the bed came between.</summary>
    public static FootRoundShown? ShownOf(MachineRecord machine, FootRoundMade round)
    {
        if (ClosedBy(machine, round) is not { } measurement || HeightsOf(machine, round, measurement) is not { } heights)
        {
            return null;
        }

        double[] predicted = [.. round.Feet.Select(f => f.PredictedUm)];
        double[] measuredRest = Rest(heights), predictedRest = Rest(predicted), miss = [.. measuredRest.Zip(predictedRest, (m, p) => m - p)];
        return new FootRoundShown(
            measurement.Id, [.. heights], [.. measuredRest], [.. predictedRest], Math.Sqrt(miss.Average(m => m * m)), miss.Max(Math.Abs));
    }

    /// <summary>The rounds since the bed was set up anew that stand on each other: each begins at the measurement that closed the one before.</summary>
    public static ImmutableArray<FootRoundMade> Chain(MachineRecord machine)
    {
        var chain = new List<FootRoundMade>();
        foreach (var round in machine.FootRounds.Reverse())
        {
            if (chain.Count == Most || (chain.Count > 0 && ShownOf(machine, round)?.Measurement != chain[^1].Measurement))
            {
                break;
            }

            chain.Add(round);
        }

        chain.Reverse();
        return [.. chain];
    }

    /// <summary>Number of the next round on these heights: rounds go on while the bed is only moved on its feet.</summary>
    public static int NextNo(MachineRecord machine, long measurement) =>
        Chain(machine) is [.., var last] chain && ShownOf(machine, last)?.Measurement == measurement ? chain.Length + 1 : 1;

    /// <summary>What is thought of the influence of the feet on each other, from every closed round of the chain.</summary>
    /// <param name="sigmaUm">Standard uncertainty of one height, µm.</param>
    public static FootInfluenceEstimate Influence(MachineRecord machine, IReadOnlyList<FootPlace> feet, double sigmaUm)
    {
        // Two surveys share no zero: only differences of heights are known.
        var prior = FootInfluence.Prior(feet, datum: HeightDatum.OnTheBed);
        ImmutableArray<FootRoundMade> closed = [.. Chain(machine).Where(r => r.Feet.Length == feet.Count && ShownOf(machine, r) is not null)];
        return closed.IsEmpty ? prior : FootInfluence.Learn(
            prior, [.. closed.Select(r => new FootRound([.. r.Feet.Select(f => f.HeightUm)], [.. r.Feet.Select(f => f.MadeUm)]))],
            ShownOf(machine, closed[^1])!.HeightsUm, Math.Max(0.1, sigmaUm));
    }

    /// <summary>How far each foot has been moved on this bed in all, µm.</summary>
    public static double MovedUm(MachineRecord machine, string foot) => machine.FootRounds.SelectMany(r => r.Feet).Where(f => f.Foot == foot).Sum(f => f.MadeUm);

    // The first complete measurement after it. Where the bed was changed in between, that measurement does not speak of the feet alone.
    private static Measurement? ClosedBy(MachineRecord machine, FootRoundMade round) =>
        machine.Measurements.Where(m => m.Survey == round.Survey && m.Id > round.Id).OrderBy(m => m.Id).FirstOrDefault() is { } next
            && !machine.Changes.Any(c => c.Id > round.Id && c.Id < next.Id && machine.Revision.Invalidation.Any(r => r.Change == c.Change && r.Surveys.Contains(round.Survey)))
            ? next : null;

    private static double[]? HeightsOf(MachineRecord machine, FootRoundMade round, Measurement measurement)
    {
        var column = machine.Revision.FindCharacteristic(round.Line)?.From.GetValueOrDefault(FootPlan.Heights)?.Column;
        var passes = measurement.CountedPasses.ToImmutableArray();
        if (column is null || passes.Length == 0 || passes.Length < measurement.PassesPlanned)
        {
            return null;
        }

        var heights = new double[round.Feet.Length];
        for (var i = 0; i < heights.Length; i++)
        {
            double[] read = [.. passes.Select(p => SurveyMeans.ValueAt(p, column, round.Feet[i].Station)).OfType<double>()];
            if (read.Length < passes.Length)
            {
                return null;
            }

            heights[i] = read.Average();
        }

        return heights;
    }

    private static double[] Rest(double[] values)
    {
        var mean = values.Average();
        return [.. values.Select(v => v - mean)];
    }
}
