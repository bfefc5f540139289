using System.Collections.Immutable;
using System.Text.Json;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Records.Surveys;

/// <summary>How a column of a file tells the place that its row belongs to.</summary>
public enum PlaceWay
{
    /// <summary>By the name of a station.</summary>
    Station,

    /// <summary>By the position along X, in millimetres.</summary>
    Millimetres,

    /// <summary>By the position along X, in metres.</summary>
    Metres,

    /// <summary>By the time since the log began, in seconds.</summary>
    Seconds,

    /// <summary>By the time since the log began, in minutes.</summary>
    Minutes,

    /// <summary>By the time since the log began, in hours.</summary>
    Hours,

    /// <summary>By the time of day, 14:05 or 14:05:30, counted from the first row.</summary>
    Clock,

    /// <summary>By the angle on a circular path, in degrees from +X toward +Y; whole turns do not count.</summary>
    Degrees,
}

/// <summary>The column of a file that tells the place.</summary>
/// <param name="Name">As the header has it.</param>
public sealed record PlaceColumn(string Name, PlaceWay Way);

/// <summary>Where a column of the survey stands in a file.</summary>
/// <param name="Column">The survey's column: "forward".</param>
/// <param name="Name">The file's column, as the header has it.</param>
/// <param name="Unit">What the numbers of the file are meant in; it may be another one than the instrument shows.</param>
public sealed record ValueColumn(string Column, string Name, string Unit);

/// <summary>Which column of a file with a header of its own is what. Columns that it does not name are ignored.</summary>
public sealed record ColumnMapping(PlaceColumn Place, ImmutableArray<ValueColumn> Values)
{
    private const string Example = """{"place":{"name":"Position","way":"millimetres"},"values":[{"column":"forward","name":"Dev. +","unit":"µm"}]}""";

    /// <summary>Every name of the file's header that it rests on.</summary>
    internal IEnumerable<string> Names => Values.Select(v => v.Name).Prepend(Place.Name);

    /// <summary>Reads what a program sent.</summary>
    /// <exception cref="BadInputException">It is no such text.</exception>
    public static ColumnMapping Parse(string json)
    {
        ArgumentNullException.ThrowIfNull(json);
        try
        {
            if (CanonicalJson.Read<ColumnMapping>(json) is { Place: { Name: not null }, Values.IsDefault: false } mapping
                && mapping.Values.All(v => v is { Column: not null, Name: not null, Unit: not null }))
            {
                return mapping with { Values = [.. mapping.Values.Select(v => v with { Unit = Units.OneMicro(v.Unit) })] };
            }
        }
        catch (Exception e) when (e is JsonException or ArgumentException)
        {
            // Told below, with what was found.
        }

        throw new BadInputException("mapping", json.Length == 0 ? "nothing" : Quoted.Of(json), $"which column is what, as in {Example}");
    }

    /// <summary>The ways in which a file can tell the places of a survey: times of a log, angles of a path, or names and positions.</summary>
    /// <remarks>The steps of a level stand between two stations and have names only.</remarks>
    public static ImmutableArray<PlaceWay> WaysOf(Survey survey, ImmutableArray<Station> stations)
    {
        ArgumentNullException.ThrowIfNull(survey);
        return stations.Any(s => s.Minute is not null) ? [PlaceWay.Seconds, PlaceWay.Minutes, PlaceWay.Hours, PlaceWay.Clock, PlaceWay.Station]
            : stations.Any(s => s.Degrees is not null) ? [PlaceWay.Degrees, PlaceWay.Station]
            : survey.Stepped ? [PlaceWay.Station]
            : [PlaceWay.Station, PlaceWay.Millimetres, PlaceWay.Metres];
    }

    /// <summary>The units that numbers of a file may be meant in where the instrument shows one: that one first.</summary>
    public static ImmutableArray<string> UnitsFor(string shown) => [shown, .. Units.Known.Where(u => u != shown && Units.Convertible(u, shown))];

    /// <summary>"position in mm", "clock time".</summary>
    public static string Words(PlaceWay way) => way switch
    {
        PlaceWay.Station => "station names",
        PlaceWay.Millimetres => "position in mm",
        PlaceWay.Metres => "position in m",
        PlaceWay.Seconds => "time in s",
        PlaceWay.Minutes => "time in min",
        PlaceWay.Hours => "time in h",
        PlaceWay.Clock => "clock time",
        PlaceWay.Degrees => "angle in °",
        _ => throw new ArgumentOutOfRangeException(nameof(way), way, "There is no such way to tell a place."),
    };

    /// <summary>"position in mm from 'Pos', forward in µm from 'Dev +'".</summary>
    public string Said() =>
        string.Join(", ", Values.Select(v => $"{v.Column} in {v.Unit} from {Quoted.Of(v.Name)}").Prepend($"{Words(Place.Way)} from {Quoted.Of(Place.Name)}"));

    /// <summary>What is wrong with it for a survey, before any file is looked at.</summary>
    /// <param name="columns">The survey's number columns with the unit that the instrument shows.</param>
    internal IEnumerable<InputFault> Faults(Survey survey, ImmutableArray<Station> stations, ImmutableArray<(string Column, string Unit)> columns)
    {
        var ways = WaysOf(survey, stations);
        if (!ways.Contains(Place.Way))
        {
            yield return new InputFault("mapping, place", Words(Place.Way), $"{Quoted.OneOf(ways.Select(Words))}, as survey {survey.Id} has its places");
        }

        if (string.IsNullOrWhiteSpace(Place.Name))
        {
            yield return new InputFault("mapping, place", "nothing", "a column of the file");
        }

        foreach (var value in Values)
        {
            var where = $"mapping, column {Quoted.Of(value.Column).Trim('\'')}";
            if (string.IsNullOrWhiteSpace(value.Name))
            {
                yield return new InputFault(where, "nothing", "a column of the file");
            }

            if (columns.FirstOrDefault(c => c.Column == value.Column) is not { Column: not null } wanted)
            {
                yield return new InputFault(where, $"no such column of survey {survey.Id}", Quoted.OneOf(columns.Select(c => c.Column)));
            }
            else if (!Units.Convertible(value.Unit, wanted.Unit))
            {
                yield return new InputFault(where, value.Unit.Length == 0 ? "no unit" : $"unit {Quoted.Of(value.Unit)}", Quoted.OneOf(UnitsFor(wanted.Unit)));
            }
        }

        foreach (var (column, _) in columns.Where(c => Values.Count(v => v.Column == c.Column) != 1))
        {
            yield return new InputFault($"mapping, column {column}", Values.Any(v => v.Column == column) ? "named more than once" : "nothing", "one column of the file");
        }

        foreach (var name in Names.GroupBy(Plain).Where(g => g.Count() > 1 && g.Key.Length > 0).Select(g => g.First()))
        {
            yield return new InputFault("mapping", $"{Quoted.Of(name)} for two things", "each column of the file for one thing");
        }
    }

    /// <summary>A name of a header as it is compared: without the space around it, small and capital letters alike, one letter for micro.</summary>
    internal static string Plain(string name) => Units.OneMicro(name.Trim()).ToUpperInvariant();
}
