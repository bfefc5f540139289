using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Evaluating.Lines;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>What a characteristic must give its calculation. Whatever is let through here would stop a run from being finished later.</summary>
internal static class LoaderNeeds
{
    private const string Slope = "slope";

    public static void Check(LoaderDraft draft, Placed<Characteristic> placed)
    {
        var (characteristic, fields) = (placed.Value, placed.Fields);
        if (characteristic.Evaluator.Length == 0 || draft.FurtherEvaluators.Contains(characteristic.Evaluator))
        {
            return;
        }

        if (Evaluators.Find(characteristic.Evaluator) is not { } evaluator)
        {
            fields.Fault("evaluator", $"unknown evaluator {Quoted.Of(characteristic.Evaluator)}", Quoted.OneOf(Evaluators.Kinds.Concat(draft.FurtherEvaluators)));
            return;
        }

        Reference(characteristic, fields, evaluator);
        if (evaluator.NeedsWindow != characteristic.Window is not null)
        {
            fields.Fault("window", evaluator.NeedsWindow ? $"{evaluator.Kind} without window" : $"window for {evaluator.Kind}", evaluator.NeedsWindow ? "the length of the stretch, as in 500 mm" : "no window");
        }

        if (evaluator.Sources.IsEmpty)
        {
            Questions(draft, characteristic, fields, evaluator);
            return;
        }

        foreach (var source in evaluator.Sources.Where(s => !s.Optional && !characteristic.From.ContainsKey(s.Name) && !characteristic.From.IsEmpty))
        {
            fields.Fault("from", $"{evaluator.Kind} without the source {source.Name}", $"sources {string.Join(", ", evaluator.Sources.Select(s => s.Name))}");
        }

        foreach (var (name, at) in fields.Entries("from", "sources").Select(e => (e.Key.Value, e)))
        {
            if (evaluator.Sources.FirstOrDefault(s => s.Name == name) is not { } source)
            {
                fields.Fault(at.Key, $"source {Quoted.Of(name)}, which {evaluator.Kind} does not know", Quoted.OneOf(evaluator.Sources.Select(s => s.Name)));
            }
            else
            {
                Source(draft, fields, evaluator, source, characteristic.From[name], at.Value);
            }
        }
    }

    /// <summary>The limit stands on the side, and in the unit, in which the calculation compares.</summary>
    public static void CheckLimit(LoaderDraft draft, Characteristic characteristic, Placed<Requirement> limit)
    {
        if (draft.FurtherEvaluators.Contains(characteristic.Evaluator) || Evaluators.Find(characteristic.Evaluator) is not { } evaluator)
        {
            return;
        }

        string[] sides = evaluator.Limit switch
        {
            LimitSide.Upper => ["upper"],
            LimitSide.Lower => ["lower"],
            LimitSide.Table => ["table"],
            _ => ["upper", "lower"],
        };
        if (sides.Length == 1 && !limit.Fields.Has(sides[0]))
        {
            limit.Fields.Fault(sides[0], $"no {sides[0]} limit for {characteristic.Evaluator} of characteristic {characteristic.Id}", sides[0] == "table" ? "table: and over: of the standard" : $"{sides[0]}: a number and unit");
        }

        foreach (var other in new[] { "upper", "lower", "table" }.Where(o => !sides.Contains(o) && limit.Fields.Has(o)))
        {
            limit.Fields.Fault(other, $"{other} limit for {characteristic.Evaluator} of characteristic {characteristic.Id}", $"{string.Join(" or ", sides)} alone: {characteristic.Evaluator} compares no other side");
        }

        if (limit.Value.Upper is { } none && characteristic.Evaluator == AnswersEvaluator.Name && none is not { Value: 0, Unit: "1" })
        {
            limit.Fields.Fault("upper", $"{none} for the yes/no list {characteristic.Id}", "0 1: no question answered no");
        }

        var units = evaluator.Unit is { } own ? [own] : characteristic.From.Values
            .Select(s => AcrossRails(draft, evaluator, s) ? "µm/m" : draft.Surveys.Find(s.Survey ?? "")?.Value.FindColumn(s.Column ?? "")?.Unit)
            .OfType<string>().Where(Units.Known.Contains).Select(Units.Calculated).Distinct().ToList();
        foreach (var (side, amount) in new[] { ("upper", limit.Value.Upper), ("lower", limit.Value.Lower) })
        {
            if (amount is not null && units.Count == 1 && Units.Calculated(amount.Unit) != units[0])
            {
                limit.Fields.Fault(side, $"limit in {amount.Unit} for characteristic {characteristic.Id}, which is calculated in {units[0]}", units[0] == "µm" ? "a length in mm, µm or m" : $"a limit in {units[0]}");
            }
        }
    }

    // Heights of both rails become the cross-level, a slope, before they are compared.
    private static bool AcrossRails(LoaderDraft draft, IEvaluator evaluator, SourceRef source) =>
        evaluator is VariationEvaluator && draft.Surveys.Find(source.Survey ?? "")?.Value is { Places: PlaceKind.At, ForEach.IsEmpty: true } survey
        && survey.FindColumn(source.Column ?? "")?.Quantity == "height" && draft.Layouts.Find(survey.Layout ?? "")?.Value is { } layout
        && (layout.Pitch is null ? layout.Listed.Select(s => s.YMm).Distinct().Count() == 2 : layout.Shape == LayoutShape.RailSeats);

    private static void Reference(Characteristic characteristic, YamlFields fields, IEvaluator evaluator)
    {
        if (evaluator.References.IsEmpty)
        {
            if (characteristic.Reference is not null)
            {
                fields.Fault("reference", $"reference {Quoted.Of(characteristic.Reference)}", $"no reference: {evaluator.Kind} has no choice of it");
            }
        }
        else if (characteristic.Reference is null)
        {
            fields.Fault("reference", $"{evaluator.Kind} without reference", Quoted.OneOf(evaluator.References));
        }
        else if (characteristic.Reference.Length > 0 && !evaluator.References.Contains(characteristic.Reference))
        {
            fields.Fault("reference", $"reference {Quoted.Of(characteristic.Reference)}, which {evaluator.Kind} does not know", Quoted.OneOf(evaluator.References));
        }
    }

    private static void Source(LoaderDraft draft, YamlFields fields, IEvaluator evaluator, EvaluatorSource needed, SourceRef given, YamlNode at)
    {
        var kind = given.Result is not null ? SourceKind.Result : given.Figure is not null ? SourceKind.Figure : SourceKind.Readings;
        if (kind != needed.Kind)
        {
            fields.Fault(at, $"{Word(kind)} as {needed.Name}", $"{needed.Kind switch { SourceKind.Result => "another result, as in {result: characteristic}", SourceKind.Figure => "a figure of the model, as in {figure: gauge}", _ => "readings of a survey, as in survey.column" }}: {evaluator.Kind} takes nothing else");
            return;
        }

        if (given.Figure is { } figure && !EvaluationInputs.FigureNames.Contains(figure))
        {
            fields.Fault(at, $"unknown figure {Quoted.Of(figure)}", Quoted.OneOf(EvaluationInputs.FigureNames));
        }
        else if (given.Figure is { } named && !needed.Quantities.IsEmpty && !needed.Quantities.Contains(named))
        {
            fields.Fault(at, $"figure {Quoted.Of(named)}", $"{Quoted.OneOf(needed.Quantities)} as {needed.Name} of {evaluator.Kind}");
        }

        if (draft.Surveys.Find(given.Survey ?? "")?.Value is not { } survey || survey.FindColumn(given.Column!) is not { } column)
        {
            return;
        }

        var places = needed.Places.IsDefault ? [PlaceKind.At] : needed.Places;
        if (needed.Stepped && survey is { Places: PlaceKind.Between, Stepped: false })
        {
            fields.Fault(at, $"survey {survey.Id}, which joins any two stations", $"a survey with places: steps for {evaluator.Kind}");
        }
        else if (!places.Contains(survey.Places))
        {
            fields.Fault(at, $"survey {survey.Id}, which is not read {string.Join(" or ", places.Select(Word))}", $"a survey with places: {string.Join(" or ", places.Select(YamlWord))} for {evaluator.Kind}");
        }

        // Minutes and angles are no places on the machine, and places are neither.
        var shape = draft.Layouts.Find(survey.Layout ?? "")?.Value.Shape;
        if (shape is LayoutShape.Times or LayoutShape.Circle && shape != evaluator.Needs)
        {
            fields.Fault(at, $"survey {survey.Id}, {(shape == LayoutShape.Times ? "a log over time" : "on a circular path")}", evaluator.Needs is { } other ? $"a survey on a layout with generate: {YamlWord(other)} for {evaluator.Kind}" : $"places on the machine for {evaluator.Kind}");
        }
        else if (evaluator.Needs is { } needs && shape != needs)
        {
            fields.Fault(at, $"survey {survey.Id}, which is {(needs == LayoutShape.Times ? "no log over time" : "on no circular path")}", $"a survey on a layout with generate: {YamlWord(needs)} for {evaluator.Kind}");
        }

        if (draft.Layouts.Find(survey.Layout ?? "")?.Value is { Pitch: null } listed && listed.Listed.Select(s => s.XMm).Distinct().Count() is var along && along < evaluator.FewestStations)
        {
            fields.Fault(at, $"survey {survey.Id} with {along} places along its layout", $"at least {evaluator.FewestStations} stations at different x for {evaluator.Kind}");
        }

        // A step along a line is a slope times its length; a rise read as a height joins stations in a net.
        if (needed.Stepped && survey.Places == PlaceKind.Between && column.Quantity is not (Slope or ""))
        {
            fields.Fault(at, $"steps of survey {survey.Id} that are read as {column.Quantity}", $"quantity {Slope} for steps in {evaluator.Kind}");
        }

        if (column.Kind != ValueKind.Number)
        {
            fields.Fault(at, $"column {column.Id} without numbers", "a column with kind: number");
        }
        else if (!needed.Quantities.IsEmpty && column.Quantity!.Length > 0 && !needed.Quantities.Contains(column.Quantity))
        {
            fields.Fault(at, $"column {column.Id} of quantity {column.Quantity}", $"quantity {Quoted.OneOf(needed.Quantities)} as {needed.Name} of {evaluator.Kind}");
        }
    }

    private static string Word(SourceKind kind) => kind switch
    {
        SourceKind.Result => "a result",
        SourceKind.Figure => "a figure",
        _ => "readings",
    };

    private static string Word(PlaceKind places) => places switch
    {
        PlaceKind.Between => "between stations",
        PlaceKind.Whole => "as a whole",
        _ => "at stations",
    };

    private static string YamlWord(LayoutShape shape) => shape == LayoutShape.Times ? "times" : "circle";

    private static string YamlWord(PlaceKind places) => places switch
    {
        PlaceKind.Between => "steps",
        PlaceKind.Whole => "whole",
        _ => "at",
    };

    /// <summary>Every source of a list is a question that can be answered yes and no, all of one survey of the whole.</summary>
    private static void Questions(LoaderDraft draft, Characteristic characteristic, YamlFields fields, IEvaluator evaluator)
    {
        foreach (var entry in fields.Entries("from", "questions"))
        {
            var given = characteristic.From[entry.Key.Value];
            if (given.Result is not null || given.Figure is not null)
            {
                fields.Fault(entry.Value, $"a {(given.Result is not null ? "result" : "figure")} as question", $"a column of a survey, as in survey.column: {evaluator.Kind} takes nothing else");
            }
            else if (draft.Surveys.Find(given.Survey ?? "")?.Value is { } survey && survey.FindColumn(given.Column!) is { } column)
            {
                if (survey.Places != PlaceKind.Whole)
                {
                    fields.Fault(entry.Value, $"survey {survey.Id}, which is not answered as a whole", $"a survey with places: whole for {evaluator.Kind}");
                }

                if (column.Kind != ValueKind.Choice || !column.Choices.Contains(AnswersEvaluator.Yes) || !column.Choices.Contains(AnswersEvaluator.No)
                    || column.Choices.Any(c => c is not (AnswersEvaluator.Yes or AnswersEvaluator.No or AnswersEvaluator.NotApplicable)))
                {
                    fields.Fault(entry.Value, $"column {column.Id}, which is not answered yes or no", "a column with kind: choice and choices: [yes, no], with or without not-applicable");
                }
            }
        }
    }
}
