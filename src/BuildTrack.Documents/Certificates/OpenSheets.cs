using System.Globalization;
using BuildTrack.Documents.Certificates.Sheets;

namespace BuildTrack.Documents.Certificates;

/// <summary>What the customer's witness said, what is permitted although it does not conform, and what is still to be done: concessions by number, open items of the punch list.</summary>
/// <remarks>A record from before there were such sections has none, and its sheets stay as they were drawn.</remarks>
internal static class OpenSheets
{
    public static void Set(SheetFlow flow, Words words)
    {
        foreach (var (witness, first) in (words.Record.Witnesses ?? []).Select((w, i) => (w, i == 0)))
        {
            if (first)
            {
                flow.Heading("Customer's witness", 3);
            }

            flow.Text($"{witness.Hold} {witness.HoldName}: {witness.Witness}, {witness.Organisation}, {witness.Outcome}", bold: true, after: 0);
            foreach (var sentence in words.Witnessed(witness))
            {
                flow.Text(sentence, after: 0);
            }

            flow.Space(6);
        }

        if (words.Record.Concessions is { } concessions)
        {
            flow.Heading("Concessions", 3);
            if (concessions.Length == 0)
            {
                flow.Text("None.", after: 6);
            }

            foreach (var concession in concessions)
            {
                flow.Text($"{concession.Number}, {concession.Kind}, from {concession.Nonconformance}", bold: true, after: 0);
                flow.Text(
                    $"{(concession.Result is { } result ? $"Line {result.Line}, {result.Title}. " : "")}Required: {concession.Required}. Found: {concession.Found}. {concession.Text.TrimEnd('.')}.", after: 0);
                flow.Text($"{words.Approved(concession)}.", after: 6);
            }
        }

        if (words.Record.OpenPunch is not { } items)
        {
            return;
        }

        flow.Heading("Open items of the punch list", 3);
        if (items.Length == 0)
        {
            flow.Text("None.", after: 6);
            return;
        }

        flow.TableCaption("Still to be done. B: not to specification, can be operated; C: cosmetic or a document");
        var table = new SheetTable([new TableColumn("No.", Fixed: true), new TableColumn("Class", Fixed: true), new TableColumn("What"), new TableColumn("Owner"), new TableColumn("Due", Fixed: true)]);
        foreach (var item in items)
        {
            table.Row(item.No.ToString(CultureInfo.InvariantCulture), item.Class, item.Text, words.Name(item.Owner), item.Due);
        }

        table.SetInto(flow);
    }
}
