using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Flatness;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Flatness of a table of points.</summary>
internal static class FlatnessCommand
{
    /// <summary>No position and no height is larger: 1000 km.</summary>
    private const double LargestMm = FlatnessCalculation.LargestMm;

    public static EvaluationKind Kind { get; } = new(
        "flatness", "flatness of points: least-squares plane and minimum zone", "x_mm,y_mm,z_um (or z_mm); optional id", []);

    public static EvaluationOutcome Run(TextReader csv, string fileName)
    {
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return EvaluationOutcome.Bad(table.Faults);
        }

        var (ix, iy, id) = (table.Need("x_mm", "a column x_mm"), table.Need("y_mm", "a column y_mm"), table.Find("id"));
        var millimetres = table.Find("z_mm") >= 0;
        if (millimetres && table.Find("z_um") >= 0)
        {
            return EvaluationOutcome.Bad([.. table.Faults, new EvaluationFault(fileName, table.Line, 1, "both z_um and z_mm", "one of them")]);
        }

        var iz = millimetres ? table.Find("z_mm") : table.Need("z_um", "a column z_um or z_mm");
        if (table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(table.Faults);
        }

        var (x, y, z, ids) = (new List<double>(), new List<double>(), new List<double>(), id < 0 ? null : new List<string>());
        var seen = new HashSet<string>(StringComparer.Ordinal);

        // Heights above a plan have one at each place; points in space may stand one above the other.
        var places = new Dictionary<(double, double), (double Height, long Line)>();
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row)
                || !(table.Number(row, ix, "mm", LargestMm, out var atX) & table.Number(row, iy, "mm", LargestMm, out var atY)
                    & (millimetres ? table.Number(row, iz, "mm", LargestMm, out var height) : table.Number(row, iz, "µm", LargestMm * 1000, out height))))
            {
                continue;
            }

            if (!millimetres && !places.TryAdd((atX, atY), (height, table.Line)) && places[(atX, atY)] is var first && first.Height != height)
            {
                table.Fault(row[iz], Invariant($"another height at {atX}, {atY} mm (first in line {first.Line})"), "each place with one height: take the mean of readings again, or give points in space by z_mm");
                continue;
            }

            if (ids is not null)
            {
                var name = id < row.Length ? row[id].Text : "";
                if (name.Length == 0 || !seen.Add(name))
                {
                    table.Fault(id < row.Length ? row[id] : row[^1], name.Length == 0 ? "no id" : $"the id '{name}' a second time", "an id of its own for each point");
                    continue;
                }

                ids.Add(name);
            }

            x.Add(atX);
            y.Add(atY);
            z.Add(millimetres ? height * 1000 : height);
        }

        if (table.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(table.Faults);
        }

        string Id(int index) => ids is null ? (index + 1).ToString(CultureInfo.InvariantCulture) : ids[index];
        var result = FlatnessCalculation.Of(CollectionsMarshal.AsSpan(x), CollectionsMarshal.AsSpan(y), CollectionsMarshal.AsSpan(z), deviations: false);
        return result.Defect != FlatnessDefect.None && result.MinimumZone is null && result.LeastSquares is null
            ? EvaluationOutcome.NoAnswer(result.DefectSentence ?? $"{x.Count} points give no plane")
            : EvaluationOutcome.Of(Json(result, Id));
    }

    private static JsonObject Json(FlatnessResult result, Func<int, string> id)
    {
        var json = new JsonObject { ["points"] = result.Points, ["leastSquares"] = result.LeastSquares is { } ls ? LeastSquares(ls) : null };
        if (result.LeastSquares is null)
        {
            json["leastSquaresAbsentBecause"] = result.LeastSquaresAbsentBecause;
        }

        json["minimumZone"] = result.MinimumZone is { } mz ? MinimumZone(mz, id) : null;
        json["verticalMinimumZoneUm"] = Number(result.MinimumZone?.VerticalUm);
        return json;
    }

    private static JsonObject LeastSquares(LeastSquaresPlane plane) => new()
    {
        ["flatnessUm"] = Number(plane.FlatnessUm), ["peakUm"] = Number(plane.PeakUm), ["valleyUm"] = Number(plane.ValleyUm), ["rmsUm"] = Number(plane.RmsUm),
        ["slopeXUmPerM"] = Number(plane.Plane.SlopeXUmPerM), ["slopeYUmPerM"] = Number(plane.Plane.SlopeYUmPerM), ["offsetUm"] = Number(plane.Plane.OffsetUm),
    };

    private static JsonObject MinimumZone(MinimumZonePlane zone, Func<int, string> id)
    {
        var json = new JsonObject
        {
            ["flatnessUm"] = Number(zone.FlatnessUm), ["contact"] = zone.Contact,
            ["contacts"] = new JsonArray([.. zone.Contacts.Select(c => (JsonNode?)id(c.Index))]),
            ["weights"] = new JsonArray([.. zone.Contacts.Select(c => Number(c.Weight))]),
            ["zoneProved"] = zone.ZoneProved,
        };
        if (!zone.ZoneProved)
        {
            json["notProvedBecause"] = zone.NotProvedBecause;
        }

        return json;
    }

    /// <summary>A number with all its digits; JSON has no NaN, and the calculations give none.</summary>
    internal static JsonNode? Number(double? value) => value is { } number ? JsonValue.Create(number == 0 ? 0 : number) : null;
}
