using System.Text.Json.Nodes;
using BuildTrack.Metrology.Acceptance;
using BuildTrack.Metrology.Commissioning;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;
using static BuildTrack.Documents.Evaluate.MachineSafetyCommands;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Laser power and its drift, beam caustic, kerf, cut edge.</summary>
internal static class LaserCommands
{
    public static EvaluationKind PowerKind { get; } = new(
        "laser-power", "power at the workpiece against the power rated there", "",
        [
            ("measured-w", "measured power, W"), ("rated-w", "rated power at the workpiece, W"), ("limit-percent", "allowed shortfall, % of the rated power"),
            ("uncertainty-w", "expanded uncertainty of the meter, W; 0 where not given"),
        ]);

    public static EvaluationKind DriftKind { get; } = new(
        "power-drift", "drift of the laser power over a log: mean, largest departure, and the relative fluctuation 2 s over the mean (ISO 11554)", "time_min,power_w",
        [
            ("warm-up-min", "readings before this time do not count, min; 30 where not given (company standard)"), ("limit-percent", "largest departure allowed, % of the mean; gives a verdict"),
            ("uncertainty-percent", "expanded uncertainty of a departure, % of the mean: of the meter's repeatability, not of its calibration; 0 where not given"),
        ]);

    public static EvaluationKind CausticKind { get; } = new(
        "beam-caustic", "waist, divergence, Rayleigh length, beam parameter product and M² from diameters along the beam (ISO 11146-1)", "z_mm,diameter_um",
        [("wavelength-um", "wavelength, µm; 1.07 where not given")]);

    public static EvaluationKind KerfKind { get; } = new(
        "kerf", "width of a cut from the size of the part, and the tool offset for each side", "",
        [("of", "outside or hole; outside where not given"), ("nominal-mm", "size that was asked for, mm"), ("measured-mm", "size that was measured, mm"), ("offset-mm", "offset for each side the cut was made with, mm; 0 where not given")]);

    public static EvaluationKind EdgeKind { get; } = new(
        "cut-edge", "limits of a cut edge by ISO 9013: squareness u and roughness Rz5 of ranges 1 to 5, deviation of size of classes 1 and 2", "",
        [("thickness-mm", "thickness of the plate, mm, 0.5 to 32"), ("size-mm", "nominal dimension of the part, mm; gives the deviations of size")]);

    public static EvaluationKind ToleranceKind { get; } = new(
        "general-tolerance", "general tolerances of a welded frame by ISO 13920: lengths of classes A to D, form of classes E to H", "",
        [("size-mm", "nominal length, or the longer side of the surface, mm")]);

    public static EvaluationOutcome Power(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var (measured, rated) = (Watts(numbers, "measured-w", 0), Watts(numbers, "rated-w", double.Epsilon));
        var limit = numbers.Need("limit-percent", v => v is >= 0 and < 100, "a number in % from 0 to below 100");
        var uncertainty = numbers.Read("uncertainty-w", v => v is >= 0 and <= LaserPower.LargestPowerW, "a number in W of 0 or more");
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var decision = LaserPower.Decide(measured!.Value, rated!.Value, limit!.Value / 100, uncertainty ?? 0);
        return EvaluationOutcome.Of(new JsonObject { ["acceptFromW"] = Number(decision.AcceptFrom), ["rejectBelowW"] = Number(decision.RejectBelow), ["verdict"] = Word(decision) });
    }

    public static EvaluationOutcome Drift(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var warmUp = Least(numbers, "warm-up-min", "min") ?? 30;
        var limit = numbers.Read("limit-percent", v => v is > 0 and <= 100, "a number in % above 0, at most 100");
        var uncertainty = numbers.Read("uncertainty-percent", v => v is >= 0 and <= 100, "a number in % from 0 to 100");
        if (options.ContainsKey("uncertainty-percent") && !options.ContainsKey("limit-percent"))
        {
            numbers.Fault("uncertainty-percent", $"'{options["uncertainty-percent"]}'", "it together with --limit-percent");
        }

        var (times, powers, faults) = Pairs(csv, fileName, ("time_min", "min", 1e7), ("power_w", "W", LaserPower.LargestPowerW, 0), increasing: true);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        if (LaserPower.Drift([.. times], [.. powers], warmUp) is not { } drift)
        {
            return EvaluationOutcome.NoAnswer(FormattableString.Invariant($"Fewer than two readings are left after {warmUp} min of warm-up, or they are all zero."));
        }

        var band = uncertainty ?? 0;
        return EvaluationOutcome.Of(new JsonObject
        {
            ["readings"] = drift.Readings, ["meanW"] = Number(drift.MeanW), ["largestDepartureW"] = Number(drift.LargestDepartureW), ["largestDeparturePercent"] = Number(drift.LargestDeparturePercent),
            ["standardDeviationW"] = Number(drift.StandardDeviationW), ["relativeFluctuationPercent"] = Number(200 * drift.StandardDeviationW / drift.MeanW),
            ["verdict"] = limit is { } most ? Word(Metrology.Verdicts.Conformity.Decide(drift.LargestDeparturePercent, new Metrology.Verdicts.Conformity.Limits(most, null), band, band)) : null,
        });
    }

    public static EvaluationOutcome Caustic(TextReader csv, string fileName, IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var wavelength = numbers.Read("wavelength-um", v => v is >= BeamCaustic.ShortestUm and <= 1000, "a wavelength in µm from 0.1 to 1000") ?? 1.07;
        var (z, diameters, faults) = Pairs(csv, fileName, ("z_mm", "mm", BeamCaustic.Largest), ("diameter_um", "µm", BeamCaustic.Largest, BeamCaustic.SmallestUm), increasing: false);
        if (numbers.Faults.Count + faults.Count > 0)
        {
            return EvaluationOutcome.Bad([.. numbers.Faults, .. faults]);
        }

        var beam = BeamCaustic.Of([.. z], [.. diameters]);
        return beam.DefectSentence is { } defect ? EvaluationOutcome.NoAnswer(defect) : EvaluationOutcome.Of(new JsonObject
        {
            ["planes"] = beam.Planes, ["withinRayleigh"] = beam.WithinRayleigh, ["waistPositionMm"] = Number(beam.WaistPositionMm), ["waistDiameterUm"] = Number(beam.WaistDiameterUm),
            ["divergenceMrad"] = Number(beam.DivergenceMrad), ["rayleighMm"] = Number(beam.RayleighMm), ["beamParameterMmMrad"] = Number(beam.BeamParameterMmMrad),
            ["timesDiffractionLimit"] = Number(beam.TimesDiffractionLimit(wavelength)),
        });
    }

    public static EvaluationOutcome Width(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var of = numbers.Word("of", "outside", "hole");
        var (nominal, measured) = (Size(numbers, "nominal-mm"), Size(numbers, "measured-mm"));
        var offset = numbers.Read("offset-mm", v => v is >= 0 and <= 100, "a number in mm from 0 to 100");
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        return Kerf.Of(nominal!.Value, measured!.Value, offset ?? 0, of == "hole") is { } kerf
            ? EvaluationOutcome.Of(new JsonObject { ["kerfMm"] = Number(kerf.KerfMm), ["offsetPerSideMm"] = Number(kerf.OffsetMm) })
            : EvaluationOutcome.NoAnswer("These sizes leave no kerf: outside and hole were mixed up, or the offset was another.");
    }

    public static EvaluationOutcome Edge(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var thickness = numbers.Need("thickness-mm", v => v is >= CutEdge.ThinnestMm and <= CutEdge.ThickestMm, "a thickness in mm from 0.5 to 32, the scope of the standard");
        var size = numbers.Read("size-mm", v => v is > 0 and <= Kerf.LargestMm, "a number in mm above 0, at most 1e5");
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        var (a, deviations) = (thickness!.Value, new JsonArray());
        foreach (var of in size is null ? [] : new[] { 1, 2 })
        {
            deviations.Add(new JsonObject { ["class"] = of, ["limitMm"] = Number(CutEdge.SizeLimitMm(of, a, size!.Value)) });
        }

        return EvaluationOutcome.Of(new JsonObject
        {
            ["ranges"] = new JsonArray([.. Enumerable.Range(1, 5).Select(r => (JsonNode)new JsonObject
            {
                ["range"] = r, ["squarenessMm"] = Number(CutEdge.SquarenessLimitMm(r, a)), ["roughnessUm"] = r < 5 ? Number(CutEdge.RoughnessLimitUm(r, a)) : null,
            })]),
            ["sizes"] = deviations,
        });
    }

    public static EvaluationOutcome Tolerance(IReadOnlyDictionary<string, string> options)
    {
        var numbers = new NumberOptions(options);
        var size = numbers.Need("size-mm", v => v is >= GeneralTolerance.SmallestLengthMm and <= GeneralTolerance.LargestMm, "a size in mm from 2 to 1e6");
        if (numbers.Faults.Count > 0)
        {
            return EvaluationOutcome.Bad(numbers.Faults);
        }

        JsonArray Of<T>(Func<T, double?> limit)
            where T : struct, Enum => new([.. Enum.GetValues<T>().Select(c => (JsonNode)new JsonObject { ["class"] = c.ToString(), ["limitMm"] = Number(limit(c)) })]);
        return EvaluationOutcome.Of(new JsonObject
        {
            ["lengths"] = Of<LinearClass>(c => GeneralTolerance.LengthLimitMm(c, size!.Value)),
            ["forms"] = Of<FormClass>(c => size!.Value > GeneralTolerance.SmallestFormMm ? GeneralTolerance.FormLimitMm(c, size.Value) : null),
        });
    }

    private static double? Watts(NumberOptions numbers, string name, double least) =>
        numbers.Need(name, v => v >= least && v <= LaserPower.LargestPowerW, $"a power in W {(least == 0 ? "of 0 or more" : "above 0")}, at most 1e9");

    private static double? Size(NumberOptions numbers, string name) => numbers.Need(name, v => v is > 0 and <= Kerf.LargestMm, "a size in mm above 0, at most 1e5");

    private static (List<double> First, List<double> Second, IReadOnlyList<EvaluationFault> Faults) Pairs(
        TextReader csv, string fileName, (string Name, string Unit, double Largest) first, (string Name, string Unit, double Largest, double Least) second, bool increasing)
    {
        var (a, b, table) = (new List<double>(), new List<double>(), new PointTable(csv, fileName));
        if (!table.ReadHeader())
        {
            return (a, b, table.Faults);
        }

        var (at, to) = (table.Need(first.Name, $"a column {first.Name}"), table.Need(second.Name, $"a column {second.Name}"));
        while (at >= 0 && to >= 0 && !table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row) || !(table.Number(row, at, first.Unit, first.Largest, out var x) & table.Number(row, to, second.Unit, second.Largest, out var y)))
            {
                continue;
            }

            if (y < second.Least)
            {
                table.Fault(row[to], $"'{row[to].Text}'", FormattableString.Invariant($"a number in {second.Unit} of {second.Least} or more"));
            }
            else if (increasing && a.Count > 0 && x <= a[^1])
            {
                table.Fault(row[at], $"'{row[at].Text}'", FormattableString.Invariant($"a time after {a[^1]:R} {first.Unit}"));
            }
            else
            {
                a.Add(x);
                b.Add(y);
            }
        }

        return (a, b, table.Faults);
    }
}
