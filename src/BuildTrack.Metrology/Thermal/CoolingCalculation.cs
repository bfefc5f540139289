using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Thermal;

/// <summary>Time constant of a cooling part from rounds of thermometers, and the time until it may be measured.</summary>
public static class CoolingCalculation
{
    /// <summary>Longest time that is taken, minutes (unit min): ten years.</summary>
    public const double LongestMin = 5.3e6;

    /// <summary>Rule of the shop for a wall cooled on one side at about 10 W/m²K: hours for each 10 mm (unit h per 10 mm).</summary>
    public const double HoursPer10Mm = 1;

    /// <summary>Fewest rounds from which their own scatter says how uncertain the fit is.</summary>
    private const int ScatterRounds = 4;

    /// <summary>Air that drifts faster than this makes the fit a rough one, K per hour.</summary>
    private const double SteadyKPerHour = 1;

    private const double MinutesPerHour = 60;

    /// <summary>Fits ΔT = ΔT₀ e^(−t/τ).</summary>
    /// <remarks>Method and limits: docs/method/thermal.md. A straight line through the logarithms, each weighted with the square of its difference, so that
    /// every thermometer counts alike. Closed form; logarithms only.</remarks>
    /// <param name="rounds">In the order of time.</param>
    /// <param name="limit">Difference that is small enough, above zero.</param>
    /// <param name="readingUncertaintyK">Standard uncertainty of one difference, K; null: taken from the scatter of four rounds or more.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A limit or uncertainty not above zero, a temperature outside −50 … 250 °C, a time beyond <see cref="LongestMin"/>.</exception>
    public static CoolingResult Of(IReadOnlyList<CoolingRound> rounds, TemperatureDifference limit, double? readingUncertaintyK = null)
    {
        ArgumentNullException.ThrowIfNull(rounds);
        Guard.FinitePositive(limit.Kelvins, nameof(limit));
        if (readingUncertaintyK is { } u)
            Guard.FinitePositive(u, nameof(readingUncertaintyK));
        for (var i = 0; i < rounds.Count; i++)
        {
            var place = string.Create(CultureInfo.InvariantCulture, $"rounds[{i}]");
            if (Math.Abs(Guard.Finite(rounds[i].TimeMin, place + ".TimeMin")) > LongestMin)
                Guard.ThrowOutOfRange(rounds[i].TimeMin, place + ".TimeMin", "within ten years");
            ThermalShape.OfPart(rounds[i].Warm, place + ".Warm");
            ThermalShape.OfPart(rounds[i].Cool, place + ".Cool");
        }

        if (rounds.Count < 2)
            return Without(rounds, CoolingDefect.TooFewRounds, $"Cooling needs two rounds of temperatures or more; there {(rounds.Count == 1 ? "is 1" : "are none")}.");
        for (var i = 1; i < rounds.Count; i++)
        {
            if (rounds[i].TimeMin <= rounds[i - 1].TimeMin)
                return Without(rounds, CoolingDefect.TimesNotRising, $"The round at {Text(rounds[i].TimeMin)} min is not later than the one before, at {Text(rounds[i - 1].TimeMin)} min.");
        }

        double[] excess = [.. rounds.Select(r => (r.Warm - r.Cool).Kelvins)];
        var gone = Array.FindIndex(excess, e => e == 0 || Math.Sign(e) != Math.Sign(excess[0]));
        if (gone >= 0)
        {
            return Without(rounds, CoolingDefect.ExcessGone,
                $"At {Text(rounds[gone].TimeMin)} min the difference is {Text(Math.Round(excess[gone], 6))} K{(gone == 0 ? "" : $" after {Text(Math.Round(excess[0], 6))} K at the beginning")}: nothing is left that falls. Leave such rounds out.");
        }

        var fit = new Line([.. rounds.Select(r => r.TimeMin)], [.. excess.Select(e => Math.Log(Math.Abs(e)))], [.. excess.Select(e => e * e)]);
        return fit.Slope >= 0
            ? Without(rounds, CoolingDefect.NotCooling, $"The difference does not fall: {Text(Math.Round(excess[0], 6))} K at {Text(rounds[0].TimeMin)} min, {Text(Math.Round(excess[^1], 6))} K at {Text(rounds[^1].TimeMin)} min.")
            : new CoolingResult(rounds.Count, Figures(rounds, excess, fit, limit.Kelvins, readingUncertaintyK), CoolingDefect.None, null);
    }

    /// <summary>Time until a difference is down to a smaller one: τ ln(from/to).</summary>
    /// <param name="from">Difference now, above zero.</param>
    /// <param name="to">Difference that is small enough, above zero.</param>
    /// <param name="timeConstantHours">Time constant, hours (unit h).</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number not above zero.</exception>
    public static CoolingWait Wait(TemperatureDifference from, TemperatureDifference to, double timeConstantHours)
    {
        Guard.FinitePositive(from.Kelvins, nameof(from));
        Guard.FinitePositive(to.Kelvins, nameof(to));
        Guard.FinitePositive(timeConstantHours, nameof(timeConstantHours));
        var constants = Math.Max(0, Math.Log(from.Kelvins / to.Kelvins));
        return new CoolingWait(constants, timeConstantHours, Guard.Finite(constants * timeConstantHours, "wait"));
    }

    /// <summary>Time constant of a wall by its thickness, hours (unit h): thickness × <see cref="HoursPer10Mm"/>.</summary>
    /// <param name="thicknessMm">Thickness cooled from one side, mm; a wall cooled from both sides counts half.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Not above zero, or above 10⁶ mm.</exception>
    public static double OfWallHours(double thicknessMm)
    {
        if (Guard.FinitePositive(thicknessMm, nameof(thicknessMm)) > ThermalShape.LargestMm)
            Guard.ThrowOutOfRange(thicknessMm, nameof(thicknessMm), "at most 10⁶");
        return thicknessMm / 10 * HoursPer10Mm;
    }

    private static CoolingFigures Figures(IReadOnlyList<CoolingRound> rounds, double[] excess, Line fit, double limit, double? given)
    {
        var last = rounds[^1].TimeMin;
        var constant = -1 / fit.Slope;
        var squares = fit.WeightedSquares;
        var sigma = given ?? (rounds.Count >= ScatterRounds ? Math.Sqrt(squares / (rounds.Count - 2)) : null);

        // The fitted logarithm at the last round less that of the limit, in time constants.
        var wait = Math.Max(0, (fit.At(last) - Math.Log(limit)) * constant);
        var ready = last + wait;
        double? constantU = sigma is { } s ? s / Math.Sqrt(fit.Spread) * constant * constant : null;
        double? waitU = sigma is not { } one ? null
            : wait == 0 ? 0
            : one * constant * Math.Sqrt((1 / fit.Weight) + ((ready - fit.MeanTime) * (ready - fit.MeanTime) / fit.Spread));

        // The last difference itself carries the noise of one round; the fit has less.
        var now = excess[^1] * Exponential(fit.At(last) - Math.Log(Math.Abs(excess[^1])));
        return new CoolingFigures(
            constant, constantU, now, Math.Abs(now) / constant * MinutesPerHour, wait, waitU, ready, Math.Sqrt(squares / rounds.Count), Remarks(rounds, excess));
    }

    private static ImmutableArray<string> Remarks(IReadOnlyList<CoolingRound> rounds, double[] excess)
    {
        var remarks = ImmutableArray.CreateBuilder<string>();
        if (rounds.Count == 2)
            remarks.Add("Two rounds fix the time constant and leave nothing that checks it.");
        var drift = (rounds[^1].Cool - rounds[0].Cool).Kelvins / (rounds[^1].TimeMin - rounds[0].TimeMin) * MinutesPerHour;
        if (Math.Abs(drift) > SteadyKPerHour)
            remarks.Add(string.Create(CultureInfo.InvariantCulture, $"The cooler temperature itself moved by {drift:F1} K per hour; the fit takes it as steady."));
        if (Math.Abs(excess[^1]) > 0.8 * Math.Abs(excess[0]))
            remarks.Add("The difference has fallen by less than a fifth; the time constant is a first guess. Read one more round.");
        return remarks.ToImmutable();
    }

    /// <summary>e^x by the four operations, the same bits on every machine: a series for a 64th of x, then six squarings.</summary>
    private static double Exponential(double x)
    {
        double part = x / 64, sum = 1, term = 1;
        for (var n = 1; n < 25; n++)
        {
            term *= part / n;
            sum += term;
        }

        for (var doubling = 0; doubling < 6; doubling++)
            sum *= sum;
        return sum;
    }

    private static string Text(double number) => number.ToString("R", CultureInfo.InvariantCulture);

    private static CoolingResult Without(IReadOnlyList<CoolingRound> rounds, CoolingDefect defect, string sentence) => new(rounds.Count, null, defect, sentence);

    /// <summary>Weighted straight line of logarithms over time.</summary>
    private sealed class Line
    {
        private readonly double _mean;

        public Line(double[] times, double[] logs, double[] weights)
        {
            double weight = 0, sumT = 0, sumL = 0, tt = 0, tl = 0;
            for (var i = 0; i < times.Length; i++)
                (weight, sumT, sumL) = (weight + weights[i], sumT + (weights[i] * (times[i] - times[0])), sumL + (weights[i] * (logs[i] - logs[0])));
            (Weight, MeanTime, _mean) = (weight, times[0] + (sumT / weight), logs[0] + (sumL / weight));
            for (var i = 0; i < times.Length; i++)
            {
                var t = times[i] - MeanTime;
                (tt, tl) = (tt + (weights[i] * t * t), tl + (weights[i] * t * (logs[i] - _mean)));
            }

            (Spread, Slope) = (tt, tl / tt);
            for (var i = 0; i < times.Length; i++)
            {
                var rest = logs[i] - At(times[i]);
                WeightedSquares += weights[i] * rest * rest;
            }
        }

        public double Weight { get; }

        public double MeanTime { get; }

        public double Spread { get; }

        public double Slope { get; }

        public double WeightedSquares { get; }

        public double At(double time) => _mean + (Slope * (time - MeanTime));
    }
}
