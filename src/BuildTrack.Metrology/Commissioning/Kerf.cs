namespace BuildTrack.Metrology.Commissioning;

/// <summary>Width of a cut and the tool offset that follows from it.</summary>
/// <param name="KerfMm">Width of the cut, mm: the whole, not one side.</param>
/// <param name="OffsetMm">Tool offset for each side, half the kerf, mm.</param>
public sealed record KerfResult(double KerfMm, double OffsetMm);

/// <summary>Kerf out of the size of a cut part.</summary>
/// <remarks>With an offset o the outside is nominal + 2o − k, a hole nominal − 2o + k. Method: docs/method/commissioning.md.</remarks>
public static class Kerf
{
    /// <summary>Largest size that is taken, mm.</summary>
    public const double LargestMm = 1e5;

    /// <summary>The kerf.</summary>
    /// <param name="nominalMm">Size that was asked for, mm, above zero.</param>
    /// <param name="measuredMm">Size that was measured, mm, above zero.</param>
    /// <param name="offsetMm">Offset for each side that the cut was made with, mm, zero or more.</param>
    /// <param name="hole">The size is that of a hole, not of an outside.</param>
    /// <returns>The kerf, or null where the sizes would make it zero or less: they were mixed up, or the offset was another.</returns>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static KerfResult? Of(double nominalMm, double measuredMm, double offsetMm, bool hole)
    {
        foreach (var (value, name) in new[] { (Guard.FinitePositive(nominalMm, nameof(nominalMm)), nameof(nominalMm)), (Guard.FinitePositive(measuredMm, nameof(measuredMm)), nameof(measuredMm)) })
        {
            if (value > LargestMm)
                Guard.ThrowOutOfRange(value, name, "above 0, at most 1e5 mm");
        }

        if (Guard.FiniteNotNegative(offsetMm, nameof(offsetMm)) > 100)
            Guard.ThrowOutOfRange(offsetMm, nameof(offsetMm), "from 0 to 100 mm");
        var kerf = (2 * offsetMm) + (hole ? measuredMm - nominalMm : nominalMm - measuredMm);
        return kerf > 0 ? new KerfResult(kerf, kerf / 2) : null;
    }
}
