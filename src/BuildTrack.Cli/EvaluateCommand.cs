using System.CommandLine;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using BuildTrack.Documents.Evaluate;

namespace BuildTrack.Cli;

/// <summary><c>buildtrack evaluate KIND</c>: one sub-command for each kind of evaluation.</summary>
internal static class EvaluateCommand
{
    private const int NoAnswer = 3;

    /// <summary>For people: µ and − stay what they are.</summary>
    private static readonly JsonSerializerOptions Readable = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    public static Command Make(TextWriter output, TextWriter errors)
    {
        var kinds = string.Join(Environment.NewLine, EvaluationCommands.Kinds.Select(k => $"  {k.Name}: {k.Summary}"));
        var command = new Command("evaluate", $"Evaluates a table or a value and prints the result. Kinds:{Environment.NewLine}{kinds}");
        foreach (var kind in EvaluationCommands.Kinds)
        {
            command.Add(Kind(kind, output, errors));
        }

        return command;
    }

    private static Command Kind(EvaluationKind kind, TextWriter output, TextWriter errors)
    {
        var command = new Command(kind.Name, kind.TakesFile ? $"{kind.Summary}; columns {kind.Columns}" : kind.Summary);
        var file = new Argument<string>("FILE") { Description = "Table with a header line; comma, semicolon or tab; - for standard input" };
        if (kind.TakesFile)
        {
            command.Add(file);
        }

        Option[] options = [.. kind.Options.Select(o => kind.Repeated.Contains(o.Name)
            ? (Option)new Option<string[]>($"--{o.Name}") { Description = o.Meaning }
            : new Option<string>($"--{o.Name}") { Description = o.Meaning })];
        foreach (var option in options)
        {
            command.Add(option);
        }

        var json = new Option<bool>("--json") { Description = "Print one JSON object" };
        command.Add(json);
        command.SetAction(parsed =>
        {
            var given = options.Select(o => (Name: o.Name[2..], parsed.GetResult(o)?.Tokens)).Where(o => o.Tokens is { Count: > 0 })
                .ToDictionary(o => o.Name, o => string.Join('\n', o.Tokens!.Select(t => t.Value)), StringComparer.Ordinal);
            return Run(kind, kind.TakesFile ? parsed.GetValue(file) : null, given, parsed.GetValue(json), output, errors);
        });
        return command;
    }

    private static int Run(EvaluationKind kind, string? file, Dictionary<string, string> options, bool json, TextWriter output, TextWriter errors)
    {
        EvaluationOutcome outcome;
        try
        {
            using var reader = file switch { null => null, "-" => Console.In, _ => new StreamReader(file) };
            outcome = EvaluationCommands.Run(kind.Name, reader, file == "-" ? "standard input" : file ?? "", options);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            errors.WriteLine(new EvaluationFault(file ?? "", null, null, $"no readable file ({e.Message})", "a table"));
            return Commands.BadInput;
        }

        foreach (var fault in outcome.Faults)
        {
            errors.WriteLine(fault);
        }

        if (outcome.Faults.Length > 0)
        {
            return Commands.BadInput;
        }

        if (outcome.Result is not { } result)
        {
            errors.WriteLine(outcome.Defect);
            return NoAnswer;
        }

        if (json)
        {
            output.WriteLine(EvaluationCommands.Text(result));
        }
        else
        {
            Plain(result, "", output);
        }

        return 0;
    }

    /// <summary>One figure a line, for people.</summary>
    private static void Plain(JsonObject result, string prefix, TextWriter output)
    {
        foreach (var (name, value) in result)
        {
            if (value is JsonObject inner)
            {
                Plain(inner, $"{prefix}{name}.", output);
            }
            else
            {
                output.WriteLine($"{prefix}{name}: {value?.ToJsonString(Readable) ?? "–"}");
            }
        }
    }
}
