using System.Globalization;
using System.Runtime.InteropServices;
using BuildTrack.Metrology.Chance;

namespace BuildTrack.Metrology.Uncertainty;

/// <summary>What the trials of a model gave.</summary>
/// <param name="Mean">Mean of the values, unit of the result.</param>
/// <param name="StandardUncertainty">Their standard deviation, unit of the result.</param>
/// <param name="SymmetricLow">Lower end of the interval that leaves as many values below as above, unit of the result.</param>
/// <param name="SymmetricHigh">Its upper end, unit of the result.</param>
/// <param name="ShortestLow">Lower end of the shortest interval that holds as many values, unit of the result.</param>
/// <param name="ShortestHigh">Its upper end, unit of the result.</param>
/// <param name="CoverageProbability">What either interval covers, dimensionless.</param>
/// <param name="Trials">How many trials.</param>
/// <param name="NumericalTolerance">δ of the digits asked for, unit of the result; null where a number of trials was asked for.</param>
/// <param name="Stabilised">Whether mean, u and both ends of the symmetric interval repeat within δ; null where a number of trials was asked for.</param>
public sealed record MonteCarloResult(
    double Mean,
    double StandardUncertainty,
    double SymmetricLow,
    double SymmetricHigh,
    double ShortestLow,
    double ShortestHigh,
    double CoverageProbability,
    int Trials,
    double? NumericalTolerance,
    bool? Stabilised);

/// <summary>Propagation of distributions by the Monte Carlo method of JCGM 101:2008.</summary>
/// <remarks>Same seed, same model, same answer on every machine. Method, accuracy and limits: docs/method/uncertainty.md.</remarks>
public static class MonteCarlo
{
    /// <summary>Most trials in all, a count, dimensionless: their values take 80 MB, more while the list grows.</summary>
    public const int MostTrials = 10_000_000;

    /// <summary>Fewest trials of a run, a count, dimensionless.</summary>
    public const int FewestTrials = 10_000;

    private const double SmallestProbability = 0.5;

    private const double LargestProbability = 0.9999;

    /// <summary>A given number of trials.</summary>
    /// <param name="model">Draws its inputs (see <see cref="InputDraw"/>) and returns the result; any unit.</param>
    /// <param name="trials">10 000 to 10 000 000.</param>
    /// <param name="seed">Any number.</param>
    /// <param name="coverageProbability">0.5 to 0.9999, dimensionless.</param>
    /// <exception cref="ArgumentException">The model returned NaN or infinity; the trial is named.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number of trials or a probability out of range.</exception>
    public static MonteCarloResult OfTrials(Func<SeededSource, double> model, int trials, ulong seed, double coverageProbability = 0.95)
    {
        ArgumentNullException.ThrowIfNull(model);
        CheckTrials(trials, nameof(trials));
        CheckProbability(coverageProbability);
        var values = new double[trials];
        Draw(model, new SeededSource(seed), values, 0);
        return Of(values, coverageProbability, null, null);
    }

    /// <summary>As many trials as the digits asked for need: sequences of trials until their results repeat (JCGM 101:2008, 7.9.4).</summary>
    /// <param name="model">Draws its inputs (see <see cref="InputDraw"/>) and returns the result; any unit.</param>
    /// <param name="digits">1 or 2 significant digits of u that shall be right.</param>
    /// <param name="seed">Any number.</param>
    /// <param name="coverageProbability">0.5 to 0.9999, dimensionless.</param>
    /// <param name="mostTrials">10 000 to 10 000 000 in all; where they do not suffice, the result says so. Room for two sequences is needed.</param>
    /// <exception cref="ArgumentException">The model returned NaN or infinity; the trial is named.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Digits, trials or probability out of range.</exception>
    public static MonteCarloResult Adaptive(
        Func<SeededSource, double> model, int digits, ulong seed, double coverageProbability = 0.95, int mostTrials = MostTrials)
    {
        ArgumentNullException.ThrowIfNull(model);
        if (digits is not (1 or 2))
            Guard.ThrowOutOfRange(digits, nameof(digits), "1 or 2");
        CheckTrials(mostTrials, nameof(mostTrials));
        CheckProbability(coverageProbability);
        var length = SequenceLength(coverageProbability);
        if (mostTrials < 2 * length)
            Guard.ThrowOutOfRange(mostTrials, nameof(mostTrials),
                string.Create(CultureInfo.InvariantCulture, $"at least {2 * length}, two sequences of trials for this probability"));

        var source = new SeededSource(seed);
        var values = new List<double>();
        var (means, spreads, lows, highs) = (new List<double>(), new List<double>(), new List<double>(), new List<double>());
        var sequence = new double[length];
        var moments = default(Moments);
        while (true)
        {
            Draw(model, source, sequence, values.Count);
            values.AddRange(sequence);
            foreach (var value in sequence)
                moments.Add(value);
            var part = Of(sequence, coverageProbability, null, null);
            means.Add(part.Mean);
            spreads.Add(part.StandardUncertainty);
            lows.Add(part.SymmetricLow);
            highs.Add(part.SymmetricHigh);
            if (means.Count == 1)
                continue;
            var tolerance = Tolerance(moments.StandardDeviation, digits);
            var stable = new[] { means, spreads, lows, highs }.All(s => 2 * OfAverage(s) <= tolerance);
            if (stable || values.Count > mostTrials - length)
                return Of(CollectionsMarshal.AsSpan(values), coverageProbability, tolerance, stable);
        }
    }

    /// <summary>δ = ½ 10^l, where u is c 10^l with a whole number c of as many digits (JCGM 101:2008, 7.9.2).</summary>
    internal static double Tolerance(double standardUncertainty, int digits)
    {
        if (standardUncertainty == 0)
            return 0;
        var written = standardUncertainty.ToString(digits == 1 ? "E0" : "E1", CultureInfo.InvariantCulture);
        var exponent = int.Parse(written[(written.IndexOf('E', StringComparison.Ordinal) + 1)..], NumberStyles.AllowLeadingSign,
            CultureInfo.InvariantCulture) - (digits - 1);
        return double.Parse(string.Create(CultureInfo.InvariantCulture, $"0.5E{exponent}"), NumberStyles.Float, CultureInfo.InvariantCulture);
    }

    /// <summary>Largest of 10 000 and the whole number not below 100/(1 − p): a hundred values outside the interval.</summary>
    private static int SequenceLength(double probability) => Math.Max(FewestTrials, (int)Math.Ceiling(Math.Round(100 / (1 - probability), 6)));

    private static void Draw(Func<SeededSource, double> model, SeededSource source, double[] values, int before)
    {
        for (var i = 0; i < values.Length; i++)
        {
            var value = model(source);
            if (!double.IsFinite(value))
                Guard.Finite(value, string.Create(CultureInfo.InvariantCulture, $"value of the model in trial {before + i + 1}"));
            values[i] = value;
        }
    }

    /// <summary>Sorts the values in place and reads mean, u and intervals from them (JCGM 101:2008, 7.6 and 7.7).</summary>
    private static MonteCarloResult Of(Span<double> values, double probability, double? tolerance, bool? stabilised)
    {
        var moments = default(Moments);
        foreach (var value in values)
            moments.Add(value);
        values.Sort();
        int count = values.Length, inside = Math.Min(count - 1, (int)Math.Floor((probability * count) + 0.5));
        var first = (count - inside + 1) / 2;
        var shortest = 0;
        for (var i = 1; i < count - inside; i++)
        {
            if (values[i + inside] - values[i] < values[shortest + inside] - values[shortest])
                shortest = i;
        }

        return new MonteCarloResult(
            Guard.Finite(moments.Mean, "mean of the trials"), Guard.Finite(moments.StandardDeviation, "standard uncertainty of the trials"),
            values[first - 1], values[first - 1 + inside],
            values[shortest], values[shortest + inside], probability, count, tolerance, stabilised);
    }

    /// <summary>Standard deviation of the average of some values.</summary>
    private static double OfAverage(List<double> values)
    {
        var moments = default(Moments);
        foreach (var value in values)
            moments.Add(value);
        return moments.StandardDeviation / Math.Sqrt(values.Count);
    }

    private static void CheckTrials(int trials, string name)
    {
        if (trials is < FewestTrials or > MostTrials)
            Guard.ThrowOutOfRange(trials, name, "from 10 000 to 10 000 000");
    }

    private static void CheckProbability(double probability)
    {
        if (Guard.Finite(probability, "coverage probability") is < SmallestProbability or > LargestProbability)
            Guard.ThrowOutOfRange(probability, "coverage probability", "from 0.5 to 0.9999");
    }

    /// <summary>Mean and squares about it, value by value (B. Welford, 1962): no digits are lost to a large mean.</summary>
    private struct Moments
    {
        private int _count;
        private double _squares;

        public double Mean { get; private set; }

        public readonly double StandardDeviation => _count < 2 ? 0 : Math.Sqrt(_squares / (_count - 1));

        public void Add(double value)
        {
            _count++;
            var step = value - Mean;
            Mean += step / _count;
            _squares += step * (value - Mean);
        }
    }
}
