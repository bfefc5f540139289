namespace BuildTrack.Metrology.Commissioning;

/// <summary>Unbalance of a three-phase supply: negative-sequence voltage over positive-sequence voltage, from the three voltages between the lines.</summary>
/// <remarks>
/// Between lines there is no zero-sequence part, so the three voltages close a triangle and fix both sequences (Fortescue). With β = Σ V⁴/(Σ V²)² the share is
/// √((1 − √(3 − 6β))/(1 + √(3 − 6β))). Method and sources: docs/method/commissioning.md, section 11.
/// </remarks>
public static class VoltageUnbalance
{
    /// <summary>Largest voltage between lines that is taken, V.</summary>
    public const double HighestV = 1000;

    /// <summary>Negative over positive sequence, in %.</summary>
    /// <param name="firstV">Voltage between lines 1 and 2, V, above zero.</param>
    /// <param name="secondV">Voltage between lines 2 and 3, V, above zero.</param>
    /// <param name="thirdV">Voltage between lines 3 and 1, V, above zero.</param>
    /// <returns>0 to 100 %; null where the three close no triangle, so that one of them is wrong.</returns>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static double? Percent(double firstV, double secondV, double thirdV)
    {
        foreach (var (volts, name) in new[] { (firstV, nameof(firstV)), (secondV, nameof(secondV)), (thirdV, nameof(thirdV)) })
        {
            if (Guard.FinitePositive(volts, name) > HighestV)
                Guard.ThrowOutOfRange(volts, name, "above 0, at most 1000 V");
        }

        if (firstV >= secondV + thirdV || secondV >= firstV + thirdV || thirdV >= firstV + secondV)
            return null;

        // 1 − √(3 − 6β) without the difference of nearly equal numbers: 6β − 2 is a sum of squares of differences.
        double a = firstV * firstV, b = secondV * secondV, c = thirdV * thirdV, sum = a + b + c;
        var above = 2 * (((a - b) * (a - b)) + ((b - c) * (b - c)) + ((c - a) * (c - a))) / (sum * sum);
        var root = Math.Sqrt(Math.Max(0, 1 - above));
        return 100 * Math.Sqrt(above) / (1 + root);
    }

    /// <summary>Standard uncertainty of the share by the uncertainty of each voltmeter reading, in %.</summary>
    /// <param name="firstV">Voltage between lines 1 and 2, V.</param>
    /// <param name="secondV">Voltage between lines 2 and 3, V.</param>
    /// <param name="thirdV">Voltage between lines 3 and 1, V.</param>
    /// <param name="voltmeterV">Standard uncertainty of one reading, V, zero or more.</param>
    /// <returns>Two thirds of the relative uncertainty of a reading times √(3/2): each sequence of a nearly balanced triangle takes a third of every reading, turned by 120°.</returns>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static double StandardUncertaintyPercent(double firstV, double secondV, double thirdV, double voltmeterV)
    {
        Guard.FiniteNotNegative(voltmeterV, nameof(voltmeterV));
        var mean = (Guard.FinitePositive(firstV, nameof(firstV)) + Guard.FinitePositive(secondV, nameof(secondV)) + Guard.FinitePositive(thirdV, nameof(thirdV))) / 3;
        return 100 * (2.0 / 3) * Math.Sqrt(1.5) * voltmeterV / mean;
    }
}
