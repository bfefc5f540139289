using System.Collections.Immutable;
using System.Text.Json.Nodes;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Straightness of a table of heights, or of readings of a level stepped along a line.</summary>
internal static class StraightnessCommand
{
    /// <summary>Standard uncertainty of one rise where none is given: half of U = 5 µm/m, the coarse end for an electronic level in a shop.</summary>
    private const double UsualUncertainty = 2.5;

    public static EvaluationKind Kind { get; } = new(
        "straightness", "straightness of a line: end-point, least squares and minimum zone, from heights or from level readings",
        "position_mm,height_um; or with --base-mm reading_um_per_m (or reading_arcsec), in the order of the stations toward +X, optional position_mm of the end of the base toward -X; optional run, direction (+ or -), arrow (+X or -X)",
        [
            ("base-mm", "base of the level: distance of its feet, which is the step; for readings"), ("window-mm", "length of the window of the worst stretch; 1000 where not given"),
            ("window-reference", "line by which a stretch is judged: end-point (default), least-squares or minimum-zone"),
            ("u", "standard uncertainty of one reading in µm/m, with heights of one rise in µm; 2.5 where not given; decides only whether out and back that cancel are a sign fault"),
        ]);

    public static EvaluationOutcome Run(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var faults = numbers.Faults;
        var baseMm = PositiveOption.Read(options, "base-mm", "mm", 1e6, null, faults);
        var window = PositiveOption.Read(options, "window-mm", "mm", 1e9, StraightnessCalculation.UsualWindowMm, faults);
        var reference = Reference(numbers);
        var u = PositiveOption.Read(options, "u", "µm/m (µm with heights)", 1e6, UsualUncertainty, faults);
        var table = new StraightnessTable(csv, fileName, baseMm, options.ContainsKey("base-mm"));
        if (!table.Read() || faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. faults, .. table.Faults]);
        }

        if (table.Passes.Count == 0)
        {
            return EvaluationOutcome.NoAnswer("There are no rows: straightness needs three stations.");
        }

        double[] positions = [.. table.Passes[0].PositionsMm];
        var (forward, backward) = (Mean(table.Passes, back: false), Mean(table.Passes, back: true));
        if (positions.Concat(forward ?? []).Concat(backward ?? []).Any(v => Math.Abs(v) > LevelReadings.LargestNumber))
        {
            return EvaluationOutcome.NoAnswer("The readings add to heights beyond 10¹² µm: no measured line.");
        }

        if (forward is null || backward is null)
        {
            var one = StraightnessCalculation.Of(positions, forward ?? backward!, window!.Value, reference);
            return one.Values is { } values ? EvaluationOutcome.Of(Json(positions, forward ?? backward!, values, null, reference)) : NoAnswer(one);
        }

        // A station twice makes the differences per step meaningless: that defect comes first.
        if (StraightnessCalculation.Of(positions, forward, window!.Value, reference) is { Values: null } defect)
        {
            return NoAnswer(defect);
        }

        if (OutAndBack.IsProbableSignFault(Rises(forward, table.StepMm), Rises(backward, table.StepMm), u!.Value))
        {
            return EvaluationOutcome.NoAnswer(
                "Out and back nearly cancel: probably the sign of one run is wrong. The sign belongs to the level; say for each run whether its arrow pointed to +X or -X.");
        }

        var both = OutAndBack.Of(positions, forward, backward);
        var result = StraightnessCalculation.Of(positions, both.MeanHeightsUm.AsSpan(), window.Value, reference);
        return result.Values is { } mean ? EvaluationOutcome.Of(Json(positions, both.MeanHeightsUm, mean, both, reference)) : NoAnswer(result);
    }

    private static EvaluationOutcome NoAnswer(StraightnessResult result) => EvaluationOutcome.NoAnswer(result.DefectSentence ?? "The stations give no straightness.");

    private static double[]? Mean(IReadOnlyList<StraightnessPass> passes, bool back)
    {
        var some = passes.Where(p => p.Back == back).ToArray();
        return some.Length == 0 ? null : [.. Enumerable.Range(0, some[0].HeightsUm.Length).Select(i => some.Average(p => p.HeightsUm[i]))];
    }

    /// <summary>From station to station: µm of heights, or the readings again in µm/m.</summary>
    private static double[] Rises(double[] heights, double? stepMm) =>
        [.. heights.Skip(1).Select((h, i) => (h - heights[i]) / (stepMm / 1000 ?? 1))];

    internal static LineReference Reference(NumberOptions numbers) => numbers.Word("window-reference", "end-point", "least-squares", "minimum-zone") switch
    {
        "least-squares" => LineReference.LeastSquares,
        "minimum-zone" => LineReference.MinimumZone,
        _ => LineReference.EndPoint,
    };

    internal static JsonObject Json(double[] positions, IReadOnlyList<double> heights, StraightnessValues values, OutAndBackResult? both, LineReference reference)
    {
        var json = new JsonObject
        {
            ["stations"] = new JsonArray([.. positions.Select((p, i) => (JsonNode)Station(p, heights[i], values, both, i))]),
            ["endPointUm"] = FlatnessCommand.Number(values.EndPointUm), ["leastSquaresUm"] = FlatnessCommand.Number(values.LeastSquaresUm),
            ["minimumZoneUm"] = FlatnessCommand.Number(values.MinimumZoneUm),
            ["perpendicularMinimumZoneUm"] = FlatnessCommand.Number(values.PerpendicularMinimumZoneUm),
            ["contactsMm"] = new JsonArray([.. values.Contacts.Select(c => FlatnessCommand.Number(positions[c.Index]))]),
            ["weights"] = new JsonArray([.. values.Contacts.Select(c => FlatnessCommand.Number(c.Weight))]),
            ["slopeUmPerM"] = FlatnessCommand.Number(values.SlopeUmPerM), ["endPointSlopeUmPerM"] = FlatnessCommand.Number(values.EndPointSlopeUmPerM),
            ["minimumZoneSlopeUmPerM"] = FlatnessCommand.Number(values.MinimumZoneSlopeUmPerM),
            ["worstLocal"] = values.WorstLocal is { } worst ? Local(worst, reference) : null,
        };
        if (values.WorstLocal is null)
        {
            json["worstLocalAbsentBecause"] = "No window of this length holds three stations.";
        }

        if (both is not null)
        {
            json["outBackDifferenceUm"] = FlatnessCommand.Number(both.LargestUm);
            json["outBackDifferenceAboutEndsUm"] = FlatnessCommand.Number(both.LargestAboutEndsUm);
            json["outBackDifferencePerStationUmPerM"] = FlatnessCommand.Number(both.LargestSlopeUmPerM);
        }

        return json;
    }

    private static JsonObject Station(double positionMm, double heightUm, StraightnessValues values, OutAndBackResult? both, int i)
    {
        var station = new JsonObject
        {
            ["positionMm"] = FlatnessCommand.Number(positionMm), ["heightUm"] = FlatnessCommand.Number(heightUm),
            ["endPointUm"] = FlatnessCommand.Number(values.EndPointDeviationsUm[i]), ["leastSquaresUm"] = FlatnessCommand.Number(values.LeastSquaresDeviationsUm[i]),
        };
        if (both is not null)
        {
            station["outBackDifferenceUm"] = FlatnessCommand.Number(both.DifferencesUm[i]);
        }

        return station;
    }

    private static JsonObject Local(WorstLocal worst, LineReference reference) => new()
    {
        ["lengthMm"] = FlatnessCommand.Number(worst.LengthMm), ["valueUm"] = FlatnessCommand.Number(worst.ValueUm),
        ["fromMm"] = FlatnessCommand.Number(worst.FromMm), ["toMm"] = FlatnessCommand.Number(worst.ToMm), ["complete"] = worst.Complete,
        ["reference"] = reference switch { LineReference.LeastSquares => "least-squares", LineReference.MinimumZone => "minimum-zone", _ => "end-point" },
    };
}

/// <summary>One run in one direction: heights of the stations in rising order.</summary>
internal sealed record StraightnessPass(string Name, bool Back, long LastLine, ImmutableArray<double> PositionsMm, ImmutableArray<double> HeightsUm);
