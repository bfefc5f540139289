using System.Globalization;
using static System.FormattableString;

namespace BuildTrack.Metrology.Circular;

/// <summary>Which part of the circle the readings of a direction cover, and whether they cover it closely enough.</summary>
internal static class CircularLayout
{
    /// <summary>The arc that sorted readings cover, counter-clockwise; null where they go all round.</summary>
    public static (double FromDeg, double ToDeg, double LengthDeg)? Arc(CircularReading[] path)
    {
        var (before, gap) = (0, 0.0);
        for (var i = 0; i < path.Length; i++)
        {
            if (Gap(path, i) > gap)
                (before, gap) = (i, Gap(path, i));
        }

        return path.Length == 0 || gap <= CircularCalculation.LargestGapDeg + CircularCalculation.NearestDeg
            ? null : (path[(before + 1) % path.Length].AngleDeg, path[before].AngleDeg, 360 - gap);
    }

    /// <summary>The defect of the layout, and its sentence; null where there is none.</summary>
    public static (CircularDefect Defect, string Sentence)? Defect(CircularReading[] clockwise, CircularReading[] counter)
    {
        if (clockwise.Length + counter.Length == 0)
            return (CircularDefect.TooFewPoints, "There are no readings.");
        return OfPath(clockwise, "clockwise") ?? OfPath(counter, "counter-clockwise") ?? OfBoth(clockwise, counter);
    }

    private static (CircularDefect, string)? OfPath(CircularReading[] path, string word)
    {
        if (path.Length == 0)
            return null;
        if (path.Length < CircularCalculation.FewestPoints)
        {
            var there = path.Length == 1 ? "is 1 reading" : $"are {Text(path.Length)} readings";
            return (CircularDefect.TooFewPoints, $"There {there} {word}; a circle or an arc needs {Text(CircularCalculation.FewestPoints)} or more.");
        }

        for (var i = 0; i < path.Length; i++)
        {
            if (Gap(path, i) <= CircularCalculation.NearestDeg)
                return (CircularDefect.RepeatedAngle, $"The angle {Text(path[i].AngleDeg)}° stands twice {word}; each angle of a turn is read once.");
        }

        if (Arc(path) is not { } arc)
            return null;
        if (arc.LengthDeg < CircularCalculation.SmallestArcDeg - CircularCalculation.NearestDeg)
        {
            return (CircularDefect.ArcTooShort,
                $"There is no reading {word} between {Text(arc.ToDeg)}° and {Text(arc.FromDeg)}°: an arc of {Round(arc.LengthDeg)}° is left; {Text(CircularCalculation.SmallestArcDeg)}° or more are evaluated.");
        }

        var widest = Math.Min(CircularCalculation.LargestGapDeg, CircularCalculation.LargestGapPart * arc.LengthDeg);
        for (var i = 0; i < path.Length; i++)
        {
            if (Gap(path, i) > widest + CircularCalculation.NearestDeg && path[i].AngleDeg != arc.ToDeg)
            {
                return (CircularDefect.GapInPath,
                    $"There is no reading {word} between {Text(path[i].AngleDeg)}° and {Text(Next(path, i) % 360)}°; "
                    + $"a full circle needs one in every {Text(CircularCalculation.LargestGapDeg)}°, an arc of {Round(arc.LengthDeg)}° in every {Round(widest)}°.");
            }
        }

        return null;
    }

    /// <summary>What is said of both directions must be of the same part of the circle; the ends may differ by a step of the readings.</summary>
    private static (CircularDefect, string)? OfBoth(CircularReading[] clockwise, CircularReading[] counter)
    {
        if (clockwise.Length == 0 || counter.Length == 0)
            return null;
        var (one, other) = (Arc(clockwise), Arc(counter));
        var step = Math.Max(WidestWithin(clockwise), WidestWithin(counter)) + CircularCalculation.NearestDeg;
        if (one is null && other is null || one is { } a && other is { } b && Apart(a.FromDeg, b.FromDeg) <= step && Apart(a.ToDeg, b.ToDeg) <= step)
            return null;
        return (CircularDefect.ArcsDiffer,
            $"Clockwise {Covered(one)} was measured, counter-clockwise {Covered(other)}; both directions go over the same part, or are evaluated one by one.");
    }

    private static double WidestWithin(CircularReading[] path)
    {
        var end = Arc(path)?.ToDeg;
        return Enumerable.Range(0, path.Length).Where(i => path[i].AngleDeg != end).Max(i => Gap(path, i));
    }

    private static double Apart(double one, double other) => Math.Abs(one - other) is var apart && apart > 180 ? 360 - apart : apart;

    private static string Covered((double FromDeg, double ToDeg, double LengthDeg)? arc) => arc is { } part ? $"{Text(part.FromDeg)}° to {Text(part.ToDeg)}°" : "the full circle";

    private static double Gap(CircularReading[] path, int i) => Next(path, i) - path[i].AngleDeg;

    private static double Next(CircularReading[] path, int i) => i + 1 < path.Length ? path[i + 1].AngleDeg : path[0].AngleDeg + 360;

    private static string Text(double number) => number.ToString("R", CultureInfo.InvariantCulture);

    private static string Round(double degrees) => Invariant($"{degrees:0.##}");
}
