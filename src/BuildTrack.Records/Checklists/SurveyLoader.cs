using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps surveys/*.yaml.</summary>
internal static class SurveyLoader
{
    private static readonly string[] Keys =
        ["id", "step", "title", "layout", "places", "columns", "passes", "directions", "instruments", "for-each", "gradient", "base-length", "qualified"];

    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var survey in file.Items("surveys", true, "a survey", Keys))
        {
            var id = survey.Id("id");
            draft.Surveys.Add(id, Survey(survey, id), survey);
        }
    }

    private static Survey Survey(YamlFields survey, string id)
    {
        var mapped = new Survey(
            id, survey.Whole("step", 1, 9999), survey.Text("title"), survey.IdIfAny("layout"), Places(survey), Columns(survey),
            survey.Whole("passes", 1, 100, otherwise: 1), survey.Word("directions", "one", "one", "both") == "both", survey.Ids("instruments"),
            survey.Ids("for-each"), survey.Word("gradient", "", "required") == "required",
            (double?)survey.NumberIfAny("base-length", 1, 10_000, "the base in mm"), survey.TextIfAny("places") == "steps", survey.IdIfAny("qualified"));

        if (mapped.Layout is null && mapped.Places != PlaceKind.Whole)
        {
            survey.Fault("places", "a survey at stations without layout", "a layout, or places: whole");
        }
        else if (mapped.Layout is not null && mapped.Places == PlaceKind.Whole)
        {
            survey.Fault("layout", "a layout for a survey of the whole", "no layout, or places: at, steps or between");
        }

        if (mapped.Stepped && mapped.BaseLengthMm is null)
        {
            survey.Fault("base-length", "steps without base-length", "the base of the level or mirror carriage in mm");
        }

        // A quantity that could not be read ("") may be the one meant.
        foreach (var quantity in survey.Listed("instruments").Where(q => mapped.Columns.All(c => c.Quantity != q.Value && c.Quantity != "")))
        {
            survey.Fault(quantity, $"instrument for {Quoted.Of(quantity.Value)}, which no column measures",
                Quoted.OneOf(mapped.Columns.Select(c => c.Quantity).OfType<string>().Distinct()));
        }

        return mapped;
    }

    private static PlaceKind Places(YamlFields survey) => survey.Word("places", "at", "at", "between", "steps", "whole") switch
    {
        "between" or "steps" => PlaceKind.Between,
        "whole" => PlaceKind.Whole,
        _ => PlaceKind.At,
    };

    private static ImmutableArray<Column> Columns(YamlFields survey)
    {
        var columns = ImmutableArray.CreateBuilder<Column>();
        foreach (var item in survey.Items("columns", true, "a column", "id", "title", "kind", "quantity", "unit", "choices"))
        {
            var id = item.Id("id");
            if (id.Length > 0 && columns.Any(c => c.Id == id))
            {
                item.Fault("id", $"a second column {Quoted.Of(id)}", "each column once");
            }

            columns.Add(Column(item, id));
        }

        return columns.ToImmutable();
    }

    private static Column Column(YamlFields column, string id)
    {
        var kind = column.Word("kind", "number", "number", "choice", "text", "file", "table") switch
        {
            "choice" => ValueKind.Choice,
            "text" => ValueKind.Text,
            "file" => ValueKind.File,
            "table" => ValueKind.Table,
            _ => ValueKind.Number,
        };
        var measured = kind == ValueKind.Number || (kind == ValueKind.Table && (column.Has("quantity") || column.Has("unit")));
        var choices = column.Ids("choices");
        if (kind == ValueKind.Choice && choices.Length < 2)
        {
            column.Fault("choices", FormattableString.Invariant($"{choices.Length} choices"), "at least two");
        }

        if (kind != ValueKind.Choice && column.Has("choices"))
        {
            column.Fault("choices", "choices in a column that has none", "choices only with kind: choice");
        }

        foreach (var key in new[] { "quantity", "unit" }.Where(k => column.Has(k) && !measured))
        {
            column.Fault(key, $"{key} in a column without numbers", $"{key} only with kind: number or table");
        }

        return new Column(
            id, column.Text("title"), kind, measured ? column.Id("quantity") : null, measured ? column.Unit("unit") : null, choices);
    }
}
