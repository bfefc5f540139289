using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Route;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>A machine's route card: every step with its state, what it waits for, planned and actual hours; and the acts on it.</summary>
public sealed class RouteCardModel(RouteActs acts, MachineReader machines, QualificationReader qualified) : SheetPage
{
    [BindProperty]
    public int? Step { get; set; }

    [BindProperty]
    public string? Reason { get; set; }

    [BindProperty]
    public string? Trigger { get; set; }

    public MachineRecord Machine { get; private set; } = null!;

    public RouteStanding Route { get; private set; } = null!;

    /// <summary>The step whose acts are shown; null for none.</summary>
    public StepStanding? Chosen { get; private set; }

    public bool MayWork => May(ActKind.WorkStep);

    public QualifiedPeople Qualified { get; private set; } = QualifiedPeople.Nobody;

    /// <summary>Who stands on the list that the chosen step asks for; null where it asks for none.</summary>
    public WhoMayView? WhoMay => Chosen is { Step: { } step } ? WhoMayView.Of(this, Qualified, Machine.Revision, step.Qualified, "Begun and finished") : null;

    /// <summary>Why this person may not do the work of the chosen step.</summary>
    public BrokenRule? WhyNotQualified => Chosen is { Step: { } step } ? QualificationRules.WhyNotWork(Machine, step, Me.Person, Qualified) : null;

    public bool MaySetNotApplicable => May(ActKind.SetNotApplicable);

    public bool MayReopen => May(ActKind.ReopenStep);

    public bool MayHold => May(ActKind.HoldMachine);

    /// <summary>What may be found at the chosen step and sends the machine back; none before anything was done at it.</summary>
    public IEnumerable<ReworkTrigger> Triggers => !MayReopen || Route.OnHold is not null || Chosen is not { State: not (StepState.NotStarted or StepState.Ready) } step ? []
        : Machine.Revision.Rework.Where(t => t.FoundAt.Contains(step.Step.Number));

    /// <summary>The chosen step itself can be opened again.</summary>
    public bool CanReopen => MayReopen && Route.OnHold is null && Chosen is { } step && RouteRules.WhyNot(Machine, step.Step.Number, RouteAct.Reopen) is null;

    public double Actual(StepStanding step) => RouteStanding.ActualHours(Machine, step.Step.Number, Now);

    public string WorkCentre(StepStanding step) => Machine.Revision.WorkCentres.FirstOrDefault(c => c.Id == step.Step.WorkCentre)?.Name ?? step.Step.WorkCentre;

    public bool HasSheet(StepStanding step) => Machine.Revision.Surveys.Any(s => s.Step == step.Step.Number);

    /// <summary>", 2 missing", ", 3"; empty where there are none.</summary>
    public string PhotosOf(StepStanding step) =>
        FileRules.Missing(Machine, step.Step).Length is > 0 and var missing ? $", {missing} missing" : FileRules.At(Machine, step.Step.Number).Length is > 0 and var there ? $", {there}" : "";

    /// <summary>What a step waits for, in a sentence; empty where it waits for nothing.</summary>
    public string WaitsFor(StepStanding step) => step.State switch
    {
        StepState.NotStarted => "for " + string.Join(", ", step.WaitsFor.Select(w => $"{w} {Route.Of(w).Step.Name}")),
        StepState.Paused => step.Because ?? "",
        StepState.Rework => $"rework: {step.Because}",
        StepState.NotApplicable => $"{step.Last?.Reason}; approved by {NameOf(step.Last?.Person ?? "")}",
        StepState.Recorded or StepState.InProgress or StepState.Rejected or StepState.Released => string.Join("; ", step.Holds.Where(h => h.Released is null).Select(HoldWords)),
        _ => "",
    };

    public Task<IActionResult> OnGet(string serial, int? step)
    {
        Step = step;
        return Show(serial);
    }

    public Task<IActionResult> OnPostStart(string serial) => Do(serial, RouteAct.Start, "Work is begun");

    public Task<IActionResult> OnPostPause(string serial) => Do(serial, RouteAct.Pause, "Work is paused");

    public Task<IActionResult> OnPostFinish(string serial) => Do(serial, RouteAct.Finish, "Work is finished");

    public Task<IActionResult> OnPostNotApplicable(string serial) => Do(serial, RouteAct.NotApplicable, "Recorded as not applicable");

    public Task<IActionResult> OnPostReopen(string serial) => Do(serial, RouteAct.Reopen, "Opened again");

    public Task<IActionResult> OnPostSendBack(string serial) => Act(
        () => acts.SendBack(Me, new SendBackRequest(serial, Step ?? 0, Trigger ?? "", string.IsNullOrWhiteSpace(Reason) ? null : Reason), Key, Cancel),
        r => ($"{SheetSets.UrlOf(serial)}/route?step={r.Opened}#step", $"Sent back from step {Step}: step {r.Opened} is open again."),
        () => Show(serial));

    public Task<IActionResult> OnPostHold(string serial) => Do(serial, RouteAct.PutOnHold, "On hold");

    public Task<IActionResult> OnPostLift(string serial) => Do(serial, RouteAct.LiftHold, "The hold is lifted");

    private Task<IActionResult> Do(string serial, RouteAct act, string done)
    {
        var whole = act is RouteAct.PutOnHold or RouteAct.LiftHold;
        return Act(
            () => acts.Do(Me, new RouteRequest(serial, whole ? null : Step, act, string.IsNullOrWhiteSpace(Reason) ? null : Reason), Key, Cancel),
            _ => ($"{SheetSets.UrlOf(serial)}/route{(whole ? "" : $"?step={Step}#step")}", whole ? $"{done}." : $"{done}: step {Step}."),
            () => Show(serial));
    }

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Route = Machine.Route;
        Qualified = await qualified.Today(Cancel);
        Chosen = Route.Steps.FirstOrDefault(s => s.Step.Number == Step) ?? Route.Current;
        Step = Chosen?.Step.Number;
        Name(Machine, "Route card", "Route card", "route", "–", Route.OnHold is not null ? "on hold" : Route.Current is { } at ? $"at step {at.Step.Number}" : "route complete", $"{SheetSets.UrlOf(serial)}/route");
        return Page();
    }

    private static string HoldWords(HoldStanding hold) =>
        hold.Ready ? $"for release of {hold.Hold.Id}"
        : hold.Returned is { } back ? $"{hold.Hold.Id} returned: {back.Reason}"
        : hold is { Worst: null, Blocked: { } blocked } ? blocked.Sentence
        : $"{hold.Hold.Id}: {string.Join(", ", hold.Characteristics.Where(c => !c.MayPass).Select(c => $"{c.Agreed.Characteristic.Title} {c.Word}"))}";
}
