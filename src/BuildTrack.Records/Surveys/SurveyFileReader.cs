using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Checklists;

namespace BuildTrack.Records.Surveys;

/// <summary>What a survey file was understood to say, or all its faults and no row.</summary>
/// <param name="Dialect">"semicolon, decimal comma, z in mm".</param>
public sealed record SurveyFileResult(ImmutableArray<PreviewRow> Rows, string Dialect, ImmutableArray<InputFault> Faults);

/// <summary>Reads the readings of a run from a CSV file, all or none.</summary>
/// <remarks>
/// Columns: <c>station</c>, and for each number column of the survey its id and the unit that the instrument shows, as in <c>z_mm</c>,
/// <c>z_um</c>, <c>slope_um_per_m</c>; optionally <c>x_mm</c> and <c>y_mm</c>, which must then agree with the layout.
/// </remarks>
public sealed class SurveyFileReader
{
    /// <summary>How far a repeated x or y may be from the layout's: the last digit that programs write.</summary>
    private const double PlaceToleranceMm = 0.001 + 1e-9;

    private const int MostNames = 100;

    private readonly SurveyFileFaults faults;
    private readonly Dictionary<string, Station> stations;
    private readonly IReadOnlySet<string> expected;
    private readonly Dictionary<string, int> lineOf = new(StringComparer.Ordinal);
    private readonly ImmutableArray<PreviewRow>.Builder rows = ImmutableArray.CreateBuilder<PreviewRow>();
    private (char Mark, int Line)? decimalSign;

    private SurveyFileReader(SurveyFileFaults faults, ImmutableArray<Station> stations, IReadOnlySet<string> expected) =>
        (this.faults, this.stations, this.expected) = (faults, stations.DistinctBy(s => s.Id).ToDictionary(s => s.Id, StringComparer.Ordinal), expected);

    /// <summary>Reads a file for a survey with one instrument; further columns of another kind of unit keep the survey's own unit.</summary>
    /// <param name="stations">All stations of the survey's layout.</param>
    /// <param name="expectedStations">The stations that must be there, each once: all, or the places to be measured again.</param>
    /// <param name="instrumentUnit">The unit that the instrument shows.</param>
    public static SurveyFileResult Read(
        string fileName, ReadOnlyMemory<byte> bytes, Survey survey, ImmutableArray<Station> stations, IReadOnlySet<string> expectedStations,
        string instrumentUnit)
    {
        var numbers = survey.Columns.Where(c => c.Kind == ValueKind.Number).ToList();
        return Read(fileName, bytes, survey, stations, expectedStations, numbers.ToImmutableDictionary(
            c => c.Id, c => numbers.Count == 1 || Units.Calculated(c.Unit!) == Units.Calculated(instrumentUnit) ? instrumentUnit : c.Unit!));
    }

    /// <summary>Reads a file for a survey whose columns have instruments of their own.</summary>
    /// <param name="unitOf">The unit that the instrument of each number column shows, by column.</param>
    /// <exception cref="KeyNotFoundException">A number column has no unit.</exception>
    public static SurveyFileResult Read(
        string fileName, ReadOnlyMemory<byte> bytes, Survey survey, ImmutableArray<Station> stations, IReadOnlySet<string> expectedStations,
        IReadOnlyDictionary<string, string> unitOf)
    {
        var faults = new SurveyFileFaults(Quoted.Of(fileName).Trim('\''));
        var reader = new SurveyFileReader(faults, stations, expectedStations);
        var columns = survey.Columns.Where(c => c.Kind == ValueKind.Number).Select(c => (c.Id, unitOf[c.Id])).ToImmutableArray();
        var dialect = "";
        if (survey.Places != PlaceKind.At || columns.IsEmpty)
        {
            faults.Add(1, null, $"a file for survey {survey.Id}", "a survey with numbers at stations; this one is typed");
        }
        else if (SurveyFileText.Decode(faults, bytes.Span) is { } text && SurveyFileHeader.Of(text, columns, faults) is { } header)
        {
            reader.Rows(text, header);
            dialect = reader.Dialect(header);
        }

        return faults.Found.Count > 0
            ? new SurveyFileResult([], "", [.. faults.Found])
            : new SurveyFileResult(reader.rows.ToImmutable(), dialect, []);
    }

    private void Rows(string text, SurveyFileHeader header)
    {
        var last = header.Line;
        foreach (var row in new SurveyFileRows(text, header.Separator, faults).All().Skip(1))
        {
            last = row.Line;
            var station = row.Cells.Count > header.Station ? row.Cells[header.Station].Trim().Replace('>', '→') : "";
            var known = Station(station, row.Line);
            if (row.Count > header.Cells || row.Cells.Count < header.Cells)
            {
                var comma = header.Separator == ',' && row.Count > header.Cells ? "; a decimal comma needs quotes, or semicolons between the cells" : "";
                faults.Add(row.Line, null, Cells(Math.Max(row.Count, Math.Min(row.Cells.Count, header.Cells))),
                    FormattableString.Invariant($"{header.Cells}, as in the header{comma}"));
            }
            else
            {
                Cells(row, header, station, known);
            }
        }

        var missing = expected.Where(s => !lineOf.ContainsKey(s)).Order(StringComparer.Ordinal).ToList();
        if (missing.Count > 0)
        {
            var names = string.Join(", ", missing.Take(MostNames)) + (missing.Count > MostNames ? FormattableString.Invariant($" and {missing.Count - MostNames} more") : "");
            faults.Add(last, $"column {SurveyFileHeader.StationName}", $"no line for {names}", FormattableString.Invariant($"one line for each of {expected.Count} stations"));
        }
    }

    private Station? Station(string id, int line)
    {
        var where = $"column {SurveyFileHeader.StationName}";
        if (!stations.TryGetValue(id, out var station))
        {
            faults.Add(line, where, id.Length == 0 ? "no station" : $"unknown station {Quoted.Of(id)}", Quoted.OneOf(stations.Keys));
        }
        else if (!expected.Contains(id))
        {
            faults.Add(line, where, $"station {id}, which is not to be measured in this run", Quoted.OneOf(expected.Order(StringComparer.Ordinal)));
        }
        else if (!lineOf.TryAdd(id, line))
        {
            faults.Add(line, where, FormattableString.Invariant($"station {id} a second time (first in line {lineOf[id]})"), "each station once");
        }

        return station;
    }

    private void Cells(SurveyFileRow row, SurveyFileHeader header, string station, Station? known)
    {
        Repeated(row, header.X, "x_mm", known?.XMm);
        Repeated(row, header.Y, "y_mm", known?.YMm);
        foreach (var column in header.Columns)
        {
            var typed = row.Cells[column.Cell];
            if (Number(row.Line, column.Name, typed, column.Unit) is { } number)
            {
                rows.Add(new PreviewRow(row.Line, station, column.Column, typed, column.Unit, number.Nanometres, number.Number));
            }
        }
    }

    private void Repeated(SurveyFileRow row, int? cell, string name, double? layout)
    {
        if (cell is { } at && Number(row.Line, name, row.Cells[at], "mm") is { } number && layout is { } wanted
            && Math.Abs((number.Nanometres!.Value / 1e6) - wanted) > PlaceToleranceMm)
        {
            faults.Add(row.Line, $"column {name}", Quoted.Of(row.Cells[at]), FormattableString.Invariant($"{wanted:0.######}, as in the layout"));
        }
    }

    private UnderstoodNumber? Number(int line, string column, string typed, string unit)
    {
        var number = NumberText.Understand(typed, unit, exponents: true);
        if (number.Fault is { } expectation)
        {
            faults.Add(line, $"column {column}", string.IsNullOrWhiteSpace(typed) ? "nothing" : Quoted.Of(typed), expectation);
            return null;
        }

        if (number.Mark is { } mark)
        {
            decimalSign ??= (mark, line);
            if (decimalSign.Value.Mark != mark)
            {
                // 1.234 among decimal commas may be a grouped thousand.
                faults.Add(line, $"column {column}", Quoted.Of(typed), FormattableString.Invariant($"{Name(decimalSign.Value.Mark)}, as in line {decimalSign.Value.Line}: one decimal sign throughout the file"));
                return null;
            }
        }

        return number;
    }

    private string Dialect(SurveyFileHeader header)
    {
        var separator = header.Separator switch { '\t' => "tab", ';' => "semicolon", _ => "comma" };
        var sign = decimalSign is { } known ? Name(known.Mark) : "whole numbers";
        return string.Join(", ", header.Columns.Select(c => $"{c.Column} in {c.Unit}").Prepend(sign).Prepend(separator));
    }

    private static string Cells(int count) => count == 1 ? "1 cell" : FormattableString.Invariant($"{count} cells");

    private static string Name(char mark) => mark == ',' ? "decimal comma" : "decimal point";
}
