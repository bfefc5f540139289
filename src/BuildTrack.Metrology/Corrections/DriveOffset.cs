using System.Globalization;
using BuildTrack.Metrology.Squareness;
using BuildTrack.Metrology.TwoMethods;

namespace BuildTrack.Metrology.Corrections;

/// <summary>Why a drive is not offset.</summary>
public enum DriveOffsetRefusal
{
    /// <summary>It is.</summary>
    None,

    /// <summary>Two methods do not agree within their uncertainty.</summary>
    MethodsDisagree,

    /// <summary>The offset would hide a gantry that is racked in its mechanics.</summary>
    MechanicsFirst,
}

/// <summary>Offset of one drive of a gantry.</summary>
/// <param name="Methods">Both squareness results beside each other, µm/m.</param>
/// <param name="AngleUmPerM">Their mean, each weighted by its uncertainty, µm/m.</param>
/// <param name="AngleUUmPerM">Its expanded uncertainty U (k = 2), µm/m.</param>
/// <param name="OffsetUm">How far one drive must run ahead of the other besides what is set now, µm; sign as
/// <see cref="SquarenessAngle.DriveOffsetUm"/>.</param>
/// <param name="OffsetUUm">Its expanded uncertainty U (k = 2), µm.</param>
/// <param name="WholeUm">Offset set now and this one together, µm.</param>
/// <param name="PredictedUmPerM">Largest squareness that one of the two methods should show afterwards, µm/m.</param>
/// <param name="Refusal">Why it is not set.</param>
/// <param name="RefusalSentence">The same in words with numbers; null without a refusal.</param>
public sealed record DriveOffsetResult(
    TwoResults Methods, double AngleUmPerM, double AngleUUmPerM, double OffsetUm, double OffsetUUm, double WholeUm, double PredictedUmPerM,
    DriveOffsetRefusal Refusal, string? RefusalSentence);

/// <summary>The offset of one drive that squares a racked gantry, from squareness by two methods.</summary>
/// <remarks>Rules: docs/method/corrections.md; squareness and its sign: docs/method/squareness.md.</remarks>
public static class DriveOffset
{
    /// <summary>A larger offset hides racking that is to be cured in the mechanics, µm.</summary>
    public const double LargestWholeUm = 300;

    /// <summary>Calculates.</summary>
    /// <param name="firstUmPerM">Squareness by one method, µm/m.</param>
    /// <param name="firstUUmPerM">Its expanded uncertainty U (k = 2), µm/m; zero only where the other is not.</param>
    /// <param name="secondUmPerM">Squareness by another method, µm/m.</param>
    /// <param name="secondUUmPerM">Its expanded uncertainty U (k = 2), µm/m.</param>
    /// <param name="gaugeMm">Distance of the two drives, mm, above zero.</param>
    /// <param name="offsetNowUm">Offset that is set now, µm.</param>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A squareness beyond 30 mm/m, a negative uncertainty, both zero, a gauge not above zero.</exception>
    public static DriveOffsetResult Of(double firstUmPerM, double firstUUmPerM, double secondUmPerM, double secondUUmPerM, double gaugeMm,
        double offsetNowUm = 0)
    {
        Small(firstUmPerM, nameof(firstUmPerM));
        Small(secondUmPerM, nameof(secondUmPerM));
        FootMoves.Within(offsetNowUm, nameof(offsetNowUm));
        var methods = TwoMethodsCalculation.Of(firstUmPerM, firstUUmPerM, secondUmPerM, secondUUmPerM);
        double first = firstUUmPerM * firstUUmPerM, second = secondUUmPerM * secondUUmPerM;

        // The mean of least variance; where one result has no uncertainty it is that result.
        double share = second / (first + second), angle = (share * firstUmPerM) + ((1 - share) * secondUmPerM),
            u = Math.Sqrt(first * second / (first + second));
        double offset = new SquarenessAngle(angle).DriveOffsetUm(gaugeMm), whole = offsetNowUm + offset;
        var (refusal, sentence) = Refusal(methods, whole);
        return new DriveOffsetResult(
            methods, angle, u, offset, u * gaugeMm / 1000, whole, Math.Max(Math.Abs(firstUmPerM - angle), Math.Abs(secondUmPerM - angle)), refusal, sentence);
    }

    private static (DriveOffsetRefusal, string?) Refusal(TwoResults methods, double wholeUm)
    {
        static string Text(double value) => value.ToString("0.#", CultureInfo.InvariantCulture);
        return !methods.Agree
            ? (DriveOffsetRefusal.MethodsDisagree,
                $"The two methods differ by {Text(Math.Abs(methods.Difference))} µm/m, more than their uncertainty of {Text(methods.DifferenceU)} µm/m: "
                + "find out why before a drive is offset.")
            : Math.Abs(wholeUm) > LargestWholeUm
                ? (DriveOffsetRefusal.MechanicsFirst,
                    $"An offset of {BedForm.Mm(wholeUm)} in all hides a racked gantry; above {BedForm.Mm(LargestWholeUm)} the mechanics are put right first.")
                : (DriveOffsetRefusal.None, null);
    }

    private static void Small(double value, string name)
    {
        if (Math.Abs(Guard.Finite(value, name)) > SquarenessCalculation.LargestAngleUmPerM)
            Guard.ThrowOutOfRange(value, name, "within ±30 mm/m");
    }
}
