using BuildTrack.Documents.Certificates.Sheets;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;
using PdfSharp.Drawing;
using PdfSharp.UniversalAccessibility;
using static System.FormattableString;

namespace BuildTrack.Documents.Certificates;

/// <summary>One part for each result: the framed word on its scale, the map, the figures, the places that decide, the reasons.</summary>
internal static class ResultSheets
{
    /// <summary>Room that a result without a map takes, in points.</summary>
    private const double Least = 250;

    public static void Set(SheetFlow flow, Words words, CertifiedResult result)
    {
        var (evaluation, answer) = (result.Evaluation, result.Evaluation.Result);
        // A result with a map has a sheet of its own; others stand below one another.
        var withheld = result.Withheld == true;
        var drawn = withheld ? null : DeviationMap.Of(evaluation);
        if (drawn is not null || flow.Y + Least > SheetFlow.Bottom || words.Record.Results.First(r => !ListSheets.IsList(r)) == result)
        {
            flow.NewPage($"Result {result.Line}");
        }
        else
        {
            flow.Space(22);
        }

        flow.Heading($"{result.Line}  {result.Title}", 2);
        var requirement = evaluation.Input.Requirement;
        flow.Text(
            $"Limit {Words.Limit(requirement)}{Words.UnitAfter(requirement)}, {Words.Origin(requirement)}; {Shown.Word(requirement.Rule)}."
            + (evaluation.Input.Reference is { } reference ? $" Reference: {reference}." : ""), after: 8);
        Answer(flow, evaluation);
        if (words.ConcessionFor(result) is { } given)
        {
            flow.Text($"Released under concession {given.Number}, which concedes {given.Found}.", bold: true);
        }

        if (withheld)
        {
            flow.Text(words.NotDisclosed, bold: true);
        }

        foreach (var sentence in answer.Because)
        {
            flow.Text($"– {sentence}", after: 1);
        }

        flow.Space(6);
        if (drawn is { } map)
        {
            flow.FigureCaption($"{map.Says}, {map.Rows.Length} stations, in {map.Unit}", 60 + (map.Drawing.Height * SheetFlow.Width / map.Drawing.Width));
            flow.Figure(map.Drawing);
        }
        else if (!withheld && ResultChart.Of(evaluation) is { } chart)
        {
            flow.FigureCaption(chart.Caption, 60 + (chart.Drawing.Height * SheetFlow.Width / chart.Drawing.Width));
            flow.Figure(chart.Drawing);
        }

        Figures(flow, answer);
        Contacts(flow, answer);
        Again(flow, answer);
        Budget(flow, result.Budget, evaluation);
        flow.Text($"SHA-256 of {(withheld ? "the whole" : "this")} calculation {result.EvaluationHash}; calculations version {evaluation.Input.Engine}.", SheetFlow.Small, ink: Ink.Note);
    }

    /// <summary>The framed word with its value, and beside it the scale that wears the same lines.</summary>
    private static void Answer(SheetFlow flow, EvaluationRecord evaluation)
    {
        var (answer, requirement) = (evaluation.Result, evaluation.Input.Requirement);
        var scale = VerdictScale.Of(evaluation);
        var scaleWidth = 270.0;
        var height = Math.Max(66, scale is null ? 0 : scale.Height * scaleWidth / scale.Width);
        flow.Need(height + 20);
        if (scale is not null)
        {
            flow.FigureCaption("The result on its scale", height);
            flow.Figure(scale, SheetFlow.Right - scaleWidth, scaleWidth, advance: false);
        }

        var y = flow.Y;
        flow.Place(p => p.Block(PdfBlockLevelElementTag.Paragraph, () =>
        {
            var (note, big) = (Lettering.Font(7), Lettering.Font(19, bold: true));
            p.Page.DrawString("calculated", note, Pens.Brush(Ink.Note), SheetFlow.Left, y + 6);
            Framed.Word(p.Page, new XRect(SheetFlow.Left, y + 10, 112, 28), answer.Verdict, Words.Result(answer), 13);
            var value = Words.InUnit(answer.Value, requirement);
            p.Page.DrawString(value, big, Pens.Brush(Ink.Full), SheetFlow.Left + 126, y + 31);
            p.Page.DrawString(Words.UnitAfter(requirement).TrimStart(), Lettering.Font(10), Pens.Brush(Ink.Note), SheetFlow.Left + 130 + Lettering.Width(value, big), y + 31);
            if (answer.Margin is { } margin)
            {
                p.Page.DrawString(
                    $"margin to {Words.InUnit(answer.NearLine, requirement)}: {Shown.InUnitOf(margin, requirement)}",
                    Lettering.Font(8), Pens.Brush(Ink.Full), SheetFlow.Left, y + 51);
            }
        }));
        flow.Space(height + 4);
    }

    private static void Figures(SheetFlow flow, EvaluationResult answer)
    {
        flow.TableCaption("Figures of the calculation");
        var table = new SheetTable([new TableColumn("Figure"), new TableColumn("Value", Number: true), new TableColumn("Unit", Fixed: true), new TableColumn("Figure"), new TableColumn("Value", Number: true), new TableColumn("Unit", Fixed: true)]);
        var rows = answer.Figures.Select(f => (Words.Figure(f.Name), (double?)f.Value, f.Unit)).Concat(
        [
            ("expanded uncertainty U of the instrument", answer.ExpandedUncertainty, answer.Unit), ("coverage factor k", answer.K, "1"),
            ("reach above", answer.ReachAbove, answer.Unit), ("reach below, one measurement alone", answer.ReachBelow, answer.Unit),
            ("band to accept", answer.AcceptBand, answer.Unit), ("band to reject, one measurement alone", answer.RejectBandAlone, answer.Unit),
            ("band to reject, deciding places measured again", answer.RejectBandAgain, answer.Unit),
        ]).Where(f => f.Item2 is not null).Select(f => new Cell[] { f.Item1, Words.Number(f.Item2!.Value, f.Item3), f.Item3 == "1" ? "" : f.Item3 }).ToArray();
        var half = (rows.Length + 1) / 2;
        for (var i = 0; i < half; i++)
        {
            table.Row([.. rows[i], .. half + i < rows.Length ? rows[half + i] : ["", "", ""]]);
        }

        table.SetInto(flow);
    }

    private static void Contacts(SheetFlow flow, EvaluationResult answer)
    {
        if (answer.Contacts.IsEmpty || answer.Contacts is [{ Place: "whole" }])
        {
            return;
        }

        var zone = answer.ZoneProved switch { true => "; the minimum zone is proved by them", false => "; the minimum zone is not proved", _ => "" };
        flow.TableCaption($"Contact places: the stations that fix the value{zone}");
        var table = new SheetTable([new TableColumn("Station", Fixed: true), new TableColumn("Weight", Number: true), new TableColumn($"Deviation, {answer.Unit}", Number: true), new TableColumn("Side")]);
        foreach (var contact in answer.Contacts)
        {
            var deviation = answer.Deviations.FirstOrDefault(d => d.Place == contact.Place);
            table.Row(
                contact.Place, Shown.Signed(contact.Weight, 4), deviation is null ? "–" : Shown.Signed(deviation.Value, answer.Unit == "µm" ? 1 : 3),
                answer.ZoneProved is null ? "decides" : contact.Weight > 0 ? "high" : "low");
        }

        table.SetInto(flow);
    }

    /// <summary>Where the reach comes from, largest part first.</summary>
    private static void Budget(SheetFlow flow, ResultBudget? budget, EvaluationRecord evaluation)
    {
        if (budget is null || budget.Lines.IsEmpty)
        {
            return;
        }

        var requirement = evaluation.Input.Requirement;
        flow.TableCaption($"Uncertainty budget: where the reach of {Words.InUnit(budget.ReachAbove, requirement)}{Words.UnitAfter(requirement)} comes from; each line is what the reach loses without it");
        var table = new SheetTable(
        [
            new TableColumn("Instrument", Fixed: true), new TableColumn("Part"), new TableColumn("In the register"), new TableColumn("Passes", Number: true),
            new TableColumn(Words.UnitAfter(requirement) is { Length: > 0 } gives ? $"Gives,{gives}" : "Gives", Number: true), new TableColumn("Share, %", Number: true),
        ]);
        foreach (var line in budget.Lines)
        {
            table.Row(
                line.Instrument, line.Random ? "random" : "shared", line.Register, line.Random ? Invariant($"{line.Passes}") : "–",
                Words.InUnit(line.Contribution, requirement), Invariant($"{100 * line.Share:0}"));
        }

        table.SetInto(flow);
        flow.Text(budget.Largest ?? "", SheetFlow.Small, ink: Ink.Note);
    }

    private static void Again(SheetFlow flow, EvaluationResult answer)
    {
        if (answer.Again.Length == 0)
        {
            return;
        }

        flow.Heading("Deciding places measured again, weighted as frozen before", 3, keepWithNext: 24);
        var values = string.Join("; ", answer.Again.Select(a => Invariant($"run {a.RunNo}: {Words.Number(a.Value, answer.Unit)} {answer.Unit}")));
        var proof = (answer.RejectBandAgain, answer.Upper, answer.Lower) switch
        {
            ({ } band, { } upper, _) => $"; above {Words.Number(upper + band, answer.Unit)} {answer.Unit} proves a rejection",
            ({ } band, null, { } lower) => $"; below {Words.Number(lower - band, answer.Unit)} {answer.Unit} proves a rejection",
            _ => "",
        };
        flow.Text($"{values}; mean {Words.Number(answer.AgainMean ?? 0, answer.Unit)} {answer.Unit}{proof}.");
    }
}
