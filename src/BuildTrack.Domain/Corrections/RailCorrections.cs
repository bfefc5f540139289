using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Evaluating.Lines;
using BuildTrack.Domain.Evaluating.Values;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Joints;
using BuildTrack.Metrology.Squareness;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Corrections;

/// <summary>What can be done about rails, joints and the gantry's squareness (trade.md 5.1; docs/method/corrections.md).</summary>
/// <remarks>Which results: those whose surveys an act on the rails or the gantry makes void (invalidation.yaml), by the calculation that judges them.</remarks>
internal static class RailCorrections
{
    public const string RailTorque = "rail-torque";
    public const string GantryShift = "gantry-shift";

    /// <summary>Smaller pushes are left, µm: no screw and no indicator beside a bolt does better. Common practice, no source.</summary>
    public const double SmallestPushUm = 2;

    private const int HighestDegree = 4;

    /// <summary>Whether there is a correction for this check.</summary>
    public static bool Cover(MachineRecord machine, Characteristic check) => check.Evaluator switch
    {
        StraightnessEvaluator.Name => IsMadeVoidBy(machine, check, RailTorque),
        RangeEvaluator.Name => IsMadeVoidBy(machine, check, RailTorque) && QuantityOf(machine, check) == "indicator",
        PlainValueEvaluator.Name => IsMadeVoidBy(machine, check, RailTorque) && QuantityOf(machine, check) == "step",
        DiagonalsEvaluator.Name => IsMadeVoidBy(machine, check, GantryShift),
        _ => false,
    };

    /// <summary>The option for a result that <see cref="Cover"/> covers.</summary>
    public static ImmutableArray<CorrectionOption> Of(MachineRecord machine, CharacteristicStanding standing) => standing.Agreed.Characteristic.Evaluator switch
    {
        StraightnessEvaluator.Name => [Straighten(machine, standing)],
        RangeEvaluator.Name => [PushToGauge(machine, standing)],
        PlainValueEvaluator.Name => [SetJoints(machine, standing)],
        _ => [OffsetDrive(machine, standing)],
    };

    /// <summary>The results that an act makes "to be repeated", by line and title.</summary>
    public static ImmutableArray<string> Repeats(MachineRecord machine, string change)
    {
        var surveys = machine.Revision.Invalidation.Where(r => r.Change == change).SelectMany(r => r.Surveys).ToHashSet();
        return [.. machine.Agreed().Where(a => machine.SurveysOf(a.Characteristic).Any(surveys.Contains)).OrderBy(a => a.Characteristic.Place).Select(a => $"{a.Characteristic.Line} {a.Characteristic.Title}")];
    }

    private static CorrectionOption Straighten(MachineRecord machine, CharacteristicStanding standing)
    {
        var (input, result) = (standing.Evaluation!.Record.Input, standing.Evaluation.Record.Result);
        var (lines, _, _, _) = MeasuredLine.Of(input, "line");
        var sideways = UnitOf(machine, standing.Agreed.Characteristic) == "arcsec";
        var reference = input.Reference switch
        {
            StretchEvaluator.EndPoint => LineReference.EndPoint,
            FlatnessEvaluator.MinimumZone => LineReference.MinimumZone,
            _ => LineReference.LeastSquares,
        };
        var limit = result.Upper!.Value;
        var places = ImmutableArray.CreateBuilder<CorrectedPlace>();
        double predicted = 0, pushed = 0;
        foreach (var line in lines)
        {
            var push = Best(line.PositionsMm, line.Values(line.Mean), limit, reference);
            if (push.Refusal == RailPushRefusal.NothingToPush)
            {
                predicted = Math.Max(predicted, push.BeforeUm);
                continue;
            }

            if (push.Refusal != RailPushRefusal.None)
            {
                return Refused(machine, CorrectionKind.RailPush, RailTorque, $"{line.Name}: {push.RefusalSentence}");
            }

            (predicted, pushed) = (Math.Max(predicted, push.AfterUm), pushed + 1);
            places.AddRange(push.Order.Where(i => Math.Abs(push.Stations[i].PushUm) >= SmallestPushUm).Select(i => Place(line.Stations[i].Id, push.Stations[i].PushUm, sideways ? ("to the left", "to the right") : ("up", "down"))));
        }

        return pushed == 0
            ? Refused(machine, CorrectionKind.RailPush, RailTorque, $"Every rail is straight within half of the limit of {Mm(limit)}; its band stands in the way of acceptance: measure with a smaller uncertainty.")
            : Pushed(machine, standing, predicted, places.ToImmutable(), pushed, sideways
                ? "Loosen the bolts of the stretch, push the rail with its screws, indicator beside the bolt; torque from the middle outward."
                : "Loosen the bolts of the stretch, bring the rail up with a shim line or down with its screws, indicator over the bolt; torque from the middle outward.");
    }

    private static CorrectionOption PushToGauge(MachineRecord machine, CharacteristicStanding standing)
    {
        var (input, result) = (standing.Evaluation!.Record.Input, standing.Evaluation.Record.Result);
        var line = MeasuredLine.Of(input, "values").Lines[0];
        double[] x = line.PositionsMm, gauge = line.Values(line.Mean);
        var limit = result.Upper!.Value;
        for (var degree = RailPush.UsualDegree; degree <= HighestDegree; degree++)
        {
            // The smooth part of the gauge goes to the second rail; its slope as well, for R1 is the master.
            var push = RailPush.Of(x, gauge, limit, LineReference.LeastSquares, degree);
            if (push.Refusal == RailPushRefusal.NoLine)
            {
                return Refused(machine, CorrectionKind.RailPush, RailTorque, push.RefusalSentence!);
            }

            var left = push.Stations.Max(s => s.PredictedUm) - push.Stations.Min(s => s.PredictedUm);
            if (push.WaveAfterUm > RailPush.WaveUm || left > RailPush.StopShare * limit)
            {
                continue;
            }

            var mean = gauge.Average();
            return Pushed(
                machine, standing, left,
                [.. push.Order.Select(i => (Id: line.Stations[i].Id, Um: push.Stations[i].PredictedUm - (gauge[i] - mean))).Where(p => Math.Abs(p.Um) >= SmallestPushUm).Select(p => Place(p.Id, p.Um, ("away from R1", "toward R1")))],
                1, "Loosen the bolts of R2 only, push it with its screws, indicator between the rails; torque from the middle outward. R1 is the master and stays.");
        }

        return Refused(machine, CorrectionKind.RailPush, RailTorque, $"No smooth push brings the gauge within half of the limit of {Mm(limit)}: re-seat R2 or lay a shim line.");
    }

    private static CorrectionOption SetJoints(MachineRecord machine, CharacteristicStanding standing)
    {
        var (input, result) = (standing.Evaluation!.Record.Input, standing.Evaluation.Record.Result);
        var values = MeasuredValues.Of(input, "values").Values;
        var moves = JointRealign.Of([.. values.SelectMany(v => v.Passes.Select((p, run) => new StepReading(v.Label, run + 1, p)))], result.Upper!.Value);
        if (moves.FirstOrDefault(m => m.Advice == JointAdvice.MeasureAgain) is { } again)
        {
            return Refused(machine, CorrectionKind.JointRealign, RailTorque, $"{again.Joint}: {again.Sentence}");
        }

        var set = moves.Where(m => m.Advice == JointAdvice.Realign).ToImmutableArray();
        if (set.IsEmpty)
        {
            return Refused(machine, CorrectionKind.JointRealign, RailTorque, $"No step is above the limit of {Shown.Text(result.Upper.Value, result.Unit)}; its band stands in the way of acceptance: measure with a smaller uncertainty.");
        }

        var predicted = moves.Max(m => m.PredictedLargestUm);
        return new CorrectionOption(
            CorrectionKind.JointRealign, RailTorque, predicted, Judge(result, predicted), null, "a set joint is judged by its measurement",
            [
                "Steps are read without sign: see with the indicator which segment stands higher before a bolt is loosened.",
                "Loosen the later segment at the joint, set it by the amount, torque; do not grind the running face.",
                "Read every joint again, then again after 24 h.",
            ],
            [.. set.Select(m => new CorrectedPlace(m.Joint, $"set by {Shown.Text(Math.Abs(m.MoveUm), "µm")}", $"{Shown.Text(m.PredictedLargestUm, "µm")} of step at most"))],
            Hours(machine, CorrectionFigure.JointHours) * set.Length, "the gantry off the joint", Repeats(machine, RailTorque), null);
    }

    private static CorrectionOption OffsetDrive(MachineRecord machine, CharacteristicStanding standing)
    {
        var (input, result) = (standing.Evaluation!.Record.Input, standing.Evaluation.Record.Result);
        var angle = new SquarenessAngle(result.Figures.Single(f => f.Name == DiagonalsEvaluator.AngleFigure).Value);
        double gauge = machine.Model.GaugeMm, offset = angle.DriveOffsetUm(gauge), u = (result.ExpandedUncertainty ?? 0) * gauge / 1000;
        if (Math.Abs(offset) > DriveOffset.LargestWholeUm)
        {
            return Refused(machine, CorrectionKind.DriveOffset, GantryShift, $"An offset of {Mm(offset)} hides a racked gantry; above {Mm(DriveOffset.LargestWholeUm)} the mechanics are put right first.");
        }

        // A positive angle: +Y leans toward +X (docs/method/squareness.md), so the far end goes back.
        var way = offset > 0 ? "back" : "forward";
        return new CorrectionOption(
            CorrectionKind.DriveOffset, GantryShift, 0, Judge(result, 0), null, $"{input.Characteristic.Line} alone; U of the offset {Mm(u)}",
            [
                "Measure squareness by a second method (circular test, square and indicator) first; set the offset only where both agree within their U.",
                $"Offset the drive on R2 by {Mm(Math.Abs(offset))} {way} against R1: now the R2 end of the gantry {(offset > 0 ? "runs ahead, the angle between +X and +Y is less than 90°" : "lags behind, the angle between +X and +Y is more than 90°")}.",
                "Reference both drives again, then measure the diagonals and one circle.",
            ],
            [new CorrectedPlace("drive on R2", $"{way} {Mm(Math.Abs(offset))}", null)],
            Hours(machine, CorrectionFigure.OffsetHours), "a second method of squareness", Repeats(machine, GantryShift), null);
    }

    private static CorrectionOption Pushed(MachineRecord machine, CharacteristicStanding standing, double predictedUm, ImmutableArray<CorrectedPlace> places, double rails, string how) => new(
        CorrectionKind.RailPush, RailTorque, predictedUm, Judge(standing.Evaluation!.Record.Result, predictedUm), null, "a rail follows its screws as a smooth curve; what is shorter stays",
        [how, $"Start in the middle, then outward, one side after the other; smaller pushes than {Shown.Text(SmallestPushUm, "µm")} are left.", "Measure again; torque and measure once more after 24 h."],
        places, Hours(machine, CorrectionFigure.PushHours) * rails, "the gantry off the stretch", Repeats(machine, RailTorque), null);

    /// <summary>The lowest degree that leaves at most half of the limit and no wave; else what the highest says.</summary>
    private static RailPushResult Best(double[] x, double[] z, double limit, LineReference reference)
    {
        RailPushResult push;
        var degree = RailPush.UsualDegree;
        do
        {
            push = RailPush.Of(x, z, limit, reference, degree);
        }
        while (push.Refusal is RailPushRefusal.TooMuchLeft or RailPushRefusal.Wavy && ++degree <= HighestDegree && degree + 2 <= x.Length);

        return push;
    }

    private static CorrectedPlace Place(string station, double um, (string Plus, string Minus) way) => new(station, $"{Mm(Math.Abs(um))} {(um > 0 ? way.Plus : way.Minus)}", null);

    private static CorrectionOption Refused(MachineRecord machine, CorrectionKind kind, string change, string why) =>
        new(kind, change, null, null, null, "it cannot be done", [], [], null, "", Repeats(machine, change), why);

    internal static Verdict Judge(EvaluationResult result, double value) =>
        Conformity.Decide(value, new Conformity.Limits(result.Upper, null), result.AcceptBand ?? 0, result.RejectBandAlone ?? 0).Verdict;

    private static double Hours(MachineRecord machine, string figure) => (double)machine.Revision.Correction(figure).Value;

    private static string Mm(double um) => Shown.Text(um, "mm");

    private static bool IsMadeVoidBy(MachineRecord machine, Characteristic check, string change) =>
        machine.Revision.Invalidation.Any(r => r.Change == change && machine.SurveysOf(check).Any(r.Surveys.Contains));

    private static Column? ColumnOf(MachineRecord machine, Characteristic check) =>
        check.From.Values.FirstOrDefault(f => f.Survey is not null) is { } from ? machine.Revision.Survey(from.Survey!).FindColumn(from.Column!) : null;

    private static string? QuantityOf(MachineRecord machine, Characteristic check) => ColumnOf(machine, check)?.Quantity;

    private static string? UnitOf(MachineRecord machine, Characteristic check) => ColumnOf(machine, check)?.Unit;
}
