using System.Text.Json.Nodes;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Thermal;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Uncertainty of the accuracy of positioning from instrument, alignment, temperature and drift.</summary>
internal static class PositioningUncertaintyCommand
{
    public static EvaluationKind Kind { get; } = new(
        "positioning-uncertainty", "expanded uncertainty (k = 2) of the accuracy A of positioning after ISO/TR 230-9: instrument, alignment, temperature, expansion, drift; derived from them that of B, E, M and R", "",
        [
            ("length-mm", "measured length, mm"), ("instrument-um", "U of the instrument over that length from its certificate, k = 2, µm"),
            ("instrument-range-um", "full range of its specification in place of U, µm"), ("misalignment-mm", "sideways shift of the instrument's line along the length, mm; 0 where not given"),
            ("temperature-range-k", "range that holds the temperature of the machine, K; 0 where not given"), ("instrument-temperature-range-k", "the same of a scale used as instrument, K; 0 where not given"),
            ("temperature-c", "temperature of the machine, °C; 20 where not given"), ("expansion-per-million-per-k", "coefficient of expansion, 1e-6 per K; 11.5 (steel) where not given"),
            ("expansion-range-per-million-per-k", "range that holds it, 1e-6 per K; 0 where not given"), ("drift-um", "range of the reading at rest over the time of the test, µm; 0 where not given"),
            ("runs", "runs in each direction; where not given 5, above 2 m 1"),
        ]);

    public static EvaluationOutcome Run(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var length = numbers.Need("length-mm", v => v is >= 1 / PositioningUncertainty.LargestNumber and <= PositioningUncertainty.LargestNumber, "a number in mm above 0, at most 1e6");
        if (options.ContainsKey("instrument-um") == options.ContainsKey("instrument-range-um"))
        {
            numbers.Fault("instrument-um, --instrument-range-um", options.ContainsKey("instrument-um") ? "both" : "neither", "one of them");
        }

        var instrument = options.ContainsKey("instrument-um") ? Part(numbers, "instrument-um", "µm") : PositioningUncertainty.Rectangular * Part(numbers, "instrument-range-um", "µm");
        var temperature = ThermalCommands.Celsius(numbers, "temperature-c", needed: false) ?? Temperature.Reference.DegreesCelsius;
        var conditions = new PositioningConditions(
            length ?? 1, instrument, Part(numbers, "misalignment-mm", "mm"), Part(numbers, "temperature-range-k", "K"), Part(numbers, "instrument-temperature-range-k", "K"),
            Part(numbers, "expansion-per-million-per-k", "1e-6 per K", ThermalShape.SteelPerMillionPerK), Part(numbers, "expansion-range-per-million-per-k", "1e-6 per K"),
            Temperature.FromDegreesCelsius(temperature), Part(numbers, "drift-um", "µm"));
        var runs = (int)(numbers.Read("runs", n => n is >= 1 and <= PositioningUncertainty.MostRuns && n == Math.Floor(n), "a whole number of runs from 1 to 1000000")
            ?? (length > PositioningCalculation.LongTravelMm ? 1 : PositioningCalculation.StandardRuns));
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var parts = PositioningUncertainty.Of(conditions);
        var figures = parts.OfFigures(runs);
        var json = new JsonObject
        {
            ["source"] = "ISO/TR 230-9:2005, Annex C", ["k"] = 2, ["accuracyUm"] = Number(parts.AccuracyUm), ["instrumentUm"] = Number(parts.InstrumentUm),
            ["misalignmentUm"] = Number(parts.MisalignmentUm), ["temperatureUm"] = Number(parts.TemperatureUm), ["instrumentTemperatureUm"] = Number(parts.InstrumentTemperatureUm),
            ["expansionUm"] = Number(parts.ExpansionUm), ["driftUm"] = Number(parts.DriftUm),
            ["runs"] = runs, ["derived"] = new JsonObject
            {
                ["reversalUm"] = Number(figures.ReversalUm), ["systematicUm"] = Number(figures.SystematicUm), ["meanRangeUm"] = Number(figures.MeanRangeUm),
                ["repeatabilityUnidirectionalUm"] = Number(figures.RepeatabilityUnidirectionalUm), ["repeatabilityUm"] = Number(figures.RepeatabilityUm),
            },
        };
        if (figures.RepeatabilityUm is null)
        {
            const string oneRun = "One run gives no repeatability.";
            json["notReported"] = new JsonObject { ["derived.repeatabilityUnidirectionalUm"] = oneRun, ["derived.repeatabilityUm"] = oneRun };
        }

        return EvaluationOutcome.Of(json);
    }

    private static double Part(NumberOptions numbers, string name, string unit, double fallback = 0) =>
        numbers.Read(name, v => v is >= 0 and <= PositioningUncertainty.LargestNumber, $"a number in {unit} of 0 or more, up to 1e6") ?? fallback;
}
