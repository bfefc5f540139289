using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Corrections;

/// <summary>Where the heights over the feet are counted from.</summary>
public enum HeightDatum
{
    /// <summary>From a bench mark off the bed: heights are known as such.</summary>
    OffTheBed,

    /// <summary>From a place on the bed, as a level network does it: only differences are known, and that place moves with the feet.</summary>
    OnTheBed,
}

/// <summary>A round that was done on this bed.</summary>
/// <param name="HeightsBeforeUm">Heights over the feet before it, µm, in the order of the feet.</param>
/// <param name="MovesUm">Moves made, µm.</param>
public sealed record FootRound(ImmutableArray<double> HeightsBeforeUm, ImmutableArray<double> MovesUm);

/// <summary>How far a move of one foot moves the bed over each foot, and how sure that is.</summary>
/// <param name="Influences">Row by row: change over foot i for a move of foot j, at index i · feet + j; dimensionless.</param>
/// <param name="Sigmas">Standard uncertainty of each, in the same order; dimensionless.</param>
/// <param name="Covariance">Covariance of the influences of one row among each other, the same for every row, as far as heights show it; dimensionless.</param>
/// <param name="PriorSigma">Standard uncertainty of each influence before any round, dimensionless.</param>
/// <param name="Feet">Number of feet.</param>
/// <param name="Rounds">Rounds it was learned from.</param>
/// <param name="Datum">Where heights are counted from.</param>
public sealed record FootInfluenceEstimate(
    ImmutableArray<double> Influences, ImmutableArray<double> Sigmas, ImmutableArray<double> Covariance, double PriorSigma, int Feet, int Rounds,
    HeightDatum Datum)
{
    /// <summary>Change over one foot for a move of another, dimensionless.</summary>
    /// <param name="over">Index of the foot over which the height changes.</param>
    /// <param name="moved">Index of the foot that is moved.</param>
    public double Of(int over, int moved) => Influences[(over * Feet) + moved];
}

/// <summary>Learns from earlier rounds how feet move their neighbours, and solves the next round with it.</summary>
/// <remarks>
/// <para>Model, formulas, limits: docs/method/corrections.md. Every influence is normal with its own mean and the same spread before the first round; rows stay
/// independent, so the update has a closed form. Errors of surveys that two rounds share are counted once.</para>
/// <para>The next moves have the smallest expected sum of squared deviations, so what is not sure is moved less; within raise-only and travel.</para>
/// </remarks>
public static class FootInfluence
{
    /// <summary>Share of a move that the next foot on the same side goes along, before anything was learned; dimensionless.</summary>
    public const double UsualNeighbour = 0.45;

    /// <summary>Standard uncertainty of every influence before anything was learned, dimensionless.</summary>
    public const double UsualSigma = 0.15;

    /// <summary>What is thought before the first round: 1 for the foot itself (the move is read beside it), the neighbour's share for the next foot on the
    /// same side, else 0.</summary>
    /// <param name="feet">Feet; sides run along X.</param>
    /// <param name="neighbour">Share of the next foot, dimensionless.</param>
    /// <param name="sigma">Standard uncertainty of every influence, dimensionless, above zero.</param>
    /// <param name="datum">Where heights are counted from.</param>
    /// <exception cref="ArgumentException">NaN or infinite; feet that cannot be used.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A share beyond ±1, a spread not above zero or above 1.</exception>
    public static FootInfluenceEstimate Prior(
        IReadOnlyList<FootPlace> feet, double neighbour = UsualNeighbour, double sigma = UsualSigma, HeightDatum datum = HeightDatum.OffTheBed)
    {
        FootMoves.Check(feet, new FootRules(), 1);
        if (Math.Abs(Guard.Finite(neighbour, nameof(neighbour))) > 1)
            Guard.ThrowOutOfRange(neighbour, nameof(neighbour), "within ±1");
        if (Guard.FinitePositive(sigma, nameof(sigma)) is > 1 or < 1e-3)
            Guard.ThrowOutOfRange(sigma, nameof(sigma), "from 0.001 to 1");
        var count = feet.Count;
        double[] influences = new double[count * count], covariance = new double[count * count], sigmas = new double[count * count];
        for (var i = 0; i < count; i++)
        {
            influences[(i * count) + i] = 1;
            covariance[(i * count) + i] = sigma * sigma;
            foreach (var j in Neighbours(feet, i))
                influences[(j * count) + i] = neighbour;
        }

        Array.Fill(sigmas, sigma);
        return new FootInfluenceEstimate([.. influences], [.. sigmas], [.. covariance], sigma, count, 0, datum);
    }

    /// <summary>What is thought after rounds that were done.</summary>
    /// <param name="prior">What was thought before the first of them.</param>
    /// <param name="rounds">Rounds one after the other, each with the survey before it.</param>
    /// <param name="heightsNowUm">Heights after the last one, µm.</param>
    /// <param name="sigmaUm">Standard uncertainty of one height of a survey, µm, above zero.</param>
    /// <exception cref="ArgumentException">NaN or infinite, a series of another length, a prior that was learned from rounds.</exception>
    /// <exception cref="ArgumentOutOfRangeException">More than 20 rounds, a number out of range.</exception>
    public static FootInfluenceEstimate Learn(FootInfluenceEstimate prior, IReadOnlyList<FootRound> rounds, IReadOnlyList<double> heightsNowUm, double sigmaUm)
    {
        ArgumentNullException.ThrowIfNull(prior);
        ArgumentNullException.ThrowIfNull(rounds);
        ArgumentNullException.ThrowIfNull(heightsNowUm);
        if (prior.Rounds != 0)
            throw new ArgumentException("Start from what was thought before the first round, and give all rounds.", nameof(prior));
        Check(rounds, heightsNowUm, prior.Feet);
        if (FootMoves.Within(Guard.FinitePositive(sigmaUm, nameof(sigmaUm)), nameof(sigmaUm)) < 1e-3)
            Guard.ThrowOutOfRange(sigmaUm, nameof(sigmaUm), "0.001 µm or more");
        int count = prior.Feet, known = rounds.Count;
        double variance = prior.PriorSigma * prior.PriorSigma;

        // Of each row: changes = moves · influences + error, errors of following rounds share a survey. Gain = C M (M'C M + S)⁻¹ with C = variance · 1.
        var surveys = rounds.Select(r => r.HeightsBeforeUm.ToArray()).Append([.. heightsNowUm]).ToArray();
        var system = new double[known, known + count];
        for (var a = 0; a < known; a++)
        {
            for (var b = 0; b < known; b++)
            {
                system[a, b] = (a == b ? 2 : Math.Abs(a - b) == 1 ? -1 : 0) * sigmaUm * sigmaUm;
                for (var j = 0; j < count; j++)
                    system[a, b] += variance * rounds[a].MovesUm[j] * rounds[b].MovesUm[j];
            }

            for (var j = 0; j < count; j++)
                system[a, known + j] = variance * rounds[a].MovesUm[j];
        }

        var gain = Solved(system, known, count);
        double[] influences = [.. prior.Influences], covariance = [.. prior.Covariance];
        for (var a = 0; a < known; a++)
        {
            double[] miss = [.. Enumerable.Range(0, count).Select(i => surveys[a + 1][i] - surveys[a][i] - Change(prior, i, rounds[a].MovesUm))];

            // A datum on the bed hides what all feet share.
            var shared = prior.Datum == HeightDatum.OnTheBed ? miss.Average() : 0;
            for (var i = 0; i < count; i++)
            {
                for (var j = 0; j < count; j++)
                {
                    influences[(i * count) + j] += gain[a, j] * (miss[i] - shared);
                    covariance[(i * count) + j] -= gain[a, i] * variance * rounds[a].MovesUm[j];
                }
            }
        }

        var seen = Seen(prior);
        double[] sigmas = [.. Enumerable.Range(0, count * count)
            .Select(k => Math.Sqrt((seen * Math.Max(0, covariance[k % count * (count + 1)])) + ((1 - seen) * variance)))];
        return prior with { Influences = [.. influences], Sigmas = [.. sigmas], Covariance = [.. covariance], Rounds = known };
    }

    /// <summary>Plans the next round with what is thought of the influences.</summary>
    /// <param name="feet">Feet with the heights now.</param>
    /// <param name="influence">What is thought.</param>
    /// <param name="sigmaUm">Standard uncertainty of one height, µm, zero or more.</param>
    /// <param name="goal">Raise only, or raise and lower.</param>
    /// <param name="reference">What heights are compared with.</param>
    /// <param name="rules">Null: 0.02 mm, 0.04 mm, three rounds.</param>
    /// <param name="round">Number of the round, from 1.</param>
    /// <exception cref="ArgumentException">As for <see cref="FootMoves.Of"/>; an estimate for another number of feet.</exception>
    /// <exception cref="ArgumentOutOfRangeException">As for <see cref="FootMoves.Of"/>.</exception>
    public static FootMovesResult Plan(
        IReadOnlyList<FootPlace> feet, FootInfluenceEstimate influence, double sigmaUm, FootGoal goal = FootGoal.RaiseToHighest,
        FootReference reference = FootReference.Level, FootRules? rules = null, int round = 1)
    {
        ArgumentNullException.ThrowIfNull(influence);
        rules ??= new FootRules();
        FootMoves.Check(feet, rules, round);
        FootMoves.Within(Guard.FiniteNotNegative(sigmaUm, nameof(sigmaUm)), nameof(sigmaUm));
        if (influence.Feet != feet.Count)
            throw new ArgumentException(string.Create(CultureInfo.InvariantCulture, $"The influences are of {influence.Feet} feet; there are {feet.Count}."),
                nameof(influence));
        if (FootMoves.Refused(feet, goal, reference, rules, round) is { } refused)
            return refused;
        var (wanted, moves) = new FootSolution(feet, influence, goal, reference).Moves(rules.SmallestMoveUm);
        double[] predicted = [.. feet.Select((f, i) => f.HeightUm + Change(influence, i, moves))];
        var spread = FootSolution.Quadratic(influence, moves);
        var seen = Seen(influence);
        double[] sigma = [.. feet.Select(_ => Math.Sqrt((influence.Datum == HeightDatum.OnTheBed ? seen : 1) * ((sigmaUm * sigmaUm) + spread)))];
        return FootMoves.Result(feet, goal, reference, rules, round, wanted, moves, predicted, sigma);
    }

    /// <summary>Change over a foot, µm, by the means of the influences.</summary>
    internal static double Change(FootInfluenceEstimate influence, int over, IReadOnlyList<double> movesUm)
    {
        var sum = 0.0;
        for (var j = 0; j < influence.Feet; j++)
            sum += influence.Of(over, j) * movesUm[j];
        return sum;
    }

    /// <summary>The next feet on the same side: rows run along X, and feet nearer across than a quarter of the width stand in one row.</summary>
    internal static IEnumerable<int> Neighbours(IReadOnlyList<FootPlace> feet, int foot)
    {
        var near = (feet.Max(f => f.YMm) - feet.Min(f => f.YMm)) / 4;
        int[] row = [.. Enumerable.Range(0, feet.Count).Where(i => i == foot || Math.Abs(feet[i].YMm - feet[foot].YMm) <= near).OrderBy(i => feet[i].XMm)
            .ThenBy(i => i)];
        var at = Array.IndexOf(row, foot);
        return new[] { at - 1, at + 1 }.Where(k => k >= 0 && k < row.Length).Select(k => row[k]);
    }

    /// <summary>Part of a row's variance that surveys can see.</summary>
    private static double Seen(FootInfluenceEstimate influence) => influence.Datum == HeightDatum.OnTheBed ? 1 - (1.0 / influence.Feet) : 1;

    private static double[,] Solved(double[,] system, int known, int count)
    {
        var gain = new double[known, count];
        var one = new double[known, known + 1];
        for (var j = 0; j < count; j++)
        {
            for (var a = 0; a < known; a++)
            {
                for (var b = 0; b < known; b++)
                    one[a, b] = system[a, b];
                one[a, known] = system[a, known + j];
            }

            var column = LeastVertex.Gauss(one);
            for (var a = 0; a < known; a++)
                gain[a, j] = column[a];
        }

        return gain;
    }

    private static void Check(IReadOnlyList<FootRound> rounds, IReadOnlyList<double> heightsNow, int count)
    {
        if (rounds.Count is < 1 or > 20)
            Guard.ThrowOutOfRange(rounds.Count, nameof(rounds), "from 1 to 20");
        Series(heightsNow, "heightsNowUm");
        for (var a = 0; a < rounds.Count; a++)
        {
            Series(rounds[a].HeightsBeforeUm, string.Create(CultureInfo.InvariantCulture, $"rounds[{a}].HeightsBeforeUm"));
            Series(rounds[a].MovesUm, string.Create(CultureInfo.InvariantCulture, $"rounds[{a}].MovesUm"));
        }

        void Series(IReadOnlyList<double> values, string name)
        {
            Guard.SameLength(values.Count, name, count, "feet");
            foreach (var value in values)
                FootMoves.Within(value, name);
        }
    }
}
