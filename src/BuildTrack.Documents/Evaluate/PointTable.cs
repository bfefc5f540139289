using System.Globalization;
using System.Text;

namespace BuildTrack.Documents.Evaluate;

/// <summary>One field of a table with the place it stands at.</summary>
internal readonly record struct Field(string Text, int Column);

/// <summary>Reads a table line by line: header required; comma, semicolon or tab; point or comma decimals; quotes allowed.</summary>
/// <remarks>
/// The separator is the one the header uses. Where it is the comma, decimals need a point; else either is understood, but never both in one number: "1.234,5"
/// could mean two things, so it is refused.
/// </remarks>
internal sealed class PointTable(TextReader reader, string fileName)
{
    private const int MostFaults = 50;

    private readonly List<EvaluationFault> faults = [];

    private char separator;

    private string[] names = [];

    public IReadOnlyList<EvaluationFault> Faults => faults;

    /// <summary>No more faults are collected; reading on would tell nothing new.</summary>
    public bool TooManyFaults => faults.Count >= MostFaults;

    public long Line { get; private set; }

    /// <summary>Reads the header; false where there is none.</summary>
    public bool ReadHeader()
    {
        while (reader.ReadLine() is { } line)
        {
            Line++;
            line = line.TrimStart('\uFEFF');
            if (string.IsNullOrWhiteSpace(line))
            {
                continue;
            }

            separator = line.Contains('\t', StringComparison.Ordinal) ? '\t' : line.Contains(';', StringComparison.Ordinal) ? ';' : ',';
            var fields = Split(line);
            names = [.. fields.Select(f => f.Text.ToLowerInvariant())];
            foreach (var again in fields.Where((f, i) => f.Text.Length > 0 && Array.IndexOf(names, names[i]) < i))
            {
                Fault(again, $"the column '{again.Text}' a second time", "each column once");
            }

            return true;
        }

        faults.Add(new EvaluationFault(fileName, Math.Max(Line, 1), 1, "nothing", "a header line"));
        return false;
    }

    /// <summary>Index of a column, or −1.</summary>
    public int Find(string name) => Array.IndexOf(names, name);

    /// <summary>Index of a column that must be there; a fault and −1 where it is not.</summary>
    public int Need(string name, string expected)
    {
        var index = Find(name);
        if (index < 0)
        {
            faults.Add(new EvaluationFault(fileName, Line, 1, $"the header '{string.Join(separator == '\t' ? ' ' : separator, names)}'", expected));
        }

        return index;
    }

    /// <summary>The next row that is not empty; null at the end.</summary>
    public Field[]? ReadRow()
    {
        while (reader.ReadLine() is { } line)
        {
            Line++;
            if (!string.IsNullOrWhiteSpace(line))
            {
                return Split(line);
            }
        }

        return null;
    }

    /// <summary>A finite number out of a row; false and a fault where there is none.</summary>
    public bool Number(Field[] row, int index, string unit, out double value)
    {
        value = 0;
        var name = names[index];
        if (index >= row.Length)
        {
            var end = row.Length == 0 ? 1 : row[^1].Column + row[^1].Text.Length;
            faults.Add(new EvaluationFault(fileName, Line, end, $"{row.Length} fields", $"{names.Length} fields, among them {name}"));
            return false;
        }

        var field = row[index];
        var text = field.Text.Replace('−', '-');
        if (separator != ',' && text.Contains(',', StringComparison.Ordinal))
        {
            text = text.Contains('.', StringComparison.Ordinal) ? "" : text.Replace(',', '.');
        }

        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value))
        {
            return true;
        }

        Fault(field, field.Text.Length == 0 ? "nothing" : $"'{field.Text}'", $"a finite number in {unit} for {name}");
        return false;
    }

    /// <summary>A finite number no larger than something measured can be; false and a fault where there is none.</summary>
    public bool Number(Field[] row, int index, string unit, double largest, out double value)
    {
        if (!Number(row, index, unit, out value))
        {
            return false;
        }

        if (Math.Abs(value) <= largest)
        {
            return true;
        }

        Fault(row[index], $"'{row[index].Text}'", string.Create(CultureInfo.InvariantCulture, $"a number in {unit} within ±{Short(largest)}"));
        return false;
    }

    /// <summary>A text out of a row; empty where the row is too short.</summary>
    public static string Text(Field[] row, int index) => index >= 0 && index < row.Length ? row[index].Text : "";

    /// <summary>A fault at a field, or at the end of a row that is too short.</summary>
    public void FaultAt(Field[] row, int index, string expected)
    {
        var field = index < row.Length ? row[index] : new Field("", row[^1].Column + row[^1].Text.Length);
        Fault(field, field.Text.Length == 0 ? "nothing" : $"'{field.Text}'", expected);
    }

    /// <summary>More fields than columns: a comma meant as a decimal, as a rule.</summary>
    public bool RightLength(Field[] row)
    {
        if (row.Length <= names.Length)
        {
            return true;
        }

        Fault(row[names.Length], $"{row.Length} fields", $"{names.Length} as in the header (decimal commas need ; or a tab between the columns)");
        return false;
    }

    public void Fault(Field field, string found, string expected) => faults.Add(new EvaluationFault(fileName, Line, field.Column, found, expected));

    private static string Short(double value) => value < 1e6 ? value.ToString("R", CultureInfo.InvariantCulture) : value.ToString("0E0", CultureInfo.InvariantCulture).ToLowerInvariant();

    private Field[] Split(string line)
    {
        var fields = new List<Field>();
        var text = new StringBuilder();
        var (start, quoted) = (0, false);
        for (var i = 0; i <= line.Length; i++)
        {
            if (i == line.Length || (line[i] == separator && !quoted))
            {
                var raw = text.ToString();
                fields.Add(new Field(raw.Trim(), start + 1 + (raw.Length - raw.TrimStart().Length)));
                text.Clear();
                start = i + 1;
            }
            else if (line[i] == '"')
            {
                quoted = !quoted;
            }
            else
            {
                text.Append(line[i]);
            }
        }

        // Exports often end each line with a separator.
        if (fields.Count > 1 && fields[^1].Text.Length == 0 && (names.Length == 0 || fields.Count > names.Length))
        {
            fields.RemoveAt(fields.Count - 1);
        }

        return [.. fields];
    }
}
