using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Metrology.Verdicts;
using static System.FormattableString;

namespace BuildTrack.Documents.Drawings;

/// <summary>One station of a map: what the drawing writes beside it, and the row of the plain table that equals the drawing.</summary>
/// <param name="Station">Its full name, R1-04.</param>
/// <param name="Number">The short name in the balloon, 4.</param>
/// <param name="Value">Deviation, calculated unit.</param>
/// <param name="Text">The signed number as the drawing writes it.</param>
/// <param name="Weight">Weight of a contact; null for the others.</param>
/// <param name="Beyond">Outside the limit's zone.</param>
/// <param name="Hatched">Outside, and the result is proved to be.</param>
/// <param name="Numbered">The drawing has room for its number; contacts and extremes always have.</param>
public sealed record MapStation(
    string Station, string Number, double XMm, double YMm, double Value, string Text, double? Weight, bool Beyond, bool Hatched, bool Extreme, bool Numbered);

/// <summary>The deviations of a bed, seen as its two rail seats, or in plan where the stations are not two rows.</summary>
/// <remarks>
/// Built once from the evaluation and drawn from this model alone, on pages as on certificates: a number in a picture cannot differ from the number in
/// the table beside it.
/// </remarks>
public sealed class DeviationMap
{
    private DeviationMap(Drawing drawing, ImmutableArray<MapStation> rows, string unit, string says)
    {
        Drawing = drawing;
        Rows = rows;
        Unit = unit;
        Says = says;
    }

    /// <summary>What the numbers are: "Deviations from the plane of the least squares".</summary>
    public string Says { get; }

    public Drawing Drawing { get; }

    /// <summary>The plain table: the same stations and texts, in the order of the survey.</summary>
    public ImmutableArray<MapStation> Rows { get; }

    /// <summary>Unit of the numbers in drawing and rows.</summary>
    public string Unit { get; }

    /// <summary>The map of an evaluation; null where it has no deviations yet, or where its limit is none that a map of the bed could show.</summary>
    /// <param name="turn">Degrees by which the bed is turned in an oblique view; null for the view of its rail seats, or in plan.</param>
    public static DeviationMap? Of(EvaluationRecord evaluation, int? turn = null)
    {
        if (SaysOf(evaluation) is not { } says)
        {
            return null;
        }

        var stations = StationsOf(evaluation.Input);
        var deviations = evaluation.Result.Deviations;
        if (deviations.IsDefaultOrEmpty || stations.Count == 0 || deviations.Any(d => !stations.ContainsKey(d.Place)))
        {
            return null;
        }

        var model = MapModel.Of(evaluation, [.. deviations.Select(d => stations[d.Place])]);
        var drawing = turn is { } degrees ? TurnedMap.Draw(ref model, degrees) : RailMap.Fits(model.Stations) ? RailMap.Draw(ref model) : PlanMap.Draw(ref model);
        return new DeviationMap(drawing, model.Stations, model.Unit, says);
    }

    /// <summary>The map as inline SVG.</summary>
    /// <param name="id">Begin of its ids, unique on the page.</param>
    public string Svg(string id = "map") => SvgText.Of(Drawing, id);

    private static string? SaysOf(EvaluationRecord evaluation) => evaluation.Input.Characteristic.Evaluator switch
    {
        "flatness" or "network-flatness" => $"Deviations from the {Words(evaluation.Input.Reference, "plane")}",
        "straightness" => $"Deviations of each line from the {Words(evaluation.Input.Reference, "line")}",
        "range" or "deviation-from-mean" => "Distance of every station from the mean",
        "least-value" or "coating" => "What every place has above the limit",
        _ => null,
    };

    // A zone has no line of its own that deviations could be drawn from; they are drawn from that of least squares.
    private static string Words(string? reference, string line) => reference switch
    {
        "end-point" => $"{line} through its ends",
        "minimum-zone" when line == "plane" => "plane of the minimum zone",
        _ => $"{line} of least squares",
    };

    private static Dictionary<string, Station> StationsOf(EvaluationInput input) =>
        input.Sources.Values.Select(s => s.Readings).OfType<Domain.Evaluating.SurveySource>().SelectMany(s => s.Stations)
            .DistinctBy(s => s.Id).ToDictionary(s => s.Id, StringComparer.Ordinal);
}

/// <summary>What both layouts of the map draw.</summary>
/// <param name="Centre">Middle of the limit's zone, calculated unit.</param>
/// <param name="HalfLimit">Half the zone; null where the zero line itself is the limit.</param>
/// <param name="LimitText">The limit as its own sheet states it.</param>
internal sealed record MapModel(ImmutableArray<MapStation> Stations, string Unit, double Centre, double? HalfLimit, string LimitText, bool Proved, string What)
{
    public double Largest => Math.Max(Stations.Max(s => Math.Abs(s.Value)), HalfLimit is { } h ? Math.Max(Math.Abs(Centre + h), Math.Abs(Centre - h)) : 0);

    public IEnumerable<MapStation> Contacts => Stations.Where(s => s.Weight is not null);

    public static MapModel Of(EvaluationRecord evaluation, ImmutableArray<Station> stations)
    {
        var (input, result) = (evaluation.Input, evaluation.Result);
        var values = result.Deviations.Select(d => d.Value).ToArray();
        // A least value stands over its own limit: there the zero line is the limit, and only below it is beyond.
        var zone = result.Upper is not null && result.Lower is null;
        var about = input.Characteristic.Evaluator == "deviation-from-mean";
        var centre = zone && !about ? (values.Max() + values.Min()) / 2 : 0;
        double? half = zone ? (about ? result.Upper : result.Upper / 2) : null;
        var rejected = result.Verdict == Verdict.Rejected;
        var metres = result.Unit == "µm" && values.Max(Math.Abs) >= 1000;
        var weights = result.Contacts.IsDefaultOrEmpty ? [] : result.Contacts.ToDictionary(c => c.Place, c => c.Weight, StringComparer.Ordinal);
        var rows = result.Deviations.Select((d, i) =>
        {
            var beyond = half is { } h ? Math.Abs(d.Value - centre) > h + 1e-9 : d.Value < 0;
            return new MapStation(
                d.Place, ShortName(d.Place), stations[i].XMm, stations[i].YMm, d.Value, "", weights.TryGetValue(d.Place, out var w) ? w : null, beyond,
                beyond && rejected, d.Value == values.Max() || d.Value == values.Min(), true);
        });
        var limit = input.Requirement.Upper ?? input.Requirement.Lower;
        return new MapModel(
            [.. rows], metres ? "mm" : result.Unit, centre, half, limit is null ? "" : Shown.InUnitOf(limit.Calculated, input.Requirement), result.Verdict is not Verdict.NotProven and not null,
            result.Value is { } v ? Shown.InUnitOf(v, input.Requirement) : "the result");
    }

    /// <summary>The numbers with as many decimals as the drawing has room for.</summary>
    public MapModel Written(int decimals) => this with
    {
        Stations = [.. Stations.Select(s => s with { Text = Unit == "mm" ? Shown.Signed(s.Value / 1000, 2) : Shown.Signed(s.Value, decimals) })],
    };

    /// <summary>What the drawing shows, in words.</summary>
    public string Describe()
    {
        var high = Stations.MaxBy(s => s.Value)!;
        var low = Stations.MinBy(s => s.Value)!;
        var contacts = Contacts.ToArray();
        return Invariant($"{Stations.Length} stations. Highest {high.Text} at {high.Station}, lowest {low.Text} at {low.Station}, in {Unit}.")
            + (contacts.Length == 0 ? "" : $" Contact places: {string.Join(", ", contacts.Select(c => $"{c.Station} {c.Text}"))}.")
            + (LimitText.Length == 0 ? "" : $" Limit {LimitText}.");
    }

    private static string ShortName(string place)
    {
        var tail = place[(place.LastIndexOf('-') + 1)..].TrimStart('0');
        return tail.Length == 0 ? place : tail;
    }
}
