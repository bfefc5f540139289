using System.Text.Json.Nodes;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Stopping time with the distance of a guard, and the resistance of a protective bonding connection.</summary>
internal static class MachineSafetyCommands
{
    public static EvaluationKind StoppingKind { get; } = new(
        "stopping-time", "stopping time of a movement from ten stops or more (the larger of the longest and mean + 3 s), and the distance a guard needs (ISO 13855)", "stop_ms; optional id",
        [
            ("approach-mm-per-s", "speed of approach K, mm/s: 2000 for hands, 1600 for walking; gives the distance"), ("response-ms", "time of the protective device itself, ms; 0 where the stops hold it"),
            ("intrusion-mm", "what is reached over before it responds, C, mm; 0 where not given"), ("distance-mm", "distance that is there, mm; gives a verdict"),
            ("uncertainty-ms", "expanded uncertainty of the time, ms; 0 where not given"),
        ]);

    public static EvaluationKind BondingKind { get; } = new(
        "bonding", "largest resistance of a protective bonding connection by its conductor (IEC 60204-1, 18.2; IEC 60228), and a measured one against it", "",
        [
            ("length-m", "length of the conductor, m"), ("cross-section-mm2", "nominal cross-section, mm²"), ("conductor", "stranded or flexible (plain copper, IEC 60228), or ideal (ρL/S); stranded where not given"),
            ("temperature-c", "temperature of the conductor, °C; 20 where not given"), ("contacts-ohm", "allowance for contacts, Ω; 0 where not given"), ("measured-ohm", "measured resistance, Ω; gives a verdict"),
            ("uncertainty-ohm", "expanded uncertainty of the measured resistance, Ω; 0 where not given"),
        ]);

    public static EvaluationOutcome Stopping(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var approach = numbers.Read("approach-mm-per-s", v => v is > 0 and <= 1e5, "a speed in mm/s above 0, at most 100000");
        var (response, intrusion, distance) = (Least(numbers, "response-ms", "ms"), Least(numbers, "intrusion-mm", "mm"), Least(numbers, "distance-mm", "mm"));
        var uncertainty = Least(numbers, "uncertainty-ms", "ms");
        foreach (var alone in new[] { "response-ms", "intrusion-mm", "distance-mm" }.Where(o => options.ContainsKey(o) && !options.ContainsKey("approach-mm-per-s")))
        {
            numbers.Fault(alone, $"'{options[alone]}'", "it together with --approach-mm-per-s");
        }

        var (stops, faults) = Column(csv, fileName, "stop_ms", "ms", StoppingTime.LongestMs, least: 0);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        var result = StoppingTime.Of([.. stops], approach is { } k ? new GuardPlace(k, response ?? 0, intrusion ?? 0, distance) : null, uncertainty ?? 0);
        return result.DefectSentence is { } defect ? EvaluationOutcome.NoAnswer(defect) : EvaluationOutcome.Of(new JsonObject
        {
            ["stops"] = result.Stops, ["highestMs"] = Number(result.HighestMs), ["meanMs"] = Number(result.MeanMs), ["standardDeviationMs"] = Number(result.StandardDeviationMs),
            ["timeMs"] = Number(result.TimeMs), ["neededDistanceMm"] = Number(result.NeededDistanceMm), ["verdict"] = Word(result.Decision),
        });
    }

    public static EvaluationOutcome Bonding(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var length = numbers.Need("length-m", v => v is > 0 and <= BondingLimit.LongestM, "a length in m above 0, at most 10000");
        var kind = numbers.Word("conductor", "stranded", "flexible", "ideal");
        var sections = string.Join(", ", BondingLimit.CrossSectionsMm2.Select(s => FormattableString.Invariant($"{s}")));
        var section = kind == "ideal" ? numbers.Need("cross-section-mm2", v => v is >= BondingLimit.ThinnestMm2 and <= 1000, "a cross-section in mm² from 0.01 to 1000")
            : numbers.Need("cross-section-mm2", v => BondingLimit.CrossSectionsMm2.Contains(v), $"one of {sections} mm²");
        var temperature = numbers.Read("temperature-c", v => v is >= -40 and <= 90, "a temperature in °C from -40 to 90");
        var (contacts, measured, uncertainty) = (Least(numbers, "contacts-ohm", "Ω"), Least(numbers, "measured-ohm", "Ω"), Least(numbers, "uncertainty-ohm", "Ω"));
        if (options.ContainsKey("uncertainty-ohm") && !options.ContainsKey("measured-ohm"))
        {
            numbers.Fault("uncertainty-ohm", $"'{options["uncertainty-ohm"]}'", "it together with --measured-ohm");
        }

        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var made = kind switch { "ideal" => ConductorClass.Ideal, "flexible" => ConductorClass.Flexible, _ => ConductorClass.Stranded };
        var limit = BondingLimit.Ohm(length!.Value, section!.Value, made, Temperature.FromDegreesCelsius(temperature ?? 20), contacts ?? 0);
        Conformity.Decision? decision = measured is { } found ? Conformity.Decide(found, new Conformity.Limits(limit, null), uncertainty ?? 0, uncertainty ?? 0) : null;
        return EvaluationOutcome.Of(new JsonObject
        {
            ["conductor"] = kind, ["limitOhm"] = Number(limit), ["measuredOhm"] = Number(measured), ["acceptUpToOhm"] = Number(decision?.AcceptUpTo), ["rejectAboveOhm"] = Number(decision?.RejectAbove),
            ["verdict"] = Word(decision),
        });
    }

    internal static string? Word(Conformity.Decision? decision) => decision?.Verdict switch
    {
        null => null,
        Verdict.Accepted => "accepted",
        Verdict.Rejected => "rejected",
        _ => "notProven",
    };

    internal static double? Least(NumberOptions numbers, string name, string unit) => numbers.Read(name, v => v is >= 0 and <= 1e6, $"a number in {unit} of 0 or more, at most 1e6");

    /// <summary>One column of numbers.</summary>
    internal static (List<double> Values, IReadOnlyList<EvaluationFault> Faults) Column(TextReader csv, string fileName, string name, string unit, double largest, double least)
    {
        var (values, table) = (new List<double>(), new PointTable(csv, fileName));
        if (!table.ReadHeader())
        {
            return (values, table.Faults);
        }

        var at = table.Need(name, $"a column {name}");
        while (at >= 0 && !table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row) || !table.Number(row, at, unit, largest, out var value))
            {
                continue;
            }

            if (value < least)
            {
                table.Fault(row[at], $"'{row[at].Text}'", FormattableString.Invariant($"a number in {unit} of {least} or more"));
                continue;
            }

            values.Add(value);
        }

        return (values, table.Faults);
    }
}
