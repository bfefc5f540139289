using System.Globalization;
using BuildTrack.Documents.Certificates.Sheets;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using static System.FormattableString;

namespace BuildTrack.Documents.Certificates;

/// <summary>How it was measured: runs, people, conditions, instruments, what was set aside and what was replaced.</summary>
internal static class EvidenceSheets
{
    public static void Set(SheetFlow flow, Words words)
    {
        flow.NewPage("Measurements");
        foreach (var source in words.Measurements().Where(m => m.Question is null))
        {
            flow.Heading(Invariant($"Measurement {source.No} of survey {source.Survey}"), 2, keepWithNext: 110);
            flow.Text(Invariant($"{(source.Stations.Length == 0 ? "The whole" : $"{source.Stations.Length} stations")}{(source.Feature is { } feature ? $" of {feature}" : "")}, {source.PassesPlanned} {(source.PassesPlanned == 1 ? "pass" : "passes")} planned before the first.")
                + (source.BaseLengthMm is { } length ? Invariant($" Base length {length} mm.") : ""), after: 6);
            Runs(flow, words, source);
            Conditions(flow, words, source);
            Instruments(flow, words, source);
        }

        Papers(flow, words);
        Replaced(flow, words);
    }

    private static void Runs(SheetFlow flow, Words words, SurveySource source)
    {
        flow.TableCaption("Runs");
        var table = new SheetTable(
        [
            new TableColumn("Run", Fixed: true), new TableColumn("What for"), new TableColumn("Travel", Fixed: true), new TableColumn("Measured by"), new TableColumn("Helped by"),
            new TableColumn("Begun", Fixed: true), new TableColumn("Finished", Fixed: true), new TableColumn("Counts", Fixed: true),
        ]);
        foreach (var run in source.Runs)
        {
            table.Row(
                Number(run.No), Words.RunIsFor(run), Words.RunGoes(run), words.Name(run.Person), run.Helpers.Length == 0 ? "–" : words.Names(run.Helpers),
                words.Time(run.Begun), words.Time(run.Finished), Words.RunCounts(run));
        }

        table.SetInto(flow);
        foreach (var run in source.Runs.Where(r => r.Discarded is not null))
        {
            flow.Text($"Run {Number(run.No)} was set aside by {words.Name(run.Discarded!.Person)} on {words.Time(run.Discarded.At)}: {run.Discarded.Reason}", after: 6);
        }
    }

    private static void Conditions(SheetFlow flow, Words words, SurveySource source)
    {
        if (source.Runs.All(r => r.Conditions is null))
        {
            return;
        }

        var allowed = words.Record.Results.Select(r => r.Evaluation.Input).First(i => i.Sources.Values.Any(s => s.Readings?.Measurement == source.Measurement)).GradientAllowed;
        flow.TableCaption("Conditions when each run began, in °C and K");
        var table = new SheetTable(
        [
            new TableColumn("Run", Fixed: true), new TableColumn("Air", Number: true), new TableColumn("Bed top"), new TableColumn("Bed bottom"),
            new TableColumn("Top to bottom", Number: true), new TableColumn("Allowed", Number: true), new TableColumn("Note"),
        ]);
        foreach (var run in source.Runs.Where(r => r.Conditions is not null))
        {
            var c = run.Conditions!;
            table.Row(Number(run.No), Decimal(c.Air), List(c.Top), List(c.Bottom), Decimal(c.Gradient), Decimal(allowed?.Value), string.Join("; ", new[] { c.Note, c.Anyway is { } why ? $"measured anyway: {why}" : null }.OfType<string>().DefaultIfEmpty("–")));
        }

        table.SetInto(flow);
    }

    private static void Instruments(SheetFlow flow, Words words, SurveySource source)
    {
        flow.TableCaption("Instruments as the register had them");
        var table = new SheetTable(
        [
            new TableColumn("No.", Fixed: true), new TableColumn("Instrument"), new TableColumn("Serial"), new TableColumn("Calibrated", Fixed: true), new TableColumn("Valid to", Fixed: true),
            new TableColumn("Certificate"), new TableColumn("U, with its split into random and common part"),
        ], 7.6);
        foreach (var entry in source.Runs.SelectMany(r => r.Instruments).DistinctBy(i => (i.Id, i.Revision)))
        {
            table.Row(entry.Id, $"{entry.Name}, {entry.Quantity}", entry.Serial, entry.CalibratedOn, entry.ValidTo, entry.Certificate, string.Join("\n", entry.Figures.Select(Uncertainty)));
        }

        table.SetInto(flow);
        var checks = source.Runs.SelectMany(r => r.Checks.Select(c => (r.No, Check: c))).ToArray();
        if (checks.Length > 0)
        {
            flow.TableCaption("Checks before use");
            var found = new SheetTable([new TableColumn("Run", Fixed: true), new TableColumn("Instrument", Fixed: true), new TableColumn("Found"), new TableColumn("In order", Fixed: true)]);
            foreach (var (no, check) in checks)
            {
                found.Row(Number(no), check.Instrument, check.Found, check.InOrder ? "yes" : "no");
            }

            found.SetInto(flow);
        }
    }

    private static void Papers(SheetFlow flow, Words words)
    {
        if (words.Record.Papers is not { IsEmpty: false } papers)
        {
            return;
        }

        flow.Heading("Readings from signed protocols on paper", 2, keepWithNext: 90);
        flow.TableCaption("Runs that were measured on paper, entered, and compared with the scan by a second person");
        var table = new SheetTable([new TableColumn("Survey"), new TableColumn("No.", Number: true), new TableColumn("Run", Fixed: true), new TableColumn("Code", Fixed: true), new TableColumn("Scan, and its SHA-256"), new TableColumn("By whom")], 7.6);
        foreach (var paper in papers)
        {
            table.Row(
                $"{paper.Survey}, {paper.SurveyTitle}{(paper.Feature is { } feature ? $", {feature}" : "")}", Number(paper.Measurement), Number(paper.Run), paper.Code, $"{paper.Scan}\n{paper.FileHash}", words.FromPaper(paper));
        }

        table.SetInto(flow);
    }

    private static void Replaced(SheetFlow flow, Words words)
    {
        if (words.Record.Replaced.Length == 0)
        {
            return;
        }

        flow.Heading("Earlier measurements, replaced", 2, keepWithNext: 90);
        flow.TableCaption("Kept in the build record, no longer counted");
        var table = new SheetTable([new TableColumn("Survey"), new TableColumn("No.", Number: true), new TableColumn("Begun", Fixed: true), new TableColumn("Measured by"), new TableColumn("Measured anew because")]);
        foreach (var old in words.Record.Replaced)
        {
            table.Row($"{old.Survey}, {old.SurveyTitle}", Number(old.No), old.BegunLocal, words.Names(old.MeasuredBy), old.Because);
        }

        table.SetInto(flow);
    }

    private static string Uncertainty(RegisterFigure figure)
    {
        var u = $"{figure.Use}: U = {figure.A}{(figure.BPerMetre is { } per ? $" + {per} per metre" : "")}, k = {figure.K.ToString(CultureInfo.InvariantCulture)}";
        var split = (figure.Random, figure.Common) is ({ } random, { } common) ? $"; random {random}, common {common}" : "; random and common part half each";
        return u + (figure.UpToMm is { } to ? Invariant($", up to {to} mm") : "") + split;
    }

    private static string Number(long value) => value.ToString(CultureInfo.InvariantCulture);

    private static string Decimal(decimal? value) => value is { } number ? number.ToString(CultureInfo.InvariantCulture).Replace('-', '−') : "–";

    private static string List(System.Collections.Immutable.ImmutableArray<decimal> values) => values.IsDefaultOrEmpty ? "–" : string.Join("; ", values.Select(v => Decimal(v)));
}
