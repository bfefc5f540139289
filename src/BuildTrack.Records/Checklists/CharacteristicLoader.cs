using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps characteristics/*.yaml.</summary>
internal static class CharacteristicLoader
{
    private const string Sources = "sources by name, as in {heights: bed-heights.z}";

    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var item in file.Items(
            "characteristics", true, "a characteristic", "id", "line", "hold", "title", "evaluator", "from", "reference", "limit"))
        {
            var id = item.Id("id");
            draft.Characteristics.Add(id, new Characteristic(
                id, Line(item), item.Id("hold"), item.Text("title"), item.Id("evaluator"), From(item), item.IdIfAny("reference"), item.Id("limit")), item);
        }
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
