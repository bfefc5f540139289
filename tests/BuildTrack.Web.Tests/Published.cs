using System.Globalization;
using System.Text.Json;

namespace BuildTrack.Web.Tests;

/// <summary>The published surveys as files that a person would upload. Origin, marking and figures stand in ReferenceData.</summary>
public static class Published
{
    /// <summary>Ten points of the documented example of a numerics package, taken as millimetres.</summary>
    public static string TenPoints { get; } = Csv(Read("plane-pracma-odregress-2d.json").GetProperty("points"), "z_mm", 1);

    /// <summary>Centre peak over three valleys; heights given in µm, sent in mm as the tracker shows them.</summary>
    public static string Triangle { get; } = Csv(Case(0).GetProperty("points"), "z_mm", 0.001m);

    /// <summary>Two peaks across two valleys.</summary>
    public static string Crossing { get; } = Csv(Case(1).GetProperty("points"), "z_mm", 0.001m);

    /// <summary>The lines of a file for some of its stations only.</summary>
    public static string Only(string csv, params IEnumerable<string> stations)
    {
        var wanted = stations.ToHashSet();
        var lines = csv.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        return string.Join('\n', lines.Where((l, i) => i == 0 || wanted.Contains(l.Split(',')[0]))) + "\n";
    }

    public static double TenPointsLeastSquaresUm { get; } = 1000 * Read("plane-pracma-odregress-2d.json").GetProperty("recomputed").GetProperty("orthogonal_ls").GetProperty("FLTt_LS").GetDouble();

    /// <summary>0.2 / √3.5 mm, exact by construction (references.md section 5).</summary>
    public static double TenPointsMinimumZoneUm { get; } = 200 / Math.Sqrt(3.5);

    public static (double LeastSquaresUm, double MinimumZoneUm) OfCase(int index)
    {
        var expected = Case(index).GetProperty("recomputed");
        return (expected.GetProperty("ls").GetProperty("FLTt").GetDouble(), expected.GetProperty("perpendicular_um").GetDouble());
    }

    private static JsonElement Case(int index) => Read("constructed-minimum-zone-3x3.json").GetProperty("cases")[index];

    private static string Csv(JsonElement points, string heightColumn, decimal heightFactor) =>
        $"station,x_mm,y_mm,{heightColumn}\n" + string.Concat(points.EnumerateArray().Select((p, i) => string.Create(
            CultureInfo.InvariantCulture, $"P{i + 1},{p[0].GetDecimal()},{p[1].GetDecimal()},{p[2].GetDecimal() * heightFactor:0.######}\n")));

    private static JsonElement Read(string file) => JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "ReferenceData", file))).RootElement;
}
