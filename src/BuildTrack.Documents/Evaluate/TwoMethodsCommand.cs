using System.Text.Json.Nodes;
using BuildTrack.Metrology.TwoMethods;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Whether two results for one quantity agree within their uncertainty.</summary>
internal static class TwoMethodsCommand
{
    public static EvaluationKind Kind { get; } = new(
        "two-methods", "whether two results for one quantity, by two methods, agree within their uncertainty: the E_n number of ISO 13528", "",
        [
            ("value-1", "result of the first method"), ("uncertainty-1", "its expanded uncertainty U, k = 2"),
            ("value-2", "result of the second method, in the same unit"), ("uncertainty-2", "its expanded uncertainty U, k = 2"), ("unit", "unit of all four, for the statement"),
        ]);

    public static EvaluationOutcome Run(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var (first, firstU) = (Value(numbers, "value-1"), Uncertainty(numbers, "uncertainty-1"));
        var (second, secondU) = (Value(numbers, "value-2"), Uncertainty(numbers, "uncertainty-2"));
        if (firstU is { } one && secondU is { } two && Math.Sqrt((one * one) + (two * two)) < 1 / TwoMethodsCalculation.LargestNumber)
        {
            numbers.Fault("uncertainty-1, --uncertainty-2", "nothing above 0", "an uncertainty above 0 for one of the results at least");
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var result = TwoMethodsCalculation.Of(first!.Value, firstU!.Value, second!.Value, secondU!.Value);
        var unit = options.TryGetValue("unit", out var given) && given.Trim().Length > 0 ? " " + given.Trim() : "";
        return EvaluationOutcome.Of(new JsonObject
        {
            ["value1"] = Number(result.First), ["uncertainty1"] = Number(result.FirstU), ["value2"] = Number(result.Second), ["uncertainty2"] = Number(result.SecondU),
            ["difference"] = Number(result.Difference), ["uncertaintyOfDifference"] = Number(result.DifferenceU), ["en"] = Number(result.En), ["agree"] = result.Agree,
            ["statement"] = Invariant(
                $"{result.First:G6}{unit} (U {result.FirstU:G6}{unit}) and {result.Second:G6}{unit} (U {result.SecondU:G6}{unit}) differ by {result.Difference:G6}{unit}; U of the difference is {result.DifferenceU:G6}{unit}, E_n = {result.En:F2}: the two methods {(result.Agree ? "agree" : "do not agree")}."),
        });
    }

    private static double? Value(NumberOptions numbers, string name) => numbers.Need(name, v => Math.Abs(v) <= TwoMethodsCalculation.LargestNumber, "a finite number within ±1e12");

    private static double? Uncertainty(NumberOptions numbers, string name) => numbers.Need(name, v => v is >= 0 and <= TwoMethodsCalculation.LargestNumber, "a number of 0 or more, up to 1e12");
}
