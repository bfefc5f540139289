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

    private readonly SurveyFileFaults faults;
    private readonly SurveyFileNumbers numbers;
    private readonly SurveyFileStations stations;
    private readonly ImmutableArray<PreviewRow>.Builder rows = ImmutableArray.CreateBuilder<PreviewRow>();

    private SurveyFileReader(SurveyFileFaults faults, ImmutableArray<Station> stations, IReadOnlySet<string> expected) =>
        (this.faults, numbers, this.stations) = (faults, new SurveyFileNumbers(faults), new SurveyFileStations(faults, stations, expected, SurveyFileHeader.StationName));

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
    /// <param name="mapping">Which column is what, where the file has a header of its own.</param>
    /// <exception cref="KeyNotFoundException">A number column has no unit.</exception>
    public static SurveyFileResult Read(
        string fileName, ReadOnlyMemory<byte> bytes, Survey survey, ImmutableArray<Station> stations, IReadOnlySet<string> expectedStations,
        IReadOnlyDictionary<string, string> unitOf, ColumnMapping? mapping = null)
    {
        var faults = new SurveyFileFaults(Quoted.Of(fileName).Trim('\''));
        var columns = survey.Columns.Where(c => c.Kind == ValueKind.Number).Select(c => (c.Id, unitOf[c.Id])).ToImmutableArray();
        var (rows, dialect) = (ImmutableArray<PreviewRow>.Empty, "");
        if (survey.Places != PlaceKind.At || columns.IsEmpty)
        {
            faults.Add(1, null, $"a file for survey {survey.Id}", "a survey with numbers at stations; this one is typed");
        }
        else if (mapping?.Faults(survey, stations, columns).ToImmutableArray() is { IsEmpty: false } wrong)
        {
            return new SurveyFileResult([], "", wrong);
        }
        else if (SurveyFileText.Decode(faults, bytes.Span) is { } text)
        {
            (rows, dialect) = mapping is not null ? OwnColumnsReader.Read(text, mapping, stations, expectedStations, faults)
                : SurveyFileHeader.Of(text, columns, faults) is { } header ? new SurveyFileReader(faults, stations, expectedStations).Read(text, header)
                : ([], "");
        }

        return faults.Found.Count > 0 ? new SurveyFileResult([], "", [.. faults.Found]) : new SurveyFileResult(rows, dialect, []);
    }

    private (ImmutableArray<PreviewRow> Rows, string Dialect) Read(string text, SurveyFileHeader header)
    {
        Rows(text, header);
        return (rows.ToImmutable(), Dialect(header));
    }

    private void Rows(string text, SurveyFileHeader header)
    {
        var last = header.Line;
        foreach (var row in new SurveyFileRows(text, header.Separator, faults).All().Skip(1))
        {
            last = row.Line;
            var station = row.Cells.Count > header.Station ? row.Cells[header.Station].Trim().Replace('>', '→') : "";
            var known = stations.Named(station, row.Line);
            if (row.HasCells(header.Cells, header.Separator, faults))
            {
                Cells(row, header, station, known);
            }
        }

        stations.Missing(last);
    }

    private void Cells(SurveyFileRow row, SurveyFileHeader header, string station, Station? known)
    {
        Repeated(row, header.X, "x_mm", known?.XMm);
        Repeated(row, header.Y, "y_mm", known?.YMm);
        foreach (var column in header.Columns)
        {
            var typed = row.Cells[column.Cell];
            if (numbers.Of(row.Line, column.Name, typed, column.Unit) is { } number)
            {
                rows.Add(new PreviewRow(row.Line, station, column.Column, typed, column.Unit, number.Nanometres, number.Number));
            }
        }
    }

    private void Repeated(SurveyFileRow row, int? cell, string name, double? layout)
    {
        if (cell is { } at && numbers.Of(row.Line, name, row.Cells[at], "mm") is { } number && layout is { } wanted
            && Math.Abs((number.Nanometres!.Value / 1e6) - wanted) > PlaceToleranceMm)
        {
            faults.Add(row.Line, $"column {name}", Quoted.Of(row.Cells[at]), FormattableString.Invariant($"{wanted:0.######}, as in the layout"));
        }
    }

    private string Dialect(SurveyFileHeader header) =>
        string.Join(", ", header.Columns.Select(c => $"{c.Column} in {c.Unit}").Prepend(numbers.Sign).Prepend(SurveyFileRow.Words(header.Separator)));
}
