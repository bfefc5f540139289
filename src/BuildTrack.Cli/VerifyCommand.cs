using System.CommandLine;
using System.Text.Json.Nodes;
using BuildTrack.Documents.Checking;
using BuildTrack.Documents.Evaluate;

namespace BuildTrack.Cli;

/// <summary><c>buildtrack verify FILE.pdf</c>: checks a certificate from its file alone.</summary>
internal static class VerifyCommand
{
    private const int DoesNotHold = 1;

    public static Command Make(TextWriter output, TextWriter errors)
    {
        var file = new Argument<string>("FILE.pdf") { Description = "The certificate" };
        var fingerprint = new Option<string>("--fingerprint") { Description = "The plant's fingerprint, learned from the plant by another way" };
        var json = new Option<bool>("--json") { Description = "Print one JSON object" };
        var command = new Command("verify", "Checks a certificate: seal, signer, record, hashes, results calculated again, printed text. Needs no database.") { file, fingerprint, json };
        command.SetAction(parsed => Run(parsed.GetValue(file)!, parsed.GetValue(fingerprint), parsed.GetValue(json), output, errors));
        return command;
    }

    private static int Run(string file, string? fingerprint, bool json, TextWriter output, TextWriter errors)
    {
        byte[] pdf;
        try
        {
            pdf = File.ReadAllBytes(file);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            errors.WriteLine($"{file}: {e.Message}");
            return Commands.BadInput;
        }

        var report = CertificateCheck.Check(pdf, fingerprint);
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

            output.WriteLine(!report.Readable ? "not a readable certificate" : report.Holds ? $"{report.Number}, issue {report.Issue}: all holds" : $"{report.Number ?? "certificate"}: something does not hold");
        }

        return report.Holds ? 0 : report.Readable ? DoesNotHold : Commands.BadInput;
    }

    private static JsonObject Json(CheckReport report) => new()
    {
        ["holds"] = report.Holds, ["readable"] = report.Readable, ["number"] = report.Number, ["issue"] = report.Issue, ["signerFingerprint"] = report.SignerFingerprint,
        ["lines"] = new JsonArray([.. report.Lines.Select(l => (JsonNode)new JsonObject
        {
            ["about"] = l.About,
            ["outcome"] = l.Outcome switch { CheckOutcome.Holds => "holds", CheckOutcome.DoesNotHold => "doesNotHold", _ => "notChecked" },
            ["sentence"] = l.Sentence,
        })]),
    };
}
