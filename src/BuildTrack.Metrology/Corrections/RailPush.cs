using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Metrology.Corrections;

/// <summary>Why a rail is not pushed, or not by pushing alone.</summary>
public enum RailPushRefusal
{
    /// <summary>Pushing brings it within half of the limit.</summary>
    None,

    /// <summary>The stations have no straightness, or are too few for the polynomial.</summary>
    NoLine,

    /// <summary>It is within half of the limit already.</summary>
    NothingToPush,

    /// <summary>What the polynomial leaves is more than half of the limit.</summary>
    TooMuchLeft,

    /// <summary>What it leaves is wavy within a short stretch: re-seat or replace the rail.</summary>
    Wavy,
}

/// <summary>What is pushed at one station.</summary>
/// <param name="PositionMm">Position along the rail, mm.</param>
/// <param name="DeviationUm">Deviation from the chosen line now, µm.</param>
/// <param name="PushUm">Push, µm; positive in the positive direction of the deviation.</param>
/// <param name="PredictedUm">Deviation from the same line afterwards, µm.</param>
public sealed record RailPushStation(double PositionMm, double DeviationUm, double PushUm, double PredictedUm);

/// <summary>Pushes along one rail seat.</summary>
/// <param name="Reference">The line deviations are counted from.</param>
/// <param name="Degree">Degree of the polynomial.</param>
/// <param name="Stations">In the order given.</param>
/// <param name="Order">Indices of the stations in the order of work: from the middle outward, each after the other side.</param>
/// <param name="BeforeUm">Straightness about that line now, µm.</param>
/// <param name="AfterUm">The same as predicted, µm.</param>
/// <param name="MinimumZoneAfterUm">Minimum zone as predicted, along the deviation, µm.</param>
/// <param name="WaveAfterUm">Largest minimum-zone straightness of a stretch of 500 mm as predicted, µm; null where stations are too far apart.</param>
/// <param name="LimitUm">Limit of the straightness, µm.</param>
/// <param name="Refusal">Why it is not pushed.</param>
/// <param name="RefusalSentence">The same in words with numbers; null without a refusal.</param>
public sealed record RailPushResult(
    LineReference Reference, int Degree, ImmutableArray<RailPushStation> Stations, ImmutableArray<int> Order, double BeforeUm, double AfterUm,
    double MinimumZoneAfterUm, double? WaveAfterUm, double LimitUm, RailPushRefusal Refusal, string? RefusalSentence);

/// <summary>Pushes at the push screws of a bowed rail seat: a polynomial through the deviations is taken out at the stations.</summary>
/// <remarks>Rules and limits: docs/method/corrections.md. A rail follows its screws as a smooth curve: what is shorter than that stays.</remarks>
public static class RailPush
{
    /// <summary>Degree of the polynomial where nothing else is said: a bow.</summary>
    public const int UsualDegree = 2;

    /// <summary>Highest degree that is taken.</summary>
    public const int HighestDegree = 6;

    /// <summary>Part of the limit at which pushing stops, dimensionless.</summary>
    public const double StopShare = 0.5;

    /// <summary>Length of a stretch that is looked at for waves, mm.</summary>
    public const double WaveWindowMm = 500;

    /// <summary>A rail that keeps more than this within such a stretch is wavy (±0.01 mm), µm.</summary>
    public const double WaveUm = 20;

    /// <summary>Calculates.</summary>
    /// <param name="positionsMm">Positions of the push screws, mm; any order.</param>
    /// <param name="deviationsUm">Height or sideways position of the seat at each, µm.</param>
    /// <param name="limitUm">Limit of the straightness, µm, above zero.</param>
    /// <param name="reference">The line deviations are counted from.</param>
    /// <param name="degree">Degree of the polynomial, 1 to 6.</param>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A limit not above zero, a degree or reference that is none, a number out of range.</exception>
    public static RailPushResult Of(
        ReadOnlySpan<double> positionsMm, ReadOnlySpan<double> deviationsUm, double limitUm, LineReference reference = LineReference.EndPoint,
        int degree = UsualDegree)
    {
        Guard.FinitePositive(limitUm, nameof(limitUm));
        if (degree is < 1 or > HighestDegree)
            Guard.ThrowOutOfRange(degree, nameof(degree), "from 1 to 6");
        double[] x = [.. positionsMm], z = [.. deviationsUm];
        var now = StraightnessCalculation.Of(x, z, WaveWindowMm, reference);
        if (now.Values is null)
            return Without(reference, degree, limitUm, now.DefectSentence!);
        if (x.Length < degree + 2)
        {
            return Without(reference, degree, limitUm, string.Create(CultureInfo.InvariantCulture,
                $"A polynomial of degree {degree} needs {degree + 2} stations or more; there are {x.Length}."));
        }

        var deviations = About(now.Values, reference, x, z);
        double[] fitted = PolynomialFit.Of(x, deviations, degree), after = [.. z.Select((v, i) => v - fitted[i])];
        var then = StraightnessCalculation.Of(x, after, WaveWindowMm, LineReference.MinimumZone).Values!;
        double before = Value(now.Values, reference), left = Value(then, reference);
        var wave = then.WorstLocal?.ValueUm;
        var (refusal, sentence) = Refusal(before, left, wave, limitUm, degree);
        return new RailPushResult(
            reference, degree, [.. x.Select((p, i) => new RailPushStation(p, deviations[i], -fitted[i], deviations[i] - fitted[i]))], Outward(x),
            before, left, then.MinimumZoneUm, wave, limitUm, refusal, sentence);
    }

    private static (RailPushRefusal, string?) Refusal(double before, double left, double? wave, double limit, int degree) =>
        before <= StopShare * limit
            ? (RailPushRefusal.NothingToPush,
                $"The seat is straight within {BedForm.Mm(before)}, not more than half of the limit of {BedForm.Mm(limit)}: leave it.")
        : wave > WaveUm
            ? (RailPushRefusal.Wavy,
                $"After the push {BedForm.Mm(wave.Value)} stay within 500 mm, more than {BedForm.Mm(WaveUm)}: re-seat or replace the rail.")
        : left > StopShare * limit
            ? (RailPushRefusal.TooMuchLeft,
                $"After a push of degree {degree.ToString(CultureInfo.InvariantCulture)} {BedForm.Mm(left)} are left, more than half of the limit of "
                + $"{BedForm.Mm(limit)}: re-torque, then measure again, or lay a shim line.")
        : (RailPushRefusal.None, null);

    private static double Value(StraightnessValues values, LineReference reference) => reference switch
    {
        LineReference.EndPoint => values.EndPointUm,
        LineReference.LeastSquares => values.LeastSquaresUm,
        _ => values.MinimumZoneUm,
    };

    private static double[] About(StraightnessValues values, LineReference reference, double[] x, double[] z)
    {
        if (reference != LineReference.MinimumZone)
            return [.. reference == LineReference.EndPoint ? values.EndPointDeviationsUm : values.LeastSquaresDeviationsUm];
        double[] rest = [.. x.Select((p, i) => z[i] - z[0] - (values.MinimumZoneSlopeUmPerM * (p - x[0]) / 1000))];
        var middle = (rest.Max() + rest.Min()) / 2;
        return [.. rest.Select(r => r - middle)];
    }

    /// <summary>The station nearest the middle first, then one on each side in turn.</summary>
    private static ImmutableArray<int> Outward(double[] x)
    {
        var middle = (x.Max() + x.Min()) / 2;
        return [.. Enumerable.Range(0, x.Length).OrderBy(i => Math.Round(Math.Abs(x[i] - middle), 6)).ThenBy(i => x[i])];
    }

    private static RailPushResult Without(LineReference reference, int degree, double limitUm, string sentence) =>
        new(reference, degree, [], [], 0, 0, 0, null, limitUm, RailPushRefusal.NoLine, sentence);
}
