using System.Collections.Immutable;
using System.Text;
using BuildTrack.Domain.Checklists;
using BuildTrack.Records.Surveys;

namespace BuildTrack.Records.Tests.SurveyFiles;

/// <summary>Surveys of an axis and of a power log, and readings of files that no header of ours begins.</summary>
internal static class OwnColumnsFile
{
    public static readonly Survey Axis = new(
        "x-window", 210, "Positioning of X", "x", PlaceKind.At,
        [
            new Column("forward", "Deviation going forward", ValueKind.Number, "position", "µm", []),
            new Column("backward", "Deviation coming back", ValueKind.Number, "position", "µm", []),
        ],
        5, false, ["position"], [], false, null);

    public static readonly Survey Log = new(
        "power-log", 220, "Power over minutes", "t", PlaceKind.At, [new Column("p", "Power", ValueKind.Number, "power", "W", [])], 1, false, ["power"], [], false, null);

    public static readonly ImmutableArray<Station> Targets = [.. Enumerable.Range(0, 4).Select(i => new Station(FormattableString.Invariant($"X-{i + 1:00}"), 200 * i, 0))];

    public static readonly ImmutableArray<Station> Minutes = new LayoutPlan("t", 1, [], LayoutShape.Times, 4).StationsFor(null!);

    public static ColumnMapping OfAxis(PlaceWay way, string unit = "µm", string place = "Pos", string forward = "Dev +", string backward = "Dev -") =>
        new(new PlaceColumn(place, way), [new ValueColumn("forward", forward, unit), new ValueColumn("backward", backward, unit)]);

    public static ColumnMapping OfLog(PlaceWay way, string unit = "W", string place = "Time", string power = "Power") => new(new PlaceColumn(place, way), [new ValueColumn("p", power, unit)]);

    public static SurveyFileResult ReadAxis(string text, ColumnMapping mapping, params string[] only) => ReadAxis(Encoding.UTF8.GetBytes(text), mapping, only);

    public static SurveyFileResult ReadAxis(byte[] bytes, ColumnMapping mapping, params string[] only) => SurveyFileReader.Read(
        "axis.csv", bytes, Axis, Targets, only.Length == 0 ? Targets.Select(s => s.Id).ToImmutableHashSet() : only.ToImmutableHashSet(),
        new Dictionary<string, string> { ["forward"] = "µm", ["backward"] = "µm" }, mapping);

    public static SurveyFileResult ReadLog(string text, ColumnMapping mapping, params string[] only) => SurveyFileReader.Read(
        "log.csv", Encoding.UTF8.GetBytes(text), Log, Minutes, only.Length == 0 ? Minutes.Select(s => s.Id).ToImmutableHashSet() : only.ToImmutableHashSet(),
        new Dictionary<string, string> { ["p"] = "W" }, mapping);

    public static readonly Survey Circle = new(
        "circle", 210, "Circular test", "c", PlaceKind.At,
        [new Column("clockwise", "Clockwise", ValueKind.Number, "radius", "µm", []), new Column("counter", "Counter-clockwise", ValueKind.Number, "radius", "µm", [])], 1, false, ["radius"], [], false, null);

    public static readonly ImmutableArray<Station> Angles = new LayoutPlan("c", 45, [], LayoutShape.Circle, RadiusMm: 300).StationsFor(null!);

    public static SurveyFileResult ReadCircle(string text) => SurveyFileReader.Read(
        "circle.csv", Encoding.UTF8.GetBytes(text), Circle, Angles, Angles.Select(s => s.Id).ToImmutableHashSet(), new Dictionary<string, string> { ["clockwise"] = "µm", ["counter"] = "µm" },
        new ColumnMapping(new PlaceColumn("Angle", PlaceWay.Degrees), [new ValueColumn("clockwise", "CW", "µm"), new ValueColumn("counter", "CCW", "µm")]));

    /// <summary>The faults as one text each, after the name of the file.</summary>
    public static IEnumerable<string> Faults(SurveyFileResult result) => result.Faults.Select(f => f.ToString() is var text && text.StartsWith("mapping", StringComparison.Ordinal) ? text : text[(text.IndexOf(".csv ", StringComparison.Ordinal) + 5)..]);

    /// <summary>"X-01 forward 1.5 µm" of each row.</summary>
    public static IEnumerable<string> Rows(SurveyFileResult result) => result.Rows.Select(r => $"{r.Place} {r.Column} {r.Typed} {r.Unit}");
}
