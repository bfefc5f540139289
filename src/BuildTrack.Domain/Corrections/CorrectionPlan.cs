using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Corrections;

/// <summary>Beds of a class at their first measurement for this check: how many were accepted.</summary>
public sealed record FirstPass(int Accepted, int Measured);

/// <summary>Shim, re-mill and concession side by side for a bed that is not flat enough (trade.md 5.1, 5.3, 5.4; docs/method/corrections.md).</summary>
public static class CorrectionPlan
{
    public const string NothingToCorrect = "R-CORRECTION-01";
    public const string NotPossible = "R-CORRECTION-02";
    public const string NoFigures = "R-CORRECTION-03";

    /// <summary>The work centre of the route whose slot a re-mill waits for.</summary>
    public const string MillCentre = "milling";

    private const int Trials = 1000;

    /// <summary>Why there is nothing to be chosen; null where there is.</summary>
    public static BrokenRule? WhyNot(MachineRecord machine, CharacteristicStanding standing)
    {
        var (line, title) = (standing.Agreed.Characteristic.Line, standing.Agreed.Characteristic.Title);
        var flat = standing.Agreed.Characteristic.Evaluator == FlatnessEvaluator.Name;
        return !(flat || RailCorrections.Cover(machine, standing.Agreed.Characteristic)) || standing.Standing != Standing.Calculated || standing.Accepted
            ? new BrokenRule(NothingToCorrect, $"{line} {title} of {machine.Serial} is {standing.Word}; corrections are compared for flatness, rails, joints and squareness that is calculated and not accepted.")
            : machine.Revision.Corrections.IsEmpty || (!flat && !machine.Revision.HasCorrections(CorrectionFigure.Further.Select(f => f.Id)))
                ? new BrokenRule(NoFigures, $"Edition {machine.Revision.Edition} of the inspection and test plan has no figures for corrections (corrections.yaml).")
                : null;
    }

    /// <summary>The options in the order shim, re-mill, concession.</summary>
    /// <param name="history">First measurements of other beds; null where there are none.</param>
    public static ImmutableArray<CorrectionOption> Of(MachineRecord machine, CharacteristicStanding standing, FirstPass? history)
    {
        if (standing.Agreed.Characteristic.Evaluator != FlatnessEvaluator.Name)
        {
            return [.. RailCorrections.Of(machine, standing), Concession(standing)];
        }

        var bed = MeasuredBed.Of(machine, standing);
        return [Shim(bed), Remill(bed, history), Concession(standing)];
    }

    private static CorrectionOption Shim(MeasuredBed bed)
    {
        var revision = bed.Machine.Revision;
        double largest = Um(revision, CorrectionFigure.ShimLargest), line = bed.AcceptUpToUm;
        ImmutableArray<ShimLeaf> stock = [.. revision.Corrections.Where(c => c.Id.StartsWith(CorrectionFigure.Leaf, StringComparison.Ordinal))
            .Select(c => new ShimLeaf(c.Value.ToString(), (long)Math.Round(c.Value.Micrometres * 1000)))];
        var most = (int)revision.Correction(CorrectionFigure.ShimMostPads).Value;
        var rules = new ShimRules((int)revision.Correction(CorrectionFigure.ShimMostLeaves).Value, (long)Math.Round(Um(revision, CorrectionFigure.ShimThinner) * 1000));
        if (line <= 0)
        {
            return Refused(bed, CorrectionKind.Shim, "shim", $"The band of {Mm(bed.LimitUm - line)} leaves nothing of the limit {Mm(bed.LimitUm)}: measure with a smaller uncertainty first.");
        }

        if (stock.IsEmpty)
        {
            return Refused(bed, CorrectionKind.Shim, "shim", "There is no shim leaf on the shelf (corrections.yaml, leaf-…).");
        }

        // To the middle of what is accepted: noise pushes a measured zone outward, and a stack may be thinner than wanted.
        var target = Math.Max(0.5 * line, line - bed.ReachUm);
        var selected = ShimSelection.Of([.. bed.Stations.Select((s, i) => (s.Id, new PadPlace(s.XMm, s.YMm, bed.HeightsUm[i])))], target, Math.Min(8, most));
        if (selected.AbsentBecause is { } absent)
        {
            return Refused(bed, CorrectionKind.Shim, "shim", absent);
        }

        if (selected.Pads.FirstOrDefault(p => p.WantedNm > largest * 1000) is { } thick)
        {
            return Refused(bed, CorrectionKind.Shim, "shim", $"Pad {thick.Name} would need {Mm(thick.WantedNm / 1000.0)} of shims; the plan allows {Mm(largest)}.");
        }

        var plan = ShimPlan.Of(selected.Pads, stock, rules);
        if (plan.Pads.FirstOrDefault(p => p.Choice.Refusal != ShimRefusal.None) is { } unserved)
        {
            return Refused(bed, CorrectionKind.Shim, "shim", $"{unserved.Name}: {unserved.Choice.RefusalSentence}");
        }

        var stacks = plan.Pads.Where(p => p.Choice.ThicknessNm > 0).ToImmutableArray();
        double[] after = [.. plan.Pads.Select((p, i) => p.PredictedHeightUm ?? bed.HeightsUm[i])];
        var predicted = bed.FlatnessUm(after);
        return new CorrectionOption(
            CorrectionKind.Shim, "shim", predicted, bed.Judge(predicted), bed.Chance(after), $"{Trials} measurements like the last one, simulated",
            [
                $"Loosen {Count(stacks.Length, "pad")}, clean, lay the leaves with the thickest outside.",
                "Micrometer every real stack before it goes in; leaves vary by 5 %.",
                "Torque, then measure all heights again.",
            ],
            [.. stacks.Select(s => new CorrectedPlace(s.Name, $"shim {string.Join(" + ", s.Choice.FromBelow.Select(l => l.Name))}, wanted {Mm(s.Choice.WantedNm / 1000.0)}", null))],
            (double)revision.Correction(CorrectionFigure.ShimHours).Value * stacks.Length, "leaves from the shelf", bed.Repeats("shim"), null);
    }

    private static CorrectionOption Remill(MeasuredBed bed, FirstPass? history)
    {
        var revision = bed.Machine.Revision;
        var request = new RemillRequest(
            CleanUpUm: Um(revision, CorrectionFigure.CleanUp), SetUpUm: Um(revision, CorrectionFigure.MillSetUp),
            Tilt: new RemillTilt(FootTravelMm: Um(revision, CorrectionFigure.FootTravel) / 1000),
            SlotHours: bed.MillHours);
        var result = RemillPlane.Of([.. bed.Stations.Select((s, i) => new RemillPad(s.Id, s.XMm, s.YMm, bed.HeightsUm[i], bed.ThicknessUm[i], bed.LeastThicknessUm))], request);
        if (result.Plane is null)
        {
            return Refused(bed, CorrectionKind.Remill, "re-mill", result.RefusalSentence ?? "The pads decide no plane.");
        }

        string? Left(PadCut cut) => cut.LeftUm is { } left ? $"{Mm(left)}{(bed.LeastThicknessUm is { } least ? $" of at least {Mm(least)}" : "")}" : null;
        return new CorrectionOption(
            CorrectionKind.Remill, "re-mill", null, null, history is { Measured: > 0 } h ? (h.Accepted + 1.0) / (h.Measured + 2) : null,
            // Laplace's rule of succession: nine of nine do not prove the tenth.
            history is { Measured: > 0 } ? $"{history.Accepted} of {history.Measured} beds were accepted at their first measurement after milling: (n + 1)/(m + 2)" : "no bed was measured after milling yet; only a measurement tells what the mill leaves",
            [
                $"Mill all pads to the plane of the smallest deepest cut: {Mm(result.DeepestUm)} at {result.DeepestAt}, of it {Mm(request.CleanUpUm + request.SetUpUm)} to clean up.",
                result is { ThinnestUm: { } thin, ThinnestLessDeepestUm: { } left } ? $"Thinnest pad {result.ThinnestAt}: {Mm(thin)} now, at least {Mm(left)} after{(bed.LeastThicknessUm is { } least ? $", of {Mm(least)}" : "")}." : "Thickness of the pads is not measured: measure it before the cut.",
                $"Level the bed again; a corner foot moves by up to {Mm(result.FootMoveUm)}.",
                "Let it settle, then measure heights, thickness, level and side datum again.",
            ],
            [.. result.Pads.Select(p => new CorrectedPlace(p.Name, $"cut {Mm(p.DepthUm)}", Left(p)))],
            bed.MillHours, "a slot of the milling centre", bed.Repeats("re-mill"), result.RefusalSentence);
    }

    private static CorrectionOption Concession(CharacteristicStanding standing)
    {
        var result = standing.Evaluation!.Record.Result;
        var consent = Approval.NeedsConsent(Disposition.Concession, FailedResult.Of(standing.Evaluation) is { FromContract: true });
        return new CorrectionOption(
            CorrectionKind.Concession, null, result.Value, result.Verdict, null, "people decide, not a calculation",
            [
                "Raise a nonconformance from this result and propose the concession, for this machine only.",
                $"Approved by {string.Join(" and ", Approval.Roles(Disposition.Concession))}{(consent ? ", with the customer's consent: the limit is the contract's" : "")}.",
            ],
            [], null, consent ? "approval and the customer's letter" : "approval", [], null);
    }

    private static CorrectionOption Refused(MeasuredBed bed, CorrectionKind kind, string change, string why) =>
        new(kind, change, null, null, null, "it cannot be done", [], [], null, "", bed.Repeats(change), why);

    private static double Um(ChecklistRevision revision, string figure) => revision.Correction(figure).Micrometres;

    private static string Mm(double um) => Shown.Text(um, "mm");

    private static string Count(int count, string what) => $"{count.ToString(CultureInfo.InvariantCulture)} {what}{(count == 1 ? "" : "s")}";

    /// <summary>A measured bed: its heights as they were judged, the thickness of its pads, and the band that accepts.</summary>
    internal sealed record MeasuredBed(
        MachineRecord Machine, CharacteristicStanding Standing, EvaluationResult Result, ImmutableArray<Station> Stations, double[] HeightsUm, double?[] ThicknessUm, double? LeastThicknessUm, double SigmaUm)
    {
        public double ValueUm => Result.Value!.Value;

        public double LimitUm => Result.Upper!.Value;

        public double AcceptUpToUm => Result.AcceptUpTo!.Value;

        public double ReachUm => Result.ReachAbove ?? 0;

        /// <summary>Planned hours of both milling steps for the machine's class; null without a plan.</summary>
        public double? MillHours => Machine.Revision.Steps.Where(s => s.WorkCentre == MillCentre && s.Hours.ContainsKey(Machine.Model.Class)).Select(s => (double)s.Hours[Machine.Model.Class]).ToArray() is { Length: > 0 } hours ? hours.Sum() : null;

        public static MeasuredBed Of(MachineRecord machine, CharacteristicStanding standing)
        {
            var record = standing.Evaluation!.Record;
            var source = record.Input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>().First();
            var means = SurveyMeans.Of(source);
            double[] x = [.. means.Stations.Select(s => s.XMm)], y = [.. means.Stations.Select(s => s.YMm)];
            var view = RegisterView.Of(record.Input, source, source.CountedPasses, "small difference", Math.Max(x.Max() - x.Min(), y.Max() - y.Min()));
            var (thickness, least) = Thickness(machine, standing.Agreed.Characteristic.Hold, means.Stations);
            return new MeasuredBed(machine, standing, record.Result, means.Stations, means.Values, thickness, least, view.Sigma / Math.Sqrt(source.PassesPlanned));
        }

        // The least-value check of the same hold point knows the thickness of the pads and its limit.
        private static (double?[] ThicknessUm, double? LeastUm) Thickness(MachineRecord machine, string hold, ImmutableArray<Station> stations)
        {
            var check = machine.Agreed(hold).FirstOrDefault(a => a.Characteristic.Evaluator == LeastValueEvaluator.Name);
            var source = check is null ? null : EvaluationInputs.For(machine, check).Sources.Values.Select(s => s.Readings).OfType<SurveySource>().FirstOrDefault();
            if (source is null || SurveyMeans.Of(source) is not { Missing: null } means)
            {
                return (new double?[stations.Length], check?.Requirement.Lower?.Micrometres);
            }

            var at = means.Stations.Select((s, i) => (s.Id, Value: means.Values[i])).ToDictionary(p => p.Id, p => p.Value);
            return ([.. stations.Select(s => at.TryGetValue(s.Id, out var value) ? value : (double?)null)], check!.Requirement.Lower?.Micrometres);
        }

        public double FlatnessUm(double[] heightsUm)
        {
            var found = FlatnessCalculation.Of([.. Stations.Select(s => s.XMm)], [.. Stations.Select(s => s.YMm)], heightsUm, deviations: false);
            return Standing.Evaluation!.Record.Input.Reference == FlatnessEvaluator.MinimumZone ? found.MinimumZone!.FlatnessUm : found.LeastSquares!.FlatnessUm;
        }

        public Verdict Judge(double valueUm) =>
            Conformity.Decide(valueUm, new Conformity.Limits(LimitUm, null), Result.AcceptBand ?? 0, Result.RejectBandAlone ?? 0).Verdict;

        /// <summary>How often a measurement with the same instrument and passes accepts a bed with these heights.</summary>
        public double Chance(double[] heightsUm)
        {
            var source = new SeededSource(PlaneReach.DefaultSeed);
            var accepted = 0;
            var measured = new double[heightsUm.Length];
            for (var trial = 0; trial < Trials; trial++)
            {
                for (var i = 0; i < measured.Length; i++)
                {
                    measured[i] = heightsUm[i] + (SigmaUm * source.NextNormal());
                }

                accepted += FlatnessUm(measured) <= AcceptUpToUm ? 1 : 0;
            }

            return (double)accepted / Trials;
        }

        /// <summary>The results that the act makes "to be repeated", by line and title.</summary>
        public ImmutableArray<string> Repeats(string change) => RailCorrections.Repeats(Machine, change);
    }
}
