using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;

namespace BuildTrack.Domain.RecordReviews;

/// <summary>Somebody looked at the record that a step is reviewed by. Nothing waits for it; it tells that the record was looked at, by whom, and what was seen.</summary>
/// <param name="Note">What was seen.</param>
public sealed record RecordReview(long Id, int Step, string Note, string Person, Instant At);

/// <summary>When the record of a step may be reviewed, and which review counts.</summary>
public static class RecordReviewRules
{
    public const string NothingThere = "R-REVIEW-01";
    public const string ReviewedAlready = "R-REVIEW-02";
    public const string OwnRecord = "R-REVIEW-03";

    /// <summary>The review that counts: of the files that are there now and of the work since the step was last opened. Null where there is none.</summary>
    public static RecordReview? Of(MachineRecord machine, int step)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return machine.Reviews.LastOrDefault(r => r.Step == step) is { } last
            && !machine.Files.Any(f => f.Step == step && (f.Id > last.Id || f.SetAside?.Id > last.Id))
            && !machine.RouteCard.Any(e => e.Step == step && e.Act == RouteAct.Reopen && e.Id > last.Id) ? last : null;
    }

    /// <summary>The rule that forbids a person to review the record of a step; null when none does. Roles are checked by the caller.</summary>
    public static BrokenRule? WhyNot(MachineRecord machine, int step, string person)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var files = FileRules.At(machine, step).Where(f => f.SetAside is null).ToList();
        return files.Count == 0
                ? new BrokenRule(NothingThere, FormattableString.Invariant($"There is no file at step {step} of {machine.Serial} to be looked at; attach the record first."))
            : Of(machine, step) is { } before
                ? new BrokenRule(ReviewedAlready, FormattableString.Invariant($"{before.Person} looked at this record already ({before.Note}), and nothing was added to step {step} since."))
            : !machine.Revision.OwnReleases && files.All(f => f.Person == person)
                ? new BrokenRule(OwnRecord, FormattableString.Invariant($"Every file at step {step} was attached by {person}; somebody else looks at them."))
            : null;
    }
}
