using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Honesty;

/// <summary>How often parts of a known form were accepted and rejected.</summary>
internal sealed record Tally(int Trials, int Accepted, int Rejected);

/// <summary>Measures a part many times as the plant would: the planned passes out and back, then what the product says is to be done next.</summary>
internal static class Trials
{
    private const int Freedom = 4;
    private const double SharedUm = 4;

    /// <param name="attempts">How often the next action is followed where the answer is "not proven".</param>
    /// <param name="addPasses">Whether a further pass is such an action; else only places measured again.</param>
    public static Tally Run(Cell cell, int trials, double shareOfLimit = 1, int attempts = 1, bool addPasses = false, double againSigma = 1)
    {
        var common = Common(cell);
        var part = new Workpiece(cell, shareOfLimit, common, againSigma);
        var source = new SeededSource(cell.Seed);
        int accepted = 0, rejected = 0;
        for (var trial = 0; trial < trials; trial++)
        {
            if (cell.Special == Special.EstimatedSigma)
                part.Estimate(Math.Sqrt(source.NextChiSquare(Freedom) / Freedom), Freedom);
            var all = Shared(cell, part, common, source);
            Run Pass(int no) => part.Pass(no, Rounded(part, part.Noisy(all, source)));
            var runs = ImmutableArray.Create(Pass(1), Pass(2));
            var result = part.Measure(runs);
            for (var attempt = 0; attempt < attempts && result.Verdict == Verdict.NotProven; attempt++)
            {
                if (result.Next.Kind is NextKind.MeasureContactsAgain or NextKind.MeasureAllAgain)
                {
                    // The contacts alone are read: noise for each of them, drawn anew.
                    runs = runs.Add(part.Again(runs.Length + 1, result.Next.Places, i => Rounded(part, [all[i] + (againSigma * cell.Noise * source.NextNormal())])[0]));
                }
                else if (result.Next.Kind == NextKind.AddPass && addPasses)
                {
                    runs = runs.Add(Pass(runs.Length + 1));
                }
                else
                {
                    break;
                }

                result = part.Measure(runs);
            }

            accepted += result.Verdict == Verdict.Accepted ? 1 : 0;
            rejected += result.Verdict == Verdict.Rejected ? 1 : 0;
        }

        return new Tally(trials, accepted, rejected);
    }

    /// <summary>What the register says that all readings share: µm for heights, µm/m for a level.</summary>
    private static double Common(Cell cell) => cell.Special switch
    {
        Special.SharedWith or Special.SharedAgainst => SharedUm,
        Special.SharedStations => StationSigma(cell) * WorstZone(cell),
        _ => 0,
    };

    /// <summary>What every pass of a trial reads but for its noise.</summary>
    private static double[] Shared(Cell cell, Workpiece part, double common, SeededSource source)
    {
        var truth = part.Truth;
        switch (cell.Special)
        {
            case Special.SharedWith or Special.SharedAgainst:
                var sign = cell.Special == Special.SharedWith ? 1 : -1;
                // A level's zero drifts through the run from one end to the other: of two rails a run each; of heights the register names the largest form that is faked.
                return cell.Data == Data.Independent
                    ? [.. truth.Zip(part.Exact(part.Shape), (t, s) => t + (sign * common * s))]
                    : [.. truth.Select((t, i) => t + (sign * common * (cell.Part == Part.Bed ? Drift(i, truth.Length) : Drift(i % (truth.Length / 2), truth.Length / 2))))];
            case Special.SharedStations:
                var sigma = StationSigma(cell);
                return [.. truth.Select(t => t + (sigma * source.NextNormal()))];
            default:
                return truth;
        }
    }

    private static double Drift(int step, int steps) => (2.0 * step / (steps - 1)) - 1;

    private static double StationSigma(Cell cell) => cell.Noise / Math.Sqrt(3);

    private static double[] Rounded(Workpiece part, double[] readings) => part.Digit is { } digit ? [.. readings.Select(r => digit * Math.Round(r / digit))] : readings;

    /// <summary>97.5 % quantile of the zone of independent errors of the stations, of standard deviation 1; on two rails of the larger of both.</summary>
    private static double WorstZone(Cell cell)
    {
        var (x, y) = Layout(cell);
        var reference = cell.Reference == FlatnessEvaluator.MinimumZone ? PlaneReference.MinimumZone : PlaneReference.LeastSquares;
        // Each rail with half of what is left: both together keep 97.5 %.
        return cell.Part == Part.Bed ? PlaneReach.NoiseQuantile(x, y, reference, 0.975) : LineReach.NoiseQuantile(x, reference, 0.9875);
    }

    private static (double[] X, double[] Y) Layout(Cell cell)
    {
        var stations = new Workpiece(cell).Stations;
        return cell.Part == Part.Bed
            ? ([.. stations.Select(s => s.XMm)], [.. stations.Select(s => s.YMm)])
            : ([.. stations.Where(s => s.YMm == 0).Select(s => s.XMm)], []);
    }
}
