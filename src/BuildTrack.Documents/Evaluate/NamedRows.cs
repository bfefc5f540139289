using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>A column of numbers.</summary>
/// <param name="Unit">What faults call the unit.</param>
/// <param name="Largest">Largest size.</param>
/// <param name="MayBeEmpty">Cells may be empty; such a column may be missing as a whole, too.</param>
/// <param name="NotNegative">Zero or more.</param>
internal sealed record NumberColumn(string Name, string Unit, double Largest, bool MayBeEmpty = false, bool NotNegative = false);

/// <summary>Rows that each have a name of their own and some numbers.</summary>
internal sealed class NamedRows
{
    public List<EvaluationFault> Faults { get; } = [];

    /// <summary>Names with numbers in the order of the columns asked for; null where a cell or a column is empty.</summary>
    public List<(string Name, double?[] Numbers)> Rows { get; } = [];

    /// <summary>Which of the columns asked for the table has.</summary>
    public bool[] Has { get; private set; } = [];

    /// <summary>Reads a table to its end, or to its first fifty faults.</summary>
    /// <param name="nameColumn">Column of names.</param>
    /// <param name="oneOf">Two columns of which one must be there and not both.</param>
    public static NamedRows Read(TextReader csv, string fileName, string nameColumn, IReadOnlyList<NumberColumn> columns,
        (string First, string Second)? oneOf = null)
    {
        var read = new NamedRows();
        var table = new PointTable(csv, fileName);
        if (table.ReadHeader())
        {
            read.Fill(table, fileName, nameColumn, columns, oneOf);
        }

        read.Faults.AddRange(table.Faults);
        return read;
    }

    private void Fill(PointTable table, string fileName, string nameColumn, IReadOnlyList<NumberColumn> columns, (string First, string Second)? oneOf)
    {
        if (oneOf is { } pair && table.Find(pair.First) >= 0 && table.Find(pair.Second) >= 0)
        {
            Faults.Add(new EvaluationFault(fileName, table.Line, 1, $"both {pair.First} and {pair.Second}", "one of them"));
            return;
        }

        bool Optional(NumberColumn c) => c.MayBeEmpty || (oneOf is { } two && (c.Name == two.First || c.Name == two.Second));
        var name = table.Need(nameColumn, $"a column {nameColumn}");
        int[] at = [.. columns.Select(c => Optional(c) ? table.Find(c.Name) : table.Need(c.Name, $"a column {c.Name}"))];
        if (oneOf is { } needed && table.Find(needed.First) < 0 && table.Find(needed.Second) < 0)
        {
            table.Need(needed.First, $"a column {needed.First} or {needed.Second}");
        }

        Has = [.. at.Select(a => a >= 0)];
        if (table.Faults.Count > 0)
        {
            return;
        }

        var lines = new Dictionary<string, long>(StringComparer.Ordinal);
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (table.RightLength(row) && Row(table, row, (name, nameColumn), columns, at, lines) is { } found)
            {
                Rows.Add(found);
            }
        }
    }

    private static (string, double?[])? Row(PointTable table, Field[] row, (int At, string Name) name, IReadOnlyList<NumberColumn> columns, int[] at,
        Dictionary<string, long> lines)
    {
        var text = PointTable.Text(row, name.At);
        var good = text.Length > 0;
        if (!good)
        {
            table.FaultAt(row, name.At, $"the name of the {name.Name}");
        }

        var numbers = new double?[columns.Count];
        for (var k = 0; k < columns.Count; k++)
        {
            if (at[k] < 0 || (columns[k].MayBeEmpty && PointTable.Text(row, at[k]).Length == 0))
            {
                continue;
            }

            if (!table.Number(row, at[k], columns[k].Unit, columns[k].Largest, out var value))
            {
                good = false;
            }
            else if (columns[k].NotNegative && value < 0)
            {
                table.Fault(row[at[k]], $"'{row[at[k]].Text}'", $"a number in {columns[k].Unit} of 0 or more");
                good = false;
            }
            else
            {
                numbers[k] = value;
            }
        }

        if (good && !lines.TryAdd(text, table.Line))
        {
            table.Fault(row[name.At], Invariant($"{name.Name} {text} a second time (first in line {lines[text]})"), "each once");
            return null;
        }

        return good ? (text, numbers) : null;
    }
}
