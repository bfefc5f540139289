using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Surveys;

/// <summary>Reads a file with a header of its own, by what was said of its columns.</summary>
/// <remarks>
/// Names and positions: every row is a station, and every station has one row. Times and angles: of a file that was written far finer than it is
/// asked for, the row nearest to each station's minute or angle counts, and the others are left out.
/// </remarks>
internal sealed partial class OwnColumnsReader
{
    /// <summary>How far a position may be from its station: what a drive stops beside its target is no longer another place.</summary>
    private const double PositionToleranceMm = 0.5 + 1e-9;

    private const double DayMin = 24 * 60;

    private static readonly NumberFormatInfo Grouped = new() { NumberGroupSeparator = "\u00A0" };

    private readonly OwnHeader header;
    private readonly ColumnMapping mapping;
    private readonly ImmutableArray<Station> stations;
    private readonly IReadOnlySet<string> expected;
    private readonly SurveyFileFaults faults;
    private readonly SurveyFileNumbers numbers;
    private readonly SurveyFileStations taken;
    private readonly string place;
    private readonly int placeCell;
    private readonly ImmutableArray<(ValueColumn Value, int Cell)> values;
    private readonly ImmutableArray<PreviewRow>.Builder rows = ImmutableArray.CreateBuilder<PreviewRow>();
    private int count;
    private int left;

    private OwnColumnsReader(OwnHeader header, ColumnMapping mapping, ImmutableArray<Station> stations, IReadOnlySet<string> expected, SurveyFileFaults faults)
    {
        (this.header, this.mapping, this.stations, this.expected, this.faults) = (header, mapping, stations, expected, faults);
        place = Shown(mapping.Place.Name);
        numbers = new SurveyFileNumbers(faults);
        taken = new SurveyFileStations(faults, stations, expected, place);
        placeCell = header.Where(mapping.Place.Name)[0];
        values = [.. mapping.Values.Select(v => (v, header.Where(v.Name)[0]))];
    }

    /// <param name="stations">All stations of the survey's layout.</param>
    /// <param name="expected">The stations that must be there, each once.</param>
    public static (ImmutableArray<PreviewRow> Rows, string Dialect) Read(
        string text, ColumnMapping mapping, ImmutableArray<Station> stations, IReadOnlySet<string> expected, SurveyFileFaults faults)
    {
        var header = OwnHeader.Of(text, mapping);
        foreach (var name in mapping.Names.Where(n => header?.Where(n).Length != 1))
        {
            var found = header?.Where(name) is [var first, var second, ..]
                ? FormattableString.Invariant($"{Quoted.Of(name)} a second time (as columns {first + 1} and {second + 1})") : "no such column";
            faults.Add(header?.Line ?? 1, $"column {Shown(name)}", found,
                header is null ? "a header of two columns or more, separated by comma, semicolon or tab" : Quoted.OneOf(header.Names.Select(Shown)));
        }

        return header is null || !header.HasAll(mapping) ? ([], "") : new OwnColumnsReader(header, mapping, stations, expected, faults).Read(text);
    }

    private (ImmutableArray<PreviewRow> Rows, string Dialect) Read(string text)
    {
        var last = header.Line;
        var log = mapping.Place.Way is PlaceWay.Seconds or PlaceWay.Minutes or PlaceWay.Hours or PlaceWay.Clock or PlaceWay.Degrees ? new FineLog(stations, expected) : null;
        foreach (var row in new SurveyFileRows(text, header.Separator, faults, header.Line).All().SkipWhile(r => r.Line <= header.Line))
        {
            (last, count) = (row.Line, count + 1);
            if (!row.HasCells(header.Names.Length, header.Separator, faults))
            {
                continue;
            }

            if (log is not null && mapping.Place.Way == PlaceWay.Degrees)
            {
                Angle(row, log);
            }
            else if (log is not null)
            {
                Time(row, log);
            }
            else if (StationOf(row) is { } station)
            {
                Values(row, station.Id);
            }
        }

        foreach (var (station, row) in log?.Nearest ?? [])
        {
            taken.Take(station, row.Line, "");
            Values(row, station.Id);
        }

        left = count - (log?.Nearest.Count() ?? count);
        var (what, unit) = mapping.Place.Way == PlaceWay.Degrees ? ("angle", "°") : ("time", " min");
        var nearer = log is null or { Half: double.PositiveInfinity } ? "" : FormattableString.Invariant($", nearer to its {what} than {log.Half:0.###}{unit}");
        taken.Missing(last, nearer);
        return (rows.ToImmutable(), Dialect(log));
    }

    private Station? StationOf(SurveyFileRow row)
    {
        var cell = row.Cells[placeCell];
        if (mapping.Place.Way == PlaceWay.Station)
        {
            return taken.Named(cell.Trim().Replace('>', '→'), row.Line);
        }

        if (numbers.Of(row.Line, place, cell, mapping.Place.Way == PlaceWay.Metres ? "m" : "mm") is not { } position)
        {
            return null;
        }

        var mm = position.Nanometres!.Value / 1e6;
        var near = stations.Where(s => Math.Abs(s.XMm - mm) <= PositionToleranceMm).ToList();
        if (near is [var station])
        {
            return taken.Take(station, row.Line, $"{Quoted.Of(cell)}, ") ? station : null;
        }

        var (found, wanted) = near.Count == 0
            ? ("no station", $"within 0.5 mm of {Quoted.OneOf(stations.Select(s => FormattableString.Invariant($"{s.Id} at {s.XMm:0.###}")))}")
            : ($"stations {string.Join(" and ", near.Select(s => s.Id))}", "a position within 0.5 mm of one station alone; names of stations tell them apart");
        faults.Add(row.Line, $"column {place}", $"{Quoted.Of(cell)}, {found}", wanted);
        return null;
    }

    private void Angle(SurveyFileRow row, FineLog log)
    {
        if (numbers.Of(row.Line, place, row.Cells[placeCell], "°") is { Number: { } degrees })
        {
            log.AddAngle(degrees, row);
        }
    }

    private void Time(SurveyFileRow row, FineLog log)
    {
        var cell = row.Cells[placeCell];
        if (Minute(row, cell, log) is not { } minute)
        {
            return;
        }

        if (log.Last is { } before && minute < before.Minute)
        {
            faults.Add(row.Line, $"column {place}",
                FormattableString.Invariant($"{Quoted.Of(cell)} after {Quoted.Of(before.Cell)} in line {before.Line}"), "times that do not go backwards");
        }

        log.Add(minute, row, cell);
    }

    private double? Minute(SurveyFileRow row, string cell, FineLog log)
    {
        if (mapping.Place.Way != PlaceWay.Clock)
        {
            var (unit, perUnit) = mapping.Place.Way switch { PlaceWay.Seconds => ("s", 1 / 60.0), PlaceWay.Hours => ("h", 60), _ => ("min", 1.0) };
            return numbers.Of(row.Line, place, cell, unit)?.Number * perUnit;
        }

        if (ClockText().Match(cell.Trim()) is not { Success: true } clock)
        {
            faults.Add(row.Line, $"column {place}", string.IsNullOrWhiteSpace(cell) ? "nothing" : Quoted.Of(cell), "a time of day, as in 14:05 or 14:05:30");
            return null;
        }

        double Part(string name) => clock.Groups[name] is { Success: true } part ? double.Parse(part.Value.Replace(',', '.'), CultureInfo.InvariantCulture) : 0;
        return log.SinceFirst((60 * Part("h")) + Part("m") + (Part("s") / 60), DayMin);
    }

    private void Values(SurveyFileRow row, string station)
    {
        foreach (var (value, cell) in values)
        {
            var typed = row.Cells[cell];
            if (numbers.Of(row.Line, Shown(value.Name), typed, value.Unit) is { } number)
            {
                rows.Add(new PreviewRow(row.Line, station, value.Column, typed, value.Unit, number.Nanometres, number.Number));
            }
        }
    }

    private string Dialect(FineLog? log)
    {
        List<string> said = [SurveyFileRow.Words(header.Separator), numbers.Sign, mapping.Said()];
        if (header.Skipped > 0)
        {
            said.Add(header.Skipped == 1 ? "1 line before the header skipped" : $"{Spaced(header.Skipped)} lines before the header skipped");
        }

        if (log is not null)
        {
            var each = log.EachMinute ? "minute" : $"of {Spaced(expected.Count)} {(mapping.Place.Way == PlaceWay.Degrees ? "angles" : "times")}";
            said.Add($"{Spaced(count)} rows, the nearest to each {each} taken, {(left == 0 ? "none" : Spaced(left))} left out");
        }

        return string.Join(", ", said);
    }

    private static string Spaced(int number) => number.ToString("#,0", Grouped);

    private static string Shown(string name) => Quoted.Of(name.Trim()).Trim('\'');

    [GeneratedRegex(
        @"^(?<h>[01]?[0-9]|2[0-3]):(?<m>[0-5][0-9])(:(?<s>[0-5][0-9]([.,][0-9]{1,9})?))?$", RegexOptions.ExplicitCapture | RegexOptions.CultureInvariant)]
    private static partial Regex ClockText();
}
