using MathNet.Numerics.Distributions;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Quantiles that verdicts use, rounded to six significant digits so that every machine uses the same.</summary>
internal static class Quantile
{
    /// <summary>95 % one-sided: 1.6449, or Student's t where the standard uncertainty was estimated.</summary>
    public static double OneSided95(double? degreesOfFreedom) => degreesOfFreedom is { } nu ? T(0.95, nu) : Conformity.OneSided95;

    /// <summary>97.5 % one-sided: 1.960, or Student's t.</summary>
    public static double OneSided975(double? degreesOfFreedom) => degreesOfFreedom is { } nu ? T(0.975, nu) : Conformity.OneSided975;

    /// <summary>Normal quantile of a probability.</summary>
    public static double OfNormal(double probability) => SixDigits(Normal.InvCDF(0, 1, probability));

    /// <summary>A number cut to six significant digits, half away from zero.</summary>
    public static double SixDigits(double value)
    {
        if (value == 0)
        {
            return 0;
        }

        var scale = 1.0;
        for (var size = Math.Abs(value); size >= 10; size /= 10)
        {
            scale /= 10;
        }

        for (var size = Math.Abs(value); size < 1; size *= 10)
        {
            scale *= 10;
        }

        return Math.Round(value * scale, 5, MidpointRounding.AwayFromZero) / scale;
    }

    private static double T(double probability, double degreesOfFreedom) =>
        SixDigits(StudentT.InvCDF(0, 1, Guard.FinitePositive(degreesOfFreedom, nameof(degreesOfFreedom)), probability));
}
