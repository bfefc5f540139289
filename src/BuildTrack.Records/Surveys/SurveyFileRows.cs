using System.Text;
using BuildTrack.Domain.Measuring;
using BuildTrack.Records.Checklists;

namespace BuildTrack.Records.Surveys;

/// <summary>One line of cells; a quoted cell may reach over several lines of the file.</summary>
/// <param name="Line">Line of the file where it begins, from 1.</param>
/// <param name="Count">Number of its cells; empty ones at the end do not count.</param>
internal sealed record SurveyFileRow(int Line, List<string> Cells, int Count)
{
    /// <summary>"semicolon".</summary>
    public static string Words(char separator) => separator switch { '\t' => "tab", ';' => "semicolon", _ => "comma" };

    /// <summary>Whether it has as many cells as the header; a fault where it has not.</summary>
    public bool HasCells(int wanted, char separator, SurveyFileFaults faults)
    {
        if (Count <= wanted && Cells.Count >= wanted)
        {
            return true;
        }

        var comma = separator == ',' && Count > wanted ? "; a decimal comma needs quotes, or semicolons between the cells" : "";
        var cells = Math.Max(Count, Math.Min(Cells.Count, wanted));
        faults.Add(Line, null, cells == 1 ? "1 cell" : FormattableString.Invariant($"{cells} cells"), FormattableString.Invariant($"{wanted}, as in the header{comma}"));
        return false;
    }
}

/// <summary>Splits the text of a survey file into rows of cells (RFC 4180, with any separator and any line end).</summary>
/// <remarks>Of our own, because a fault has to name line and character, which the library at hand tells for whole records only.</remarks>
/// <param name="from">Faults of earlier lines are not told: what an instrument writes above its table is no row of it.</param>
internal sealed class SurveyFileRows(string text, char separator, SurveyFileFaults? faults, int from = 1)
{
    // A row keeps no more cells than this; a file of two million separators is not two million strings.
    private const int MostCells = 200;

    private int at;
    private int line = 1;
    private int lineStart;

    /// <summary>All rows that are not blank.</summary>
    public IEnumerable<SurveyFileRow> All()
    {
        while (at < text.Length && faults?.Full != true)
        {
            var row = Next();
            if (row.Count > 0)
            {
                yield return row;
            }
        }
    }

    private SurveyFileRow Next()
    {
        var begin = line;
        var cells = new List<string>();
        var (count, filled) = (0, 0);
        while (true)
        {
            var cell = at < text.Length && text[at] == '"' ? QuotedCell() : BareCell();
            count++;
            filled = string.IsNullOrWhiteSpace(cell) ? filled : count;
            if (count <= MostCells)
            {
                cells.Add(cell);
            }

            if (at < text.Length && text[at] == separator)
            {
                at++;
                continue;
            }

            EndLine();
            return new SurveyFileRow(begin, cells, filled);
        }
    }

    private string BareCell()
    {
        var begin = at;
        while (at < text.Length && text[at] != separator && text[at] is not ('\r' or '\n'))
        {
            if (text[at] == '"')
            {
                Fault(line, at - lineStart + 1, "a quote inside a cell without quotes", "quotes around the whole cell, doubled inside");
                SkipLine();
                return text[begin..at];
            }

            at++;
        }

        return text[begin..at];
    }

    private string QuotedCell()
    {
        var (openLine, openCharacter) = (line, at - lineStart + 1);
        var cell = new StringBuilder();
        for (at++; at < text.Length; at++)
        {
            if (text[at] != '"')
            {
                cell.Append(text[at]);
                if (text[at] == '\n' || (text[at] == '\r' && (at + 1 == text.Length || text[at + 1] != '\n')))
                {
                    (line, lineStart) = (line + 1, at + 1);
                }
            }
            else if (at + 1 < text.Length && text[at + 1] == '"')
            {
                cell.Append('"');
                at++;
            }
            else
            {
                at++;
                AfterQuote();
                return cell.ToString();
            }
        }

        Fault(openLine, openCharacter, "a quote that is never closed", "a closing quote before the next cell");
        return cell.ToString();
    }

    private void AfterQuote()
    {
        while (at < text.Length && text[at] == ' ' && text[at] != separator)
        {
            at++;
        }

        if (at < text.Length && text[at] != separator && text[at] is not ('\r' or '\n'))
        {
            Fault(line, at - lineStart + 1, $"{Quoted.Of(text[at].ToString())} after a closing quote", "the next cell or the end of the line");
            SkipLine();
        }
    }

    private void SkipLine()
    {
        while (at < text.Length && text[at] is not ('\r' or '\n'))
        {
            at++;
        }
    }

    private void EndLine()
    {
        if (at < text.Length)
        {
            at += text[at] == '\r' && at + 1 < text.Length && text[at + 1] == '\n' ? 2 : 1;
            (line, lineStart) = (line + 1, at);
        }
    }

    private void Fault(int line, int character, string found, string expected)
    {
        if (line >= from)
        {
            faults?.Add(line, FormattableString.Invariant($"character {character}"), found, expected);
        }
    }
}
