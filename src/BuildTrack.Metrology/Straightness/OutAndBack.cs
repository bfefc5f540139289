using System.Collections.Immutable;

namespace BuildTrack.Metrology.Straightness;

/// <summary>Mean of a run out and a run back over the same stations, and how far the two differ.</summary>
/// <param name="MeanHeightsUm">Mean height of each station, µm, in the order of the input.</param>
/// <param name="DifferencesUm">Out minus back at each station, µm, in the order of the input.</param>
/// <param name="LargestUm">Largest of them without its sign, µm: the out/back difference overall.</param>
/// <param name="LargestAboutEndsUm">The same after the line through both ends is taken out of the differences, µm: what the straightness feels.</param>
/// <param name="LargestSlopeUmPerM">Largest difference of the two rises from one station to the next, µm/m: the out/back difference per station.</param>
public sealed record OutAndBackResult(
    ImmutableArray<double> MeanHeightsUm,
    ImmutableArray<double> DifferencesUm,
    double LargestUm,
    double LargestAboutEndsUm,
    double LargestSlopeUmPerM);

/// <summary>Runs out and back along one line.</summary>
/// <remarks>Method: docs/method/straightness.md.</remarks>
public static class OutAndBack
{
    /// <summary>Below this correlation of their rises, out and back run against each other; dimensionless.</summary>
    public const double SignFaultCorrelation = -0.5;

    /// <summary>So many standard uncertainties must the rises exceed before their sign can be judged; dimensionless.</summary>
    public const double SignFaultUncertainties = 3;

    /// <summary>Mean and differences.</summary>
    /// <param name="positionsMm">Stations in rising order, mm; two or more.</param>
    /// <param name="outHeightsUm">Heights of the run out, µm.</param>
    /// <param name="backHeightsUm">Heights of the run back, by station and not by time, µm.</param>
    /// <exception cref="ArgumentException">Series of different length, fewer than two stations, stations not rising, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number is beyond <see cref="LevelReadings.LargestNumber"/>.</exception>
    public static OutAndBackResult Of(ReadOnlySpan<double> positionsMm, ReadOnlySpan<double> outHeightsUm, ReadOnlySpan<double> backHeightsUm)
    {
        LevelReadings.Measurable(positionsMm, nameof(positionsMm));
        LevelReadings.Measurable(outHeightsUm, nameof(outHeightsUm));
        LevelReadings.Measurable(backHeightsUm, nameof(backHeightsUm));
        Guard.SameLength(outHeightsUm.Length, nameof(outHeightsUm), positionsMm.Length, nameof(positionsMm));
        Guard.SameLength(backHeightsUm.Length, nameof(backHeightsUm), positionsMm.Length, nameof(positionsMm));
        if (positionsMm.Length < 2)
            throw new ArgumentException("Out and back need two stations or more.", nameof(positionsMm));

        var count = positionsMm.Length;
        var mean = ImmutableArray.CreateBuilder<double>(count);
        var differences = ImmutableArray.CreateBuilder<double>(count);
        for (var i = 0; i < count; i++)
        {
            mean.Add((outHeightsUm[i] + backHeightsUm[i]) / 2);
            differences.Add(outHeightsUm[i] - backHeightsUm[i]);
        }

        double largest = 0, aboutEnds = 0, largestSlope = 0;
        var chord = (differences[^1] - differences[0]) / (positionsMm[^1] - positionsMm[0]);
        for (var i = 0; i < count; i++)
        {
            largest = Math.Max(largest, Math.Abs(differences[i]));
            if (i == 0)
                continue;
            var step = positionsMm[i] - positionsMm[i - 1];
            if (step <= 0)
                throw new ArgumentException("The stations must rise from one to the next.", nameof(positionsMm));
            largestSlope = Math.Max(largestSlope, Math.Abs(differences[i] - differences[i - 1]) / step * 1000);
            if (i < count - 1)
                aboutEnds = Math.Max(aboutEnds, Math.Abs(differences[i] - differences[0] - (chord * (positionsMm[i] - positionsMm[0]))));
        }

        return new OutAndBackResult(mean.MoveToImmutable(), differences.MoveToImmutable(), largest, aboutEnds, Guard.Finite(largestSlope, nameof(positionsMm)));
    }

    /// <summary>Whether out and back nearly cancel, so that one of them was probably stored with the wrong sign.</summary>
    /// <remarks>True where the correlation of the rises is below −0.5 while the rms of both exceeds 3 u. Both are taken about their mean: a tilt of
    /// the whole line, and the zero of the level, say nothing about a sign. A level that is not turned for the way back, with its sign kept,
    /// makes the mean of any line perfectly straight.</remarks>
    /// <param name="outRises">Rise toward +X of each step of the run out, µm or µm/m.</param>
    /// <param name="backRises">The same of the run back, by step and not by time, in the same unit.</param>
    /// <param name="standardUncertainty">u of one rise, in the same unit, µm or µm/m.</param>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, or a number beyond <see cref="LevelReadings.LargestNumber"/>.</exception>
    public static bool IsProbableSignFault(ReadOnlySpan<double> outRises, ReadOnlySpan<double> backRises, double standardUncertainty)
    {
        LevelReadings.Measurable(outRises, nameof(outRises));
        LevelReadings.Measurable(backRises, nameof(backRises));
        Guard.SameLength(backRises.Length, nameof(backRises), outRises.Length, nameof(outRises));
        Guard.FiniteNotNegative(standardUncertainty, nameof(standardUncertainty));
        if (outRises.IsEmpty)
            return false;
        double meanOut = Mean(outRises), meanBack = Mean(backRises), oo = 0, bb = 0, ob = 0;
        for (var i = 0; i < outRises.Length; i++)
        {
            double o = outRises[i] - meanOut, b = backRises[i] - meanBack;
            oo += o * o;
            bb += b * b;
            ob += o * b;
        }

        var least = SignFaultUncertainties * standardUncertainty;
        return Math.Sqrt(Math.Min(oo, bb) / outRises.Length) > least && ob < SignFaultCorrelation * Math.Sqrt(oo) * Math.Sqrt(bb);
    }

    private static double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (var value in values)
            sum += value - values[0];
        return values[0] + (sum / values.Length);
    }
}
