using System.Globalization;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Metrology.Corrections;

/// <summary>Form of the places that a correction touches: flatness by the exact minimum zone, or straightness where they lie on one line in plan.</summary>
/// <param name="IsFlatness">False: straightness along the line.</param>
/// <param name="MinimumZoneUm">Width of the minimum zone, µm; null where these places have none.</param>
/// <param name="AbsentBecause">Why there is no width.</param>
/// <param name="Proved">The zone is proved to be the smallest one.</param>
public sealed record BedForm(bool IsFlatness, double? MinimumZoneUm, string? AbsentBecause, bool Proved)
{
    /// <summary>Largest coordinate or height that is taken, mm and µm.</summary>
    public const double LargestNumber = 1e9;

    internal static BedForm Of(double[] xMm, double[] yMm, double[] heightsUm)
    {
        var flatness = FlatnessCalculation.Of(xMm, yMm, heightsUm);
        if (flatness.MinimumZone is { } zone)
            return new BedForm(true, zone.FlatnessUm, zone.NotProvedBecause, zone.ZoneProved);
        if (xMm.Length < 3 || flatness.Defect == FlatnessDefect.TooFewPoints)
            return new BedForm(true, null, flatness.DefectSentence, false);

        // On one line in plan: stations by their distance from the end that comes first.
        var far = Farthest(xMm, yMm, 0);
        var start = Farthest(xMm, yMm, far);
        double[] along = [.. xMm.Select((x, i) => Distance(x - xMm[start], yMm[i] - yMm[start]))];
        var straightness = StraightnessCalculation.Of(along, heightsUm);
        return new BedForm(false, straightness.Values?.MinimumZoneUm, straightness.DefectSentence, straightness.Values is not null);
    }

    internal static void Measurable(double xMm, double yMm, double heightUm, string name)
    {
        Small(xMm, name + ".XMm");
        Small(yMm, name + ".YMm");
        Small(heightUm, name + ".HeightUm");
    }

    internal static double Small(double value, string name)
    {
        if (Math.Abs(Guard.Finite(value, name)) > LargestNumber)
            Guard.ThrowOutOfRange(value, name, "within ±10⁹");
        return value;
    }

    /// <summary>Micrometres as people say them: "0.171 mm".</summary>
    internal static string Mm(double micrometres) => (micrometres / 1000).ToString("0.000", CultureInfo.InvariantCulture) + " mm";

    private static int Farthest(double[] x, double[] y, int from)
    {
        var best = 0;
        for (var i = 1; i < x.Length; i++)
        {
            if (Distance(x[i] - x[from], y[i] - y[from]) > Distance(x[best] - x[from], y[best] - y[from]))
                best = i;
        }

        return best;
    }

    private static double Distance(double dx, double dy) => Math.Sqrt((dx * dx) + (dy * dy));
}
