using System.Globalization;
using BuildTrack.Documents.Certificates.Sheets;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using static System.FormattableString;

namespace BuildTrack.Documents.Certificates;

/// <summary>Every reading as typed and as understood, and how anybody can check the document without asking the plant.</summary>
internal static class AnnexSheets
{
    private const int RunsInOneTable = 4;

    public static void Set(SheetFlow flow, Words words, string recordHash)
    {
        flow.NewPage("Annex A, readings");
        flow.Heading("Annex A  All readings", 2);
        foreach (var (source, result) in words.Columns())
        {
            Readings(flow, source, result);
            Corrections(flow, words, source);
        }

        if (words.Record.Results.Where(r => r.Withheld == true).Select(r => r.Line).ToArray() is { Length: > 0 } withheld)
        {
            flow.Text($"Line{(withheld.Length == 1 ? "" : "s")} {string.Join(", ", withheld)}: {char.ToLowerInvariant(words.NotDisclosed[0])}{words.NotDisclosed[1..]}");
        }

        Proof(flow, words, recordHash);
    }

    private static void Readings(SheetFlow flow, SurveySource source, CertifiedResult result)
    {
        var answer = result.Evaluation.Result;
        var deviations = answer.Deviations.ToDictionary(d => d.Place, d => d.Value, StringComparer.Ordinal);
        var typed = source.Runs.SelectMany(r => r.Readings).FirstOrDefault(r => r.Column == source.Column)?.Value.Unit;
        // What is typed in metres is read in metres: a length of cable has no micrometres.
        var unit = typed is null ? answer.Unit : typed == "m" ? typed : Units.Calculated(typed);
        var along = !source.Stations.IsEmpty && source.Stations.All(s => s is { Title: null, Minute: null });
        foreach (var runs in source.Runs.Chunk(RunsInOneTable))
        {
            flow.TableCaption(Invariant($"Survey {source.Survey}, measurement {source.No}, {source.Quantity}: as typed, then in {unit}{(deviations.Count == 0 ? "" : $"; deviation in {answer.Unit} as {result.Line} takes it, over the counted passes")}"), 60);
            TableColumn[] columns =
            [
                new TableColumn("Station", Fixed: true),
                .. along ? [new TableColumn("x, mm", Number: true), new TableColumn("y, mm", Number: true)] : Array.Empty<TableColumn>(),
                .. runs.SelectMany(r => new[] { new TableColumn(Invariant($"run {r.No} typed"), Number: true), new TableColumn(Invariant($"run {r.No} {unit}"), Number: true) }),
                new TableColumn($"deviation, {answer.Unit}", Number: true),
            ];
            var table = new SheetTable(columns, 7);
            var standing = runs.Select(r => r.Standing.Where(v => v.Column == source.Column).GroupBy(v => v.Place.Key).ToDictionary(g => g.Key, g => g.Last(), StringComparer.Ordinal)).ToArray();
            var stations = source.Stations.ToDictionary(s => s.Id, StringComparer.Ordinal);
            var places = source.Stations.Select(s => s.Id).Concat(standing.SelectMany(s => s.Keys)).Distinct();
            foreach (var place in places.Where(p => standing.Any(s => s.ContainsKey(p)) || deviations.ContainsKey(p)))
            {
                var station = stations.GetValueOrDefault(place);
                table.Row(
                [
                    station?.Title is { } stands ? $"{place} {stands}" : place,
                    .. along ? [station is null ? "" : Plain(station.XMm), station is null ? "" : Plain(station.YMm)] : Array.Empty<Cell>(),
                    .. standing.SelectMany((s, n) => s.TryGetValue(place, out var reading) ? Value(runs[n], reading, unit) : ["–", "–"]),
                    new Cell(deviations.TryGetValue(place, out var deviation) ? Shown.Signed(deviation, answer.Unit == "µm" ? 1 : 3) : "–", Bold: true),
                ]);
            }

            table.SetInto(flow);
        }
    }

    private static Cell[] Value(Run run, Reading reading, string unit) =>
    [
        reading.Value.Unit is { } typed ? $"{reading.Value.Typed} {typed}" : reading.Value.Typed,
        run.Calculated(reading.Column, reading.Place.Key) is { } value ? Shown.Number(value, unit) : "–",
    ];

    private static void Corrections(SheetFlow flow, Words words, SurveySource source)
    {
        var corrected = source.Runs.SelectMany(r => r.Readings.Where(v => v.Supersedes is not null).Select(v => (Run: r, New: v, Old: r.Readings.FirstOrDefault(o => o.Id == v.Supersedes)))).ToArray();
        if (corrected.Length == 0)
        {
            return;
        }

        flow.TableCaption("Corrected readings: the earlier value is kept");
        var table = new SheetTable([new TableColumn("Run", Fixed: true), new TableColumn("Station", Fixed: true), new TableColumn("Before", Number: true), new TableColumn("After", Number: true), new TableColumn("By"), new TableColumn("Why")]);
        foreach (var (run, after, before) in corrected)
        {
            table.Row(Plain(run.No), after.Place.Key, before?.Value.Typed ?? "–", after.TakesBack ? "taken back" : after.Value.Typed, words.Name(after.Person), after.Reason ?? "–");
        }

        table.SetInto(flow);
    }

    private static void Proof(SheetFlow flow, Words words, string recordHash)
    {
        var record = words.Record;
        flow.Heading(record.IsCopy ? "Annex B  How to check this copy" : "Annex B  How to check this certificate", 2, keepWithNext: 150);
        flow.Text(
            $"This file carries its own record as the attachment {CertificateRecord.EmbeddedName}: every reading, limit and name above stands there, and every result {(record.IsCopy ? "whose readings are disclosed " : "")}can be calculated "
            + "from it again. One digital seal closes the file; any change of a single bit breaks it. The seal is the plant's own: it proves that nothing was changed since the plant sealed "
            + "it. That it was this plant is proved by comparing the fingerprint below with the one the plant gives you by another way, on paper or by telephone.");
        Line(flow, "SHA-256 of the record", recordHash);
        Line(flow, "Fingerprint of the plant's seal, SHA-256", record.KeyFingerprint);
        Line(flow, Invariant($"Place in the history of acts: act {record.History.Sequence}, hash"), record.History.Hash);
        Line(flow, $"Limits, edition {record.Limits.Edition}, SHA-256", record.Limits.Hash);
        flow.Text("Verify with:", after: 1, bold: true);
        flow.Text($"buildtrack verify FILE.pdf --fingerprint {record.KeyFingerprint}", SheetFlow.Small, after: 6);
        if (record.Disclosure?.FullRecord is { } full)
        {
            Line(flow, "SHA-256 of the certificate's full record", full);
            flow.Text("Whoever has the certificate too makes this copy from it again and compares word for word with:", after: 1, bold: true);
            flow.Text("buildtrack verify COPY.pdf --full CERTIFICATE.pdf", SheetFlow.Small, after: 6);
        }

        flow.Text($"Issued {record.IssuedLocal} by {record.Plant.Name} as {record.Number}, issue {record.Issue}. Times are those of {record.Plant.TimeZone}.");
    }

    private static void Line(SheetFlow flow, string name, string hash)
    {
        flow.Need(26);
        flow.Text(name + ":", SheetFlow.Small, ink: Ink.Note, after: 0);
        flow.Text(hash, 8.2, after: 4);
    }

    private static string Plain(double value) => value.ToString("0.###", CultureInfo.InvariantCulture).Replace('-', '−');
}
