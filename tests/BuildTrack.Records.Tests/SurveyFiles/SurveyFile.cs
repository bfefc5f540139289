using System.Collections.Immutable;
using System.Text;
using BuildTrack.Domain.Checklists;
using BuildTrack.Records.Surveys;

namespace BuildTrack.Records.Tests.SurveyFiles;

/// <summary>A survey of four stations, and files for it.</summary>
internal static class SurveyFile
{
    public static readonly Survey Heights = Of(PlaceKind.At, new Column("z", "Height", ValueKind.Number, "height", "mm", []));

    public static readonly ImmutableArray<Station> Stations = [new("R1-01", 0, 0), new("R1-02", 250, 0), new("R2-01", 0, 1450.5), new("R2-02", 250, 1450.5)];

    public static readonly ImmutableHashSet<string> All = [.. Stations.Select(s => s.Id)];

    public static Survey Of(PlaceKind places, params ImmutableArray<Column> columns) =>
        new("bed-heights", 100, "Heights", places == PlaceKind.Whole ? null : "square", places, columns, 1, false, [], [], false, null);

    public static SurveyFileResult Read(string text, string unit = "mm") => Read(Encoding.UTF8.GetBytes(text), unit);

    public static SurveyFileResult Read(byte[] bytes, string unit = "mm") => SurveyFileReader.Read("bed.csv", bytes, Heights, Stations, All, unit);

    /// <summary>A file of four lines, each with the given value or its own.</summary>
    public static string Text(string separator = ",", string end = "\n", params string[] values) => string.Concat(
        Stations.Select((s, i) => $"{s.Id}{separator}{(i < values.Length ? values[i] : "0")}{end}").Prepend($"station{separator}z_mm{end}"));

    /// <summary>The faults as one text each, after "bed.csv ".</summary>
    public static IEnumerable<string> Faults(SurveyFileResult result) => result.Faults.Select(f => f.ToString()["bed.csv ".Length..]);
}
