using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.RecordReviews;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.InspectionPlans;

/// <summary>The inspection and test plan of one machine, line by line in the order of its route, with how every line stands.</summary>
/// <remarks>Worked out from the frozen edition of the checklists, the order's terms and the record; it stores nothing and decides nothing.</remarks>
public static class InspectionPlan
{
    /// <summary>Every line: at each step its results, surveys that are only recorded, photos, reviews, then its points, each after its witness.</summary>
    public static ImmutableArray<PlanLine> Of(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var points = machine.Revision.Holds.ToDictionary(h => h.Id, machine.StandingOfHold, StringComparer.Ordinal);
        var checks = machine.Revision.Holds.SelectMany(h => points[h.Id].Characteristics).ToLookup(c => StepOf(machine, c.Agreed.Characteristic));
        var used = machine.Revision.Characteristics.SelectMany(c => machine.SurveysOf(c)).ToHashSet(StringComparer.Ordinal);
        var lines = ImmutableArray.CreateBuilder<PlanLine>();
        foreach (var step in machine.Revision.Steps.OrderBy(s => s.Number))
        {
            var standing = machine.Route.Of(step.Number);
            lines.AddRange(checks[step.Number].OrderBy(c => c.Agreed.Characteristic.Place).Select(c => OfCheck(machine, step, c, points[c.Agreed.Characteristic.Hold])));
            lines.AddRange(machine.Revision.Surveys.Where(s => s.Step == step.Number && !used.Contains(s.Id)).Select((s, i) => OfSurvey(machine, step, s, i + 1)));
            lines.AddRange(step.Photos.Select((p, i) => OfPhoto(machine, standing, p, i + 1)));
            if (step.Review is { } review)
            {
                lines.Add(OfReview(machine, standing, review));
            }

            // A point without a check for this class is no point of this machine.
            foreach (var point in machine.Revision.Holds.Where(h => h.Step == step.Number).Select(h => points[h.Id]).Where(p => p.Characteristics.Length > 0))
            {
                if (point.Hold.Witness is not null)
                {
                    lines.Add(OfWitness(machine, step, point));
                }

                lines.Add(OfPoint(machine, step, point));
            }
        }

        return lines.ToImmutable();
    }

    // The number of a line says at which step it is done; the point it counts for may come later.
    private static int StepOf(MachineRecord machine, Characteristic characteristic) =>
        machine.Revision.FindStep(characteristic.Place.Step)?.Number ?? machine.Revision.Holds.Single(h => h.Id == characteristic.Hold).Step;

    private static PlanLine OfCheck(MachineRecord machine, RouteStep step, CharacteristicStanding of, HoldStanding point)
    {
        var characteristic = of.Agreed.Characteristic;
        ImmutableArray<Survey> surveys = [.. machine.SurveysOf(characteristic).Select(machine.Revision.Survey)];
        return new PlanLine(
            characteristic.Line, characteristic.Evaluator == AnswersEvaluator.Name ? PlanLineKind.List : PlanLineKind.Check, step, characteristic.Title, of.Agreed, surveys,
            point.Hold, PointType.Hold, CustomerOf(point.Hold), RolesOf(ActKind.Record), surveys.Select(s => machine.Revision.FindQualification(s.Qualified)).FirstOrDefault(q => q is not null),
            StatusOf(of), of, point.Released, of.RepeatBecause ?? of.Concession?.Name);
    }

    private static PlanLineStatus StatusOf(CharacteristicStanding of) => of.Standing switch
    {
        Standing.NotMeasured => PlanLineStatus.NotBegun,
        Standing.Incomplete => PlanLineStatus.Incomplete,
        Standing.ToBeRepeated => PlanLineStatus.ToBeRepeated,
        _ when of.Concession is not null => PlanLineStatus.Conceded,
        _ => of.Evaluation!.Record.Result.Verdict switch
        {
            Verdict.Accepted => PlanLineStatus.Accepted,
            Verdict.NotProven => PlanLineStatus.NotProven,
            _ => PlanLineStatus.Rejected,
        },
    };

    private static PlanLine OfSurvey(MachineRecord machine, RouteStep step, Survey survey, int no)
    {
        var measured = machine.Currents(survey.Id).ToList();
        var voided = measured.OfType<Measuring.Measurement>().Select(machine.VoidedBy).FirstOrDefault(v => v is not null);
        bool Done(Measuring.Measurement? m) => m?.Runs.Any(r => r.Counts) == true;
        return new PlanLine(
            FormattableString.Invariant($"{step.Number}-S{no}"), PlanLineKind.Survey, step, survey.Title, null, [survey], null, null, null, RolesOf(ActKind.Record), machine.Revision.FindQualification(survey.Qualified),
            voided is not null ? PlanLineStatus.ToBeRepeated : measured.All(Done) ? PlanLineStatus.Recorded : measured.All(m => m is null) ? PlanLineStatus.NotBegun : PlanLineStatus.Incomplete, null, null, voided);
    }

    private static PlanLine OfPhoto(MachineRecord machine, StepStanding step, RequiredPhoto photo, int no)
    {
        var hold = step.Holds.Select(h => h.Hold).FirstOrDefault();
        return new PlanLine(
            FormattableString.Invariant($"{step.Step.Number}-P{no}"), PlanLineKind.Photo, step.Step, photo.Text, null, [], hold, hold is null ? null : PointType.Hold, hold is null ? null : CustomerOf(hold),
            RolesOf(ActKind.AttachFile), null, FileRules.PhotoOf(machine, step.Step, photo) is not null ? PlanLineStatus.Recorded : Unrecorded(step), null, null, null);
    }

    private static PlanLine OfReview(MachineRecord machine, StepStanding step, string record)
    {
        var review = RecordReviewRules.Of(machine, step.Step.Number);
        return new PlanLine(
            FormattableString.Invariant($"{step.Step.Number}-R"), PlanLineKind.Review, step.Step, record, null, [], null, PointType.Review, null, RolesOf(ActKind.ReviewRecord), null,
            review is not null ? PlanLineStatus.Recorded : FileRules.At(machine, step.Step.Number).Any(f => f.SetAside is null) ? PlanLineStatus.Incomplete : Unrecorded(step), null, null, review?.Note);
    }

    private static PlanLineStatus Unrecorded(StepStanding step) => step.State == StepState.NotApplicable ? PlanLineStatus.NotApplicable : PlanLineStatus.NotBegun;

    private static PlanLine OfWitness(MachineRecord machine, RouteStep step, HoldStanding point)
    {
        var witness = WitnessStanding.Of(machine, point.Hold);
        var status = witness.Outcome is { } outcome
            ? outcome.Act switch
            {
                WitnessAct.Accepts or WitnessAct.AcceptsWithPunchList => PlanLineStatus.Accepted,
                WitnessAct.DoesNotAccept => PlanLineStatus.Rejected,
                _ => PlanLineStatus.Recorded,
            }
            : witness.Invitation is null ? PlanLineStatus.NotBegun : PlanLineStatus.Invited;
        return new PlanLine(
            $"{point.Hold.Id}-W", PlanLineKind.Witness, step, $"Customer's witness at {point.Hold.Id}, {point.Hold.Name}", null, [], point.Hold, null, CustomerOf(point.Hold), RolesOf(ActKind.InviteWitness), null, status, null, null,
            status == PlanLineStatus.NotBegun ? null : witness.Sentence);
    }

    private static PlanLine OfPoint(MachineRecord machine, RouteStep step, HoldStanding point) => new(
        point.Hold.Id, PlanLineKind.Hold, step, point.Hold.Name, null, [], point.Hold, PointType.Hold, CustomerOf(point.Hold), RolesOf(ActKind.Release), machine.Revision.FindQualification(point.Hold.Qualified),
        point.Released is not null ? PlanLineStatus.Released
            : point.Returned is not null ? PlanLineStatus.Returned
            : point.Ready ? PlanLineStatus.Ready
            : point.Characteristics.All(c => c.Standing == Standing.NotMeasured) ? PlanLineStatus.NotBegun
            : PlanLineStatus.Waits,
        null, point.Released, point.Returned?.Reason);

    private static PointType? CustomerOf(HoldPoint hold) => CustomersPoint.PartAt(hold) switch
    {
        CustomersPart.Holds => PointType.Hold,
        CustomersPart.Signs or CustomersPart.Present => PointType.Witness,
        CustomersPart.Reviews => PointType.Review,
        _ => null,
    };

    // What is lent for some days is nobody's standing task.
    private static ImmutableArray<string> RolesOf(string act) => [.. Permissions.RolesFor(act).Where(r => r != Roles.Delegate)];
}
