using System.Text.Json.Nodes;
using BuildTrack.Metrology.Uncertainty;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Global risks of a production and its inspection, for a guard band.</summary>
internal static class ConformityRiskCommand
{
    private const double Largest = 1e12;

    public static EvaluationKind Kind { get; } = new(
        "conformity-risk", "global consumer's and producer's risk of a normal production inspected with a guard band (JCGM 106:2012)", "",
        [
            ("mean", "mean of the production"), ("sigma", "its standard deviation, in the unit of the mean"),
            ("uncertainty", "expanded uncertainty U of the inspection, in the unit of the mean"),
            ("k", "coverage factor of U"), ("upper", "upper limit"), ("lower", "lower limit"),
            ("guard-band", "guard band w at each limit, negative to accept beyond it; 0 where not given"),
        ]);

    public static EvaluationOutcome Run(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var mean = numbers.Need("mean", Finite, "a finite number within ±1e12");
        var sigma = numbers.Need("sigma", Positive, "a standard deviation above 0");
        var (uncertainty, k) = (numbers.Need("uncertainty", Positive, "an expanded uncertainty above 0"),
            numbers.Need("k", Positive, "a coverage factor above 0"));
        var (upper, lower) = (numbers.Read("upper", Finite, "a finite number within ±1e12"), numbers.Read("lower", Finite, "a finite number within ±1e12"));
        var guard = numbers.Read("guard-band", Finite, "a finite number within ±1e12") ?? 0;
        if (!options.ContainsKey("upper") && !options.ContainsKey("lower"))
        {
            numbers.Fault("upper, --lower", "neither", "at least one limit");
        }

        if (lower > upper)
        {
            numbers.Fault("lower", $"'{options["lower"]}'", $"a limit not above the upper limit {options["upper"]}");
        }
        else if (upper - guard < lower + guard)
        {
            numbers.Fault("guard-band", $"'{options["guard-band"]}'", "a guard band that leaves something between the acceptance limits");
        }

        if (uncertainty / k / sigma is { } ratio && ratio is not (>= 1 / ConformityRisk.LargestRatio and <= ConformityRisk.LargestRatio))
        {
            numbers.Fault("uncertainty", $"'{options["uncertainty"]}'", "U/k between a millionth and a million of sigma");
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var tolerance = new Conformity.Limits(upper, lower);
        var acceptance = ConformityRisk.AcceptanceLimits(tolerance, guard);
        var risk = ConformityRisk.Global(mean!.Value, sigma!.Value, uncertainty!.Value / k!.Value, tolerance, acceptance);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["source"] = "JCGM 106:2012", ["acceptUpTo"] = Number(acceptance.Upper), ["acceptFrom"] = Number(acceptance.Lower),
            ["consumerRisk"] = Number(risk.ConsumerRisk),
            ["producerRisk"] = Number(risk.ProducerRisk), ["conforming"] = Number(risk.Conforming), ["accepted"] = Number(risk.Accepted),
            ["accuracy"] = ConformityRisk.Accuracy,
        });
    }

    private static bool Finite(double value) => Math.Abs(value) <= Largest;

    private static bool Positive(double value) => value is >= 1 / Largest and <= Largest;
}
