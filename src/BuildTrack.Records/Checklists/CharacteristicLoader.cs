using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps characteristics/*.yaml.</summary>
internal static class CharacteristicLoader
{
    private const string Sources = "sources by name, as in {heights: bed-heights.z}";

    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var item in file.Items(
            "characteristics", true, "a characteristic", "id", "line", "hold", "title", "evaluator", "from", "reference", "limit", "window"))
        {
            var id = item.Id("id");
            draft.Characteristics.Add(id, new Characteristic(
                id, Line(item), item.Id("hold"), item.Text("title"), item.Id("evaluator"), From(item), item.IdIfAny("reference"), item.Id("limit"), Window(item)), item);
        }
    }

    private static Amount? Window(YamlFields item)
    {
        var window = item.AmountIfAny("window");
        if (window is not null && (Units.NanometresPer(window.Unit) is null || window.Value <= 0))
        {
            item.Fault("window", Quoted.Of(window.ToString()), "a length above 0, as in 500 mm");
            return null;
        }

        return window;
    }

    private static string Line(YamlFields item)
    {
        var line = item.Id("line");
        if (line.Length > 0 && !(line.Split('-') is [var step, var number] && step.All(char.IsAsciiDigit) && number.All(char.IsAsciiDigit)
            && step.Length > 0 && number.Length > 0))
        {
            item.Fault("line", Quoted.Of(line), "step and number of the plan's line, as in 100-01");
        }

        return line;
    }

    private static ImmutableSortedDictionary<string, SourceRef> From(YamlFields item)
    {
        // Ordinal: the order stands in hashed text, and must not follow the language of a server.
        var from = ImmutableSortedDictionary.CreateBuilder<string, SourceRef>(StringComparer.Ordinal);
        foreach (var entry in item.Entries("from", Sources))
        {
            from[entry.Key.Value] = Source(item, entry.Value);
        }

        return from.ToImmutable();
    }

    private static SourceRef Source(YamlFields item, YamlNode node)
    {
        switch (node)
        {
            case YamlText text when text.Value.Split('.') is [{ Length: > 0 } survey, { Length: > 0 } column]:
                return new SourceRef(survey, column, null, null);
            case YamlMap:
                var fields = item.Inner(node, "a source", "result", "figure");
                var (result, figure) = (fields.IdIfAny("result"), fields.IdIfAny("figure"));
                if ((result is null) == (figure is null))
                {
                    fields.Fault("figure", result is null ? "a source without result or figure" : "result and figure together", "either of the two");
                }

                return new SourceRef(null, null, result, figure);
            case YamlRefused:
                break;
            default:
                item.Fault(node, YamlFields.Describe(node), "survey.column, {result: characteristic} or {figure: name}");
                break;
        }

        return new SourceRef(null, null, null, null);
    }
}
