using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace BuildTrack.Cli.Tests;

/// <summary>Runs the command in this process and keeps what it printed.</summary>
internal sealed record CommandLine(int Exit, string Output, string Errors)
{
    public static CommandLine Run(params string[] arguments)
    {
        using var output = new StringWriter(CultureInfo.InvariantCulture);
        using var errors = new StringWriter(CultureInfo.InvariantCulture);
        var exit = Commands.Run(arguments, output, errors);
        return new CommandLine(exit, output.ToString(), errors.ToString());
    }

    public JsonObject Json => JsonNode.Parse(Output)!.AsObject();

    public string[] ErrorLines => Errors.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);

    /// <summary>A file with this text.</summary>
    public static string File(string text, string name = "points.csv")
    {
        var path = Path.Combine(Directory.CreateTempSubdirectory("cli").FullName, name);
        System.IO.File.WriteAllText(path, text);
        return path;
    }
}

/// <summary>A published data set with its origin; expected values are read from the file.</summary>
internal sealed record Reference(JsonElement Data)
{
    public static Reference Load(string name) =>
        new(JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "ReferenceData", name + ".json"))).RootElement);

    public string Origin => Data.GetProperty("source").GetString()!;

    /// <summary>Points as a table.</summary>
    public static string Table(JsonElement points, string header, char separator = ',', char point = '.') => header.Replace(',', separator) + "\n"
        + string.Join('\n', points.EnumerateArray().Select(p => string.Join(separator, p.EnumerateArray().Select(v => v.GetRawText().Replace('.', point)))));
}
