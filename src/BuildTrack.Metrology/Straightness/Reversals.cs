using System.Collections.Immutable;
using BuildTrack.Metrology.Squareness;

namespace BuildTrack.Metrology.Straightness;

/// <summary>A guide and a straightedge, parted by two readings of which one was taken with the straightedge turned over.</summary>
/// <param name="GuideUm">Deviation of the guide at each station, µm, about the line of the set-up; positive as the first reading.</param>
/// <param name="StraightedgeUm">Deviation of the straightedge at each station, µm, with its sign of the first reading.</param>
public sealed record PartedLine(ImmutableArray<double> GuideUm, ImmutableArray<double> StraightedgeUm);

/// <summary>Zero of a level and true slope, from readings of which one was taken end for end.</summary>
/// <param name="ZeroErrorUmPerM">What the level shows on a level surface, µm/m.</param>
/// <param name="SlopeUmPerM">True slope in the sense of the first reading, µm/m.</param>
public sealed record LevelZero(double ZeroErrorUmPerM, double SlopeUmPerM);

/// <summary>Reversals: two readings, one of them with the artefact turned over, part its own error from what is measured.</summary>
/// <remarks>Derivations, signs and limits: docs/method/reversal.md.</remarks>
public static class Reversals
{
    /// <summary>Guide = (r₁ + r₂)/2 and straightedge = (r₁ − r₂)/2 where a reading grows towards the same side of the machine both times; exchanged where the indicator was turned.</summary>
    /// <param name="firstUm">Readings along the straightedge, µm.</param>
    /// <param name="secondUm">Readings at the same stations with the straightedge turned over, µm.</param>
    /// <param name="sense">How the indicator stood the second time.</param>
    /// <exception cref="ArgumentException">Series of different length, or a number that is NaN or infinite; the sentence names the place.</exception>
    /// <exception cref="ArgumentOutOfRangeException">An unknown sense, or a number beyond <see cref="LevelReadings.LargestNumber"/>.</exception>
    public static PartedLine OfStraightedge(ReadOnlySpan<double> firstUm, ReadOnlySpan<double> secondUm, IndicatorSense sense)
    {
        LevelReadings.Measurable(firstUm, nameof(firstUm));
        LevelReadings.Measurable(secondUm, nameof(secondUm));
        Guard.SameLength(secondUm.Length, nameof(secondUm), firstUm.Length, nameof(firstUm));
        if (sense is not (IndicatorSense.Kept or IndicatorSense.Turned))
            throw new ArgumentOutOfRangeException(nameof(sense), sense, "Not a sense of the indicator.");
        var halfSums = ImmutableArray.CreateBuilder<double>(firstUm.Length);
        var halfDifferences = ImmutableArray.CreateBuilder<double>(firstUm.Length);
        for (var i = 0; i < firstUm.Length; i++)
        {
            halfSums.Add((firstUm[i] + secondUm[i]) / 2);
            halfDifferences.Add((firstUm[i] - secondUm[i]) / 2);
        }

        return sense == IndicatorSense.Kept
            ? new PartedLine(halfSums.MoveToImmutable(), halfDifferences.MoveToImmutable())
            : new PartedLine(halfDifferences.MoveToImmutable(), halfSums.MoveToImmutable());
    }

    /// <summary>Zero error (a + b)/2 and slope (a − b)/2.</summary>
    /// <param name="firstUmPerM">Reading in the level's own sense, µm/m.</param>
    /// <param name="secondUmPerM">Reading at the same place end for end, in the level's own sense, µm/m.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number beyond <see cref="LevelReadings.LargestNumber"/>.</exception>
    public static LevelZero OfLevel(double firstUmPerM, double secondUmPerM)
    {
        LevelReadings.Measurable([firstUmPerM], nameof(firstUmPerM));
        LevelReadings.Measurable([secondUmPerM], nameof(secondUmPerM));
        return new LevelZero((firstUmPerM + secondUmPerM) / 2, (firstUmPerM - secondUmPerM) / 2);
    }
}
