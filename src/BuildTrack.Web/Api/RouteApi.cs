using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Route;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>The route of a machine: what stands where, and work at its steps.</summary>
internal static class RouteApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/route", Get).WithSummary("Every step of a machine's route: state, since when, what it waits for, planned and actual hours.");
        api.MapPost("/machines/{serial}/steps/{step:int}/start", Start).RequireAuthorization(ActKind.WorkStep).WithSummary("Begins work on a step, or goes on after a pause.");
        api.MapPost("/machines/{serial}/steps/{step:int}/pause", Pause).RequireAuthorization(ActKind.WorkStep).WithSummary("Stops work on a step, with the reason.");
        api.MapPost("/machines/{serial}/steps/{step:int}/finish", Finish).RequireAuthorization(ActKind.WorkStep).WithSummary("Says that the work of a step is done.");
        api.MapPost("/machines/{serial}/steps/{step:int}/not-applicable", NotApplicable).RequireAuthorization(ActKind.SetNotApplicable).WithSummary("Leaves a step out on this machine, with the reason; who asks approves it.");
        api.MapPost("/machines/{serial}/steps/{step:int}/reopen", Reopen).RequireAuthorization(ActKind.ReopenStep).WithSummary("Opens a finished step again for rework, with the reason.");
        api.MapPost("/machines/{serial}/steps/{step:int}/send-back", SendBack).RequireAuthorization(ActKind.ReopenStep).WithSummary("Sends a machine back for a rework of the plan, found at this step: opens the step that its trigger returns to.");
        api.MapPost("/machines/{serial}/hold", Hold).RequireAuthorization(ActKind.HoldMachine).WithSummary("Puts a machine on hold, with the reason: no work until it is lifted.");
        api.MapPost("/machines/{serial}/hold/lift", Lift).RequireAuthorization(ActKind.LiftHold).WithSummary("Lifts the hold on a machine.");
        api.MapGet("/work-centres", Queues).WithSummary("The queue of every work centre, longest waiting first.");
    }

    /// <param name="Reason">Needed for a pause, a step that is not applicable, rework and a hold.</param>
    public sealed record ReasonBody(string? Reason);

    /// <param name="Trigger">Name of the rework trigger that the plan knows.</param>
    public sealed record SendBackBody(string Trigger, string? Reason);

    /// <param name="SentBack">What opened it again, where that was a rework of the plan.</param>
    public sealed record StepAnswer(
        int Number, string Name, string WorkCentre, string State, string? Since, ImmutableArray<int> WaitsFor, decimal? PlannedHours, double ActualHours, string? Person, string? Reason,
        SentBack? SentBack);

    /// <param name="Rework">What sends a machine back by name, in the machine's edition of the plan.</param>
    public sealed record RouteAnswer(string Serial, string? OnHoldBecause, ImmutableArray<StepAnswer> Steps, ImmutableArray<ReworkTrigger> Rework);

    private static async Task<RouteAnswer> Get(string serial, MachineReader machines, TimeProvider clock, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var (route, now) = (machine.Route, Instant.Now(clock));
        return new RouteAnswer(serial, route.OnHold?.Reason, [.. route.Steps.Select(s => new StepAnswer(
            s.Step.Number, s.Step.Name, s.Step.WorkCentre, s.Word, s.Since?.ToString(), s.WaitsFor, s.PlannedHours,
            Math.Round(RouteStanding.ActualHours(machine, s.Step.Number, now), 2), s.Last?.Person, s.Last?.Reason, s.Last?.Back))], machine.Revision.Rework);
    }

    private static Task<ImmutableArray<WorkCentreQueue>> Queues(WorkCentreReader reader, CancellationToken ct) => reader.Queues(ct);

    private static Task<ActReceipt> Start(string serial, int step, RouteActs acts, HttpContext context, CancellationToken ct) =>
        Do(new RouteRequest(serial, step, RouteAct.Start, null), acts, context, ct);

    private static Task<ActReceipt> Pause(string serial, int step, ReasonBody body, RouteActs acts, HttpContext context, CancellationToken ct) =>
        Do(new RouteRequest(serial, step, RouteAct.Pause, body.Reason), acts, context, ct);

    private static Task<ActReceipt> Finish(string serial, int step, RouteActs acts, HttpContext context, CancellationToken ct) =>
        Do(new RouteRequest(serial, step, RouteAct.Finish, null), acts, context, ct);

    private static Task<ActReceipt> NotApplicable(string serial, int step, ReasonBody body, RouteActs acts, HttpContext context, CancellationToken ct) =>
        Do(new RouteRequest(serial, step, RouteAct.NotApplicable, body.Reason), acts, context, ct);

    private static Task<ActReceipt> Reopen(string serial, int step, ReasonBody body, RouteActs acts, HttpContext context, CancellationToken ct) =>
        Do(new RouteRequest(serial, step, RouteAct.Reopen, body.Reason), acts, context, ct);

    private static Task<SendBackReceipt> SendBack(string serial, int step, SendBackBody body, RouteActs acts, HttpContext context, CancellationToken ct) =>
        acts.SendBack(context.Caller(), new SendBackRequest(serial, step, body.Trigger, body.Reason), context.Key(), ct);

    private static Task<ActReceipt> Hold(string serial, ReasonBody body, RouteActs acts, HttpContext context, CancellationToken ct) =>
        Do(new RouteRequest(serial, null, RouteAct.PutOnHold, body.Reason), acts, context, ct);

    private static Task<ActReceipt> Lift(string serial, RouteActs acts, HttpContext context, CancellationToken ct) =>
        Do(new RouteRequest(serial, null, RouteAct.LiftHold, null), acts, context, ct);

    private static Task<ActReceipt> Do(RouteRequest request, RouteActs acts, HttpContext context, CancellationToken ct) =>
        acts.Do(context.Caller(), request, context.Key(), ct);
}
