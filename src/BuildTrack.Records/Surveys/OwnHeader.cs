using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Surveys;

/// <summary>The header of a file that has columns of its own: the first row of two cells or more.</summary>
/// <param name="Names">Its cells, without the space around them; a name may be empty or stand there twice.</param>
/// <param name="Skipped">Rows before it that have one cell: titles of the instrument.</param>
/// <param name="First">The rows that follow it, as far as somebody looks at them.</param>
internal sealed record OwnHeader(int Line, char Separator, ImmutableArray<string> Names, int Skipped, ImmutableArray<ImmutableArray<string>> First)
{
    private const int Looked = 3;

    private static readonly char[] Separators = ['\t', ';', ','];

    /// <summary>The header of a table: named columns, and rows of as many cells below. Null where the text is none.</summary>
    public static OwnHeader? Of(string text) => Trials(text).FirstOrDefault(t => t.IsTable).Header;

    /// <summary>The header that has all the names; where none has, the likeliest one, so that the fault can say what stands there.</summary>
    public static OwnHeader? Of(string text, ColumnMapping mapping)
    {
        var trials = Trials(text).ToList();
        return trials.OrderByDescending(t => t.Header.HasAll(mapping)).ThenByDescending(t => t.IsTable).ThenByDescending(t => t.Clean).FirstOrDefault().Header;
    }

    /// <summary>Every name is there, once.</summary>
    public bool HasAll(ColumnMapping mapping) => mapping.Names.All(n => Where(n).Length == 1);

    /// <summary>The cells of that name, from 0.</summary>
    public ImmutableArray<int> Where(string name) =>
        [.. Enumerable.Range(0, Names.Length).Where(i => ColumnMapping.Plain(Names[i]) == ColumnMapping.Plain(name))];

    private static IEnumerable<(OwnHeader Header, bool Clean, bool IsTable)> Trials(string text)
    {
        foreach (var separator in Separators)
        {
            var (skipped, row) = FirstOf(text, separator);
            if (row is null)
            {
                continue;
            }

            // Only the right separator splits "Time","Power" without a fault; a quote in a title is nobody's business.
            var faults = new SurveyFileFaults("");
            var from = new SurveyFileRows(text, separator, faults, row.Line).All().SkipWhile(r => r.Line < row.Line).Take(1 + Looked).ToList();
            var header = new OwnHeader(
                row.Line, separator, [.. row.Cells.Take(row.Count).Select(c => c.Trim())], skipped, [.. from.Skip(1).Select(r => r.Cells.ToImmutableArray())]);
            var clean = faults.Found.Count == 0;
            var shaped = from.Count > 1 && from[1].Count <= row.Count && from[1].Cells.Count >= row.Count;
            yield return (header, clean, clean && shaped && header.Names.Count(IsName) >= 2);
        }
    }

    private static (int Skipped, SurveyFileRow? Row) FirstOf(string text, char separator)
    {
        var skipped = 0;
        foreach (var row in new SurveyFileRows(text, separator, null).All())
        {
            if (row.Count > 1)
            {
                return (skipped, row);
            }

            skipped++;
        }

        return (skipped, null);
    }

    // A file without a header begins with a row of numbers.
    private static bool IsName(string cell) => cell.Length > 0 && NumberText.Understand(cell, "1", exponents: true).Fault is not null;
}
