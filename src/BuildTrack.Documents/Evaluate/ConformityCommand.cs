using System.Globalization;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Verdicts;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>A value with its uncertainty against limits, by a decision rule.</summary>
internal static class ConformityCommand
{
    public static EvaluationKind Kind { get; } = new(
        "conformity", "a value with its uncertainty against limits, by a decision rule", "",
        [
            ("value", "the value measured"), ("upper", "upper limit"), ("lower", "lower limit"), ("uncertainty", "expanded uncertainty U, in the unit of the value"),
            ("k", "coverage factor of U"), ("rule", "simple, guarded or one-sided-95"),
        ]);

    public static EvaluationOutcome Run(IReadOnlyDictionary<string, string> options)
    {
        var faults = new List<EvaluationFault>();
        var value = Number(options, "value", faults, required: true);
        var (upper, lower) = (Number(options, "upper", faults), Number(options, "lower", faults));
        var uncertainty = Number(options, "uncertainty", faults, required: true, least: 0);
        var k = Number(options, "k", faults, required: true, least: double.Epsilon);
        var rule = Rule(options, faults);
        if (upper is null && lower is null && !options.ContainsKey("upper") && !options.ContainsKey("lower"))
        {
            faults.Add(new EvaluationFault("--upper, --lower", null, null, "neither", "at least one limit"));
        }

        if (lower > upper)
        {
            faults.Add(new EvaluationFault("--lower", null, null, Invariant($"{lower}"), Invariant($"a limit not above the upper limit {upper}")));
        }

        if (faults.Count > 0)
        {
            return EvaluationOutcome.Bad(faults);
        }

        var decision = Conformity.ByRule(value!.Value, new Conformity.Limits(upper, lower), rule, uncertainty!.Value, k!.Value);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["verdict"] = decision.Verdict switch { Verdict.Accepted => "accepted", Verdict.Rejected => "rejected", _ => "notProven" },
            ["acceptUpTo"] = FlatnessCommand.Number(decision.AcceptUpTo), ["rejectAbove"] = FlatnessCommand.Number(decision.RejectAbove),
            ["acceptFrom"] = FlatnessCommand.Number(decision.AcceptFrom), ["rejectBelow"] = FlatnessCommand.Number(decision.RejectBelow),
            ["probabilityOfConformity"] = FlatnessCommand.Number(decision.ProbabilityOfConformity),
        });
    }

    private static DecisionRule Rule(IReadOnlyDictionary<string, string> options, List<EvaluationFault> faults)
    {
        switch (options.GetValueOrDefault("rule", ""))
        {
            case "simple":
                return DecisionRule.Simple;
            case "guarded":
                return DecisionRule.Guarded;
            case "one-sided-95":
                return DecisionRule.OneSided95;
            case var other:
                faults.Add(new EvaluationFault("--rule", null, null, other.Length == 0 ? "nothing" : $"'{other}'", "simple, guarded or one-sided-95"));
                return DecisionRule.Guarded;
        }
    }

    private static double? Number(IReadOnlyDictionary<string, string> options, string name, List<EvaluationFault> faults, bool required = false, double? least = null)
    {
        if (!options.TryGetValue(name, out var text))
        {
            if (required)
            {
                faults.Add(new EvaluationFault($"--{name}", null, null, "nothing", "a number"));
            }

            return null;
        }

        if (double.TryParse(text.Replace('−', '-'), NumberStyles.Float, CultureInfo.InvariantCulture, out var value) && double.IsFinite(value) && !(value < least))
        {
            return value;
        }

        faults.Add(new EvaluationFault($"--{name}", null, null, $"'{text}'", least switch { null => "a finite number with a point for decimals", 0 => "a number of 0 or more", _ => "a number above 0" }));
        return null;
    }
}
