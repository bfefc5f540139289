using BuildTrack.Documents.Drawings;
using BuildTrack.Metrology.Verdicts;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;

namespace BuildTrack.Documents.Certificates.Sheets;

/// <summary>A column of a table.</summary>
/// <param name="Number">Right-aligned, never wrapped.</param>
/// <param name="Frame">Holds framed result words: its text is the word, the frame follows <see cref="Cell.Verdict"/>.</param>
internal sealed record TableColumn(string Head, bool Number = false, bool Frame = false, bool Fixed = false);

/// <summary>A cell.</summary>
internal sealed record Cell(string Text, bool Bold = false, Verdict? Verdict = null)
{
    public static implicit operator Cell(string text) => new(text);
}

/// <summary>A ruled table that wraps what is long, repeats its head on every sheet and breaks between rows only.</summary>
internal sealed class SheetTable(TableColumn[] columns, double size = 7.9)
{
    private const double Gap = 7, Least = 34;

    private readonly List<Cell[]> rows = [];

    public void Row(params Cell[] cells) => rows.Add(cells);

    public void SetInto(SheetFlow flow)
    {
        var (body, head) = (Lettering.Font(size), Lettering.Font(size - 0.6));
        var widths = Widths(body, head);
        var headLines = columns.Select((c, i) => Lettering.Wrap(c.Head, head, widths[i])).ToArray();
        var headHeight = (headLines.Max(l => l.Count) * Lettering.Line(head)) + 3;
        var set = rows.Select(r => r.Select((c, i) => columns[i].Frame ? [c.Text] : Lettering.Wrap(c.Text, Font(c), widths[i])).ToArray()).ToArray();
        var heights = set.Select((r, n) => Math.Max(
            (r.Max(l => l.Count) * Lettering.Line(body)) + 3, rows[n].Where((_, i) => columns[i].Frame).Any() ? 17 : 0)).ToArray();

        var next = 0;
        do
        {
            flow.Need(headHeight + (heights.Length > next ? heights[next] : 0));
            var (from, y) = (next, flow.Y + headHeight);
            while (next < rows.Count && (y + heights[next] <= SheetFlow.Bottom || next == from))
            {
                y += heights[next++];
            }

            var (top, to) = (flow.Y, next);
            flow.Place(p => p.Block(PdfBlockLevelElementTag.Table, () =>
            {
                Head(p, headLines, widths, head, top);
                var at = top + headHeight;
                for (var n = from; n < to; n++)
                {
                    RowAt(p, rows[n], set[n], widths, at, heights[n], n == to - 1);
                    at += heights[n];
                }
            }));
            flow.Space(y - flow.Y + 8);
        }
        while (next < rows.Count);
    }

    private XFont Font(Cell cell) => Lettering.Font(size, cell.Bold);

    private void Head(PagePainter p, List<string>[] lines, double[] widths, XFont font, double top)
    {
        var most = lines.Max(l => l.Count);
        p.Block(PdfBlockLevelElementTag.TableRow, () =>
        {
            var x = SheetFlow.Left;
            for (var i = 0; i < columns.Length; i++)
            {
                var (column, left) = (i, x);
                // Heads stand on the rule, as on a ruled form.
                var first = top + font.Size + ((most - lines[i].Count) * Lettering.Line(font));
                p.Block(PdfBlockLevelElementTag.TableHeaderCell, () => Lines(p, lines[column], font, left, widths[column], columns[column].Number, first, Ink.Note));
                x += widths[i] + Gap;
            }
        });
        p.Artifact(() => p.Page.DrawLine(Pens.Of(Stroke.Mid), SheetFlow.Left, top + (most * Lettering.Line(font)) + 1.5, End(widths), top + (most * Lettering.Line(font)) + 1.5));
    }

    private void RowAt(PagePainter p, Cell[] cells, List<string>[] lines, double[] widths, double top, double height, bool last)
    {
        p.Block(PdfBlockLevelElementTag.TableRow, () =>
        {
            var x = SheetFlow.Left;
            for (var i = 0; i < columns.Length; i++)
            {
                var (column, left) = (i, x);
                p.Block(PdfBlockLevelElementTag.TableDataCell, () =>
                {
                    if (columns[column].Frame)
                    {
                        Framed.Word(p.Page, new XRect(left, top + 1.6, widths[column], 13.4), cells[column].Verdict, cells[column].Text, 7.2);
                        return;
                    }

                    var font = Font(cells[column]);
                    var room = columns.Any(c => c.Frame) && lines.All(l => l.Count == 1) ? 2.2 : 0;
                    Lines(p, lines[column], font, left, widths[column], columns[column].Number, top + room + font.Size + 1.4, Ink.Full);
                });
                x += widths[i] + Gap;
            }
        });
        var rule = last ? Pens.Of(Stroke.Thin) : Pens.Of(Stroke.Thin, Ink.Soft);
        p.Artifact(() => p.Page.DrawLine(rule, SheetFlow.Left, top + height - 0.4, End(widths), top + height - 0.4));
    }

    private static double End(double[] widths) => SheetFlow.Left + widths.Sum() + (Gap * (widths.Length - 1));

    private static void Lines(PagePainter p, List<string> lines, XFont font, double left, double width, bool right, double y, Ink ink)
    {
        foreach (var line in lines)
        {
            p.Page.DrawString(line, font, Pens.Brush(ink), right ? left + width - Lettering.Width(line, font) : left, y);
            y += Lettering.Line(font);
        }
    }

    /// <summary>Numbers and fixed texts get what they need; the columns that wrap share the rest by what they would like.</summary>
    private double[] Widths(XFont body, XFont head)
    {
        var bold = Lettering.Font(size, bold: true);
        var room = SheetFlow.Width - (Gap * (columns.Length - 1));
        var wish = columns.Select((c, i) => c.Frame ? 62 : rows.Select(r => Lettering.Width(r[i].Text.Split('\n').MaxBy(l => l.Length)!, r[i].Bold ? bold : body))
            .Append(c.Head.Split(' ').Max(w => Lettering.Width(w, head))).Max() + 0.5).ToArray();
        var solid = columns.Select(c => c.Number || c.Frame || c.Fixed).ToArray();
        var taken = wish.Where((_, i) => solid[i]).Sum();
        var loose = wish.Where((_, i) => !solid[i]).Sum();
        if (loose <= 0)
        {
            // Short columns stand a little apart; the rules end with the last one.
            var (squeezed, spread) = (Math.Min(1, room / taken), Math.Clamp((room - taken) / columns.Length, 0, 22));
            return [.. wish.Select((w, i) => (w * squeezed) + (i == 0 ? 0 : spread))];
        }

        // Solid columns may not starve the others: each loose column keeps at least 34 points.
        var least = Least * solid.Count(s => !s);
        var squeeze = Math.Min(1, (room - least) / Math.Max(taken, 1));
        // What would like more than a third of the sheet wraps anyway; short texts beside it should not.
        var rest = Shares([.. wish.Where((_, i) => !solid[i]).Select(w => Math.Min(w, SheetFlow.Width / 3))], room - (taken * squeeze));
        return [.. wish.Select((w, i) => solid[i] ? w * squeeze : rest[solid.Take(i).Count(s => !s)])];
    }

    /// <summary>Shares of a room by wish, none below the least; the others give what that takes.</summary>
    private static double[] Shares(double[] wish, double room)
    {
        var small = new bool[wish.Length];
        while (true)
        {
            var free = room - (Least * small.Count(s => s));
            var sum = wish.Where((_, i) => !small[i]).Sum();
            var next = wish.Select((w, i) => small[i] || free * w / sum < Least).ToArray();
            if (next.SequenceEqual(small) || next.All(s => s))
            {
                return [.. wish.Select((w, i) => next.All(s => s) ? room / wish.Length : small[i] ? Least : free * w / sum)];
            }

            small = next;
        }
    }
}
