using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Records.Checklists;

namespace BuildTrack.Records.Surveys;

/// <summary>A column of the file that holds readings.</summary>
/// <param name="Cell">Which cell of a line, from 0.</param>
/// <param name="Name">"z_mm".</param>
/// <param name="Column">The survey's column: "z".</param>
internal sealed record SurveyFileColumn(int Cell, string Name, string Column, string Unit);

/// <summary>What the header of a survey file says.</summary>
/// <param name="Cells">Number of cells a line must have.</param>
/// <param name="X">The cell that repeats the layout's x, where there is one.</param>
internal sealed record SurveyFileHeader(int Line, char Separator, int Cells, int Station, ImmutableArray<SurveyFileColumn> Columns, int? X, int? Y)
{
    public const string StationName = "station";

    /// <summary>"z" in µm/m is "z_um_per_m": a name without letters that get lost between programs.</summary>
    public static string NameOf(string column, string unit) => $"{column}_{unit
        .Replace("µ", "u", StringComparison.Ordinal).Replace("/", "_per_", StringComparison.Ordinal).Replace("°", "deg", StringComparison.Ordinal)
        .Replace("%", "percent", StringComparison.Ordinal).Replace("Ω", "ohm", StringComparison.Ordinal)}";

    /// <summary>Finds the separator and what each column means; null where there is no header at all.</summary>
    /// <param name="columns">The survey's number columns with the unit that the instrument shows.</param>
    public static SurveyFileHeader? Of(string text, ImmutableArray<(string Column, string Unit)> columns, SurveyFileFaults faults)
    {
        SurveyFileRow? first = null;
        (SurveyFileRow Row, char Separator, int Station)? likely = null;
        foreach (var separator in new[] { '\t', ';', ',' })
        {
            var trial = new SurveyFileFaults("");
            first = new SurveyFileRows(text, separator, trial).All().FirstOrDefault() ?? first;
            if (first is not null && first.Cells.FindIndex(c => Same(c, StationName)) is >= 0 and var station)
            {
                // "station","z_mm" has a cell 'station' with any separator, but only the right one splits it without a fault.
                if (likely is null || trial.Found.Count == 0)
                {
                    likely = (first, separator, station);
                }

                if (trial.Found.Count == 0)
                {
                    break;
                }
            }
        }

        if (likely is { } header)
        {
            return new Reader(header.Row, header.Separator, header.Station, columns, faults).Header();
        }

        faults.Add(first?.Line ?? 1, null, first is null ? "no header" : Quoted.Of(first.Cells[0]), $"a header with {Expected(columns)}, separated by comma, semicolon or tab");
        return null;
    }

    /// <summary>Whether a file begins with a header of ours: stations, and a column that has the survey's name in whatever unit; or nothing but columns written our way, as the file of another survey has.</summary>
    /// <param name="columns">The survey's number columns.</param>
    public static bool IsOurs(string text, IEnumerable<string> columns)
    {
        HashSet<string> names = new(columns.SelectMany(c => Units.Known.Select(u => NameOf(c, u)).Append(c)), StringComparer.OrdinalIgnoreCase);
        string[] endings = [.. Units.Known.Select(u => NameOf("", u))];
        return new[] { '\t', ';', ',' }.Select(s => new SurveyFileRows(text, s, null).All().FirstOrDefault()).Any(row =>
        {
            if (row is null || !row.Cells.Any(c => Same(c, StationName)))
            {
                return false;
            }

            string[] others = [.. row.Cells.Select(c => Units.OneMicro(c.Trim()).Replace('µ', 'u')).Where(c => c.Length > 0 && !Same(c, StationName))];
            return others.Any(names.Contains) || (others.Length > 0 && others.All(c => endings.Any(e => c.Length > e.Length && c.EndsWith(e, StringComparison.OrdinalIgnoreCase))));
        });
    }

    private static string Expected(IEnumerable<(string Column, string Unit)> columns) =>
        string.Join(", ", columns.Select(c => NameOf(c.Column, c.Unit)).Prepend(StationName));

    private static bool Same(string cell, string name) => string.Equals(cell.Trim(), name, StringComparison.OrdinalIgnoreCase);

    private sealed class Reader(
        SurveyFileRow row, char separator, int station, ImmutableArray<(string Column, string Unit)> columns, SurveyFileFaults faults)
    {
        private readonly Dictionary<string, int> seen = new(StringComparer.OrdinalIgnoreCase);
        private readonly ImmutableArray<SurveyFileColumn>.Builder found = ImmutableArray.CreateBuilder<SurveyFileColumn>();
        private readonly HashSet<string> told = [];
        private int? x;
        private int? y;

        public SurveyFileHeader Header()
        {
            var cells = Math.Min(row.Count, row.Cells.Count);
            for (var i = 0; i < cells; i++)
            {
                Cell(i, Units.OneMicro(row.Cells[i].Trim()).Replace('µ', 'u'));
            }

            foreach (var (column, unit) in columns.Where(c => !told.Contains(c.Column)))
            {
                faults.Add(row.Line, $"column {NameOf(column, unit)}", "no such column", $"{Expected(columns)}");
            }

            return new SurveyFileHeader(row.Line, separator, row.Count, station, found.ToImmutable(), x, y);
        }

        private void Cell(int cell, string name)
        {
            var where = $"column {(name.Length == 0 ? FormattableString.Invariant($"{cell + 1}") : Quoted.Of(name).Trim('\''))}";
            if (!seen.TryAdd(name, cell) && name.Length > 0)
            {
                faults.Add(row.Line, where, FormattableString.Invariant($"{Quoted.Of(name)} a second time (first as column {seen[name] + 1})"), "each column once");
            }
            else if (columns.FirstOrDefault(c => Same(name, NameOf(c.Column, c.Unit))) is { Column: not null } wanted)
            {
                told.Add(wanted.Column);
                found.Add(new SurveyFileColumn(cell, NameOf(wanted.Column, wanted.Unit), wanted.Column, wanted.Unit));
            }
            else if (columns.FirstOrDefault(c => Same(name, c.Column) || Units.Known.Any(u => Same(name, NameOf(c.Column, u)))) is { Column: not null } other)
            {
                told.Add(other.Column);
                var unit = Units.Known.FirstOrDefault(u => Same(name, NameOf(other.Column, u)));
                faults.Add(row.Line, where, unit is null ? $"{Quoted.Of(name)} without a unit" : $"{Quoted.Of(name)}, that is {unit}",
                    $"{NameOf(other.Column, other.Unit)}: the instrument shows {other.Unit}");
            }
            else if (Same(name, "x_mm"))
            {
                x = cell;
            }
            else if (Same(name, "y_mm"))
            {
                y = cell;
            }
            else if (cell != station)
            {
                faults.Add(row.Line, where, $"unknown column {Quoted.Of(name)}", $"{Expected(columns)}, optionally x_mm, y_mm");
            }
        }
    }
}
