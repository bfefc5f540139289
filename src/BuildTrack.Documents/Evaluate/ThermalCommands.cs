using System.Text.Json.Nodes;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Thermal;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Change of length with temperature, and bow of a bed from a gradient over its height.</summary>
internal static class ThermalCommands
{
    private const string Expansion = "expansion-per-million-per-k";

    private static readonly (string, string) ExpansionOption = (Expansion, "coefficient of expansion in 1e-6 per K, the same in µm per m and K; 11.5 (steel) where not given");

    public static EvaluationKind LengthKind { get; } = new(
        "thermal-length", "change of a length against 20 °C, with the terms of its uncertainty", "",
        [
            ("length-mm", "length at 20 °C, mm"), ("temperature-c", "temperature of the part, °C"), ExpansionOption,
            ("u-temperature-k", "standard uncertainty of the temperature, K; 0 where not given"), ("u-expansion-per-million-per-k", "standard uncertainty of the coefficient, 1e-6 per K; 0 where not given"),
        ]);

    public static EvaluationKind BowKind { get; } = new(
        "thermal-bow", "bow of a free bed from a difference of temperature between top and bottom; positive where the middle stands high", "",
        [
            ("length-mm", "length of the bed, mm"), ("height-mm", "height between the thermometers, mm"), ("top-c", "temperature of the top, °C; with bottom-c"), ("bottom-c", "temperature of the bottom, °C"),
            ("difference-k", "top less bottom, K, in place of both temperatures"), ExpansionOption,
            ("u-difference-k", "standard uncertainty of the difference, K; 0 where not given"), ("share-um", "what the bow may take of a limit, µm; gives the difference allowed"),
        ]);

    public static EvaluationOutcome Length(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var (length, temperature, expansion) = (Millimetres(numbers, "length-mm"), Celsius(numbers, "temperature-c", needed: true), OfExpansion(numbers));
        var (temperatureU, expansionU) = (NotNegative(numbers, "u-temperature-k", "K"), NotNegative(numbers, "u-expansion-per-million-per-k", "1e-6 per K"));
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var change = ThermalShape.Length(length!.Value, Temperature.FromDegreesCelsius(temperature!.Value), expansion!.Value, temperatureU!.Value, expansionU!.Value);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["changeUm"] = Number(change.ChangeUm), ["lengthMm"] = Number(length.Value + (change.ChangeUm / 1000)), ["expansionPerMillionPerK"] = Number(expansion),
            ["temperatureTermUm"] = Number(change.TemperatureTermUm), ["expansionTermUm"] = Number(change.ExpansionTermUm),
            ["standardUncertaintyUm"] = Number(change.StandardUncertaintyUm), ["uncertaintyUm"] = Number(2 * change.StandardUncertaintyUm), ["k"] = 2,
        });
    }

    public static EvaluationOutcome Bow(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var (length, height, expansion) = (Millimetres(numbers, "length-mm"), Millimetres(numbers, "height-mm"), OfExpansion(numbers));
        var given = options.ContainsKey("difference-k");
        var (top, bottom) = (Celsius(numbers, "top-c", !given), Celsius(numbers, "bottom-c", !given));
        if (given && (options.ContainsKey("top-c") || options.ContainsKey("bottom-c")))
        {
            numbers.Fault("difference-k", "a difference and temperatures", "one or the other");
        }

        var largest = ThermalShape.WarmestCelsius - ThermalShape.ColdestCelsius;
        var difference = numbers.Read("difference-k", k => Math.Abs(k) <= largest, "a difference in K within ±300") ?? top - bottom;
        var differenceU = NotNegative(numbers, "u-difference-k", "K");
        var share = numbers.Read("share-um", s => s is > 0 and <= 1e9, "a number in µm above 0");
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var bow = ThermalShape.Bow(length!.Value, height!.Value, TemperatureDifference.FromKelvins(difference!.Value), expansion!.Value, differenceU!.Value);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["bowUm"] = Number(bow.BowUm), ["bowUmPerK"] = Number(bow.BowUmPerK), ["differenceK"] = Number(difference), ["expansionPerMillionPerK"] = Number(expansion),
            ["allowedDifferenceK"] = Number(share is { } s ? bow.Allowed(s).Kelvins : null),
            ["standardUncertaintyUm"] = Number(bow.StandardUncertaintyUm), ["uncertaintyUm"] = Number(2 * bow.StandardUncertaintyUm), ["k"] = 2,
        });
    }

    internal static bool IsOfPart(double celsius) => celsius is >= ThermalShape.ColdestCelsius and <= ThermalShape.WarmestCelsius;

    internal static double? Celsius(NumberOptions numbers, string name, bool needed)
    {
        const string expected = "a temperature in °C from -50 to 250 (not in K)";
        return needed ? numbers.Need(name, IsOfPart, expected) : numbers.Read(name, IsOfPart, expected);
    }

    private static double? Millimetres(NumberOptions numbers, string name) => numbers.Need(name, v => v is >= 1 / ThermalShape.LargestMm and <= ThermalShape.LargestMm, "a number in mm above 0, at most 1e6");

    private static double? NotNegative(NumberOptions numbers, string name, string unit) => numbers.Read(name, v => v is >= 0 and <= 1000, $"a number in {unit} of 0 or more, up to 1000") ?? 0;

    private static double? OfExpansion(NumberOptions numbers) =>
        numbers.Read(Expansion, v => v is >= 1 / ThermalShape.LargestMm and <= ThermalShape.LargestPerMillionPerK, "a number in 1e-6 per K above 0, at most 100") ?? ThermalShape.SteelPerMillionPerK;
}
