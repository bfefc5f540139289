using System.Text.Json.Nodes;
using BuildTrack.Metrology.Statistics;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Crossed gauge study from a table of readings.</summary>
internal static class GaugeStudyCommand
{
    public static EvaluationKind Kind { get; } = new(
        "gauge-study",
        "crossed gauge study: repeatability and reproducibility by analysis of variance, interaction pooled or not, and by averages and ranges",
        "part,appraiser,trial,value (every part by every appraiser, as many trials each)",
        [
            ("pooling", "by-test (interaction pooled where its probability is above 0.25), always or never"),
            ("tolerance", "width of the tolerance, for parts of it"),
            ("unit", "unit of the values, repeated in the answer"),
        ]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var pooling = numbers.Word("pooling", "by-test", "always", "never") switch
        {
            "always" => InteractionPooling.Always,
            "never" => InteractionPooling.Never,
            _ => InteractionPooling.ByTest,
        };
        var tolerance = numbers.Read("tolerance", w => w is >= 1 / IndividualsChart.LargestNumber and <= IndividualsChart.LargestNumber, "a width above 0");
        var (readings, faults) = GaugeTable.Read(csv, fileName);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        var study = GaugeStudy.Of(readings, pooling, tolerance);
        return study.DefectSentence is { } defect ? EvaluationOutcome.NoAnswer(defect)
            : EvaluationOutcome.Of(Json(study, options.GetValueOrDefault("unit", "").Trim()));
    }

    private static JsonObject Json(GaugeStudyResult study, string unit)
    {
        var v = study.Variance!;
        return new JsonObject
        {
            ["unit"] = unit.Length > 0 ? unit : null, ["parts"] = study.Parts, ["appraisers"] = study.Appraisers, ["trials"] = study.Trials,
            ["model"] = study.IsPooled ? "pooled" : "withInteraction", ["gaugePercent"] = Percent(study.Used!.Gauge.PartOfTotal),
            ["distinctCategories"] = study.Used.Categories,
            ["analysisOfVariance"] = new JsonObject
            {
                ["part"] = Line(v.Part), ["appraiser"] = Line(v.Appraiser), ["interaction"] = Line(v.Interaction), ["equipment"] = Line(v.Equipment),
                ["total"] = Line(v.Total),
                ["interactionF"] = Number(v.InteractionF), ["interactionProbability"] = Number(v.InteractionProbability),
            },
            ["pooled"] = Model(study.Pooled), ["withInteraction"] = Model(study.WithInteraction), ["averageAndRange"] = Model(study.AverageAndRange),
            ["remarks"] = new JsonArray([.. study.Remarks.Select(r => (JsonNode?)r)]),
        };
    }

    private static JsonObject Line(VarianceLine line) =>
        new() { ["sumOfSquares"] = Number(line.Squares), ["degreesOfFreedom"] = line.Degrees, ["meanSquare"] = Number(line.MeanSquare) };

    private static JsonObject? Model(GaugeModel? model) => model is null ? null : new JsonObject
    {
        ["equipment"] = Component(model.Equipment), ["appraiser"] = Component(model.Appraiser), ["interaction"] = Component(model.Interaction),
        ["gauge"] = Component(model.Gauge),
        ["part"] = Component(model.Part), ["total"] = Component(model.Total), ["distinctCategories"] = model.Categories,
        ["distinctCategoriesUncut"] = Number(model.CategoriesRaw),
    };

    private static JsonObject? Component(GaugeComponent? component) => component is null ? null : new JsonObject
    {
        ["sigma"] = Number(component.Sigma), ["percentOfTotal"] = Percent(component.PartOfTotal), ["percentOfVariance"] = Percent(component.PartOfVariance),
        ["percentOfTolerance"] = Percent(component.PartOfTolerance), ["wasNegative"] = component.WasNegative,
    };

    private static JsonNode? Percent(double? part) => Number(100 * part);
}
