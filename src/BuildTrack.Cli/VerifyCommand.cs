using System.CommandLine;
using System.Text.Json.Nodes;
using BuildTrack.Documents.Checking;
using BuildTrack.Documents.Evaluate;

namespace BuildTrack.Cli;

/// <summary><c>buildtrack verify FILE.pdf</c>: checks a certificate or a customer's copy from its file alone, and a copy against its certificate.</summary>
internal static class VerifyCommand
{
    private const int DoesNotHold = 1;

    public static Command Make(TextWriter output, TextWriter errors)
    {
        var file = new Argument<string>("FILE.pdf") { Description = "The certificate, or a customer's copy of one" };
        var fingerprint = new Option<string>("--fingerprint") { Description = "The plant's fingerprint, learned from the plant by another way" };
        var full = new Option<string>("--full") { Description = "The certificate that a customer's copy was made from: it is made again and compared word for word" };
        var json = new Option<bool>("--json") { Description = "Print one JSON object" };
        var command = new Command("verify", "Checks a certificate: seal, signer, record, hashes, results calculated again, printed text. Needs no database.") { file, fingerprint, full, json };
        command.SetAction(parsed => Run(parsed.GetValue(file)!, parsed.GetValue(fingerprint), parsed.GetValue(full), parsed.GetValue(json), output, errors));
        return command;
    }

    private static int Run(string file, string? fingerprint, string? full, bool json, TextWriter output, TextWriter errors)
    {
        if (Read(file, errors) is not { } pdf)
        {
            return Commands.BadInput;
        }

        byte[]? whole = null;
        if (full is not null && (whole = Read(full, errors)) is null)
        {
            return Commands.BadInput;
        }

        var report = CertificateCheck.Check(pdf, fingerprint, whole);
        if (json)
        {
            output.WriteLine(EvaluationCommands.Text(Json(report)));
        }
        else
        {
            foreach (var line in report.Lines)
            {
                output.WriteLine($"{line.About,-8} {line.Sentence}");
            }

            output.WriteLine(!report.Readable ? "not a readable certificate" : report.Holds ? $"{report.Number}, issue {report.Issue}{(report.IsCopy ? ", customer's copy: all that it discloses holds" : ": all holds")}" : $"{report.Number ?? "certificate"}: something does not hold");
        }

        return report.Holds ? 0 : report.Readable ? DoesNotHold : Commands.BadInput;
    }

    private static byte[]? Read(string file, TextWriter errors)
    {
        try
        {
            return File.ReadAllBytes(file);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            errors.WriteLine($"{file}: {e.Message}");
            return null;
        }
    }

    private static JsonObject Json(CheckReport report) => new()
    {
        ["holds"] = report.Holds, ["readable"] = report.Readable, ["number"] = report.Number, ["issue"] = report.Issue, ["copy"] = report.IsCopy, ["signerFingerprint"] = report.SignerFingerprint,
        ["lines"] = new JsonArray([.. report.Lines.Select(l => (JsonNode)new JsonObject
        {
            ["about"] = l.About,
            ["outcome"] = l.Outcome switch { CheckOutcome.Holds => "holds", CheckOutcome.DoesNotHold => "doesNotHold", _ => "notChecked" },
            ["sentence"] = l.Sentence,
        })]),
    };
}
