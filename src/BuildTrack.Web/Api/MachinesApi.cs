using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Repeats;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Repeats;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Machines, their records and results.</summary>
internal static class MachinesApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines", List).WithSummary("All machines, with what each waits for.");
        api.MapPost("/machines", Order).RequireAuthorization(ActKind.OrderMachine).WithSummary("Opens the build record of a machine under the checklists in force.");
        api.MapGet("/machines/{serial}", Get).WithSummary("One machine's record: hold points, results, measurements, acts on the bed, certificates. ETag: its version.");
        api.MapPut("/machines/{serial}/order", ChangeOrder).RequireAuthorization(ActKind.ChangeOrder).WithSummary("Replaces what the order changes of the company's limits. If-Match: the version seen.");
        api.MapPost("/machines/{serial}/bed-changes", ChangeBed).RequireAuthorization(ActKind.ChangeBed).WithSummary("Records an act on the bed: the results it touches are to be repeated.");
        api.MapGet("/machines/{serial}/repeats", Repeats).WithSummary("What must be repeated, in the order of the route: survey, reason, results, hours, instruments proposed.");
        api.MapGet("/machines/{serial}/results/{line}", Result).WithSummary("The latest calculation of a characteristic, with everything it was calculated from.");
        api.MapGet("/find", Find).WithSummary("Machines, instruments, certificates and nonconformances whose number or name carries 'text'; at most 50 of a kind.");
    }

    private static Task<ImmutableArray<FoundThing>> Find(string text, Finder finder, CancellationToken ct) => finder.Find(text, ct);

    /// <param name="Changes">What the order changes of the company's limits.</param>
    public sealed record OrderBody(string Serial, string Model, string Customer, ImmutableArray<OrderTerm>? Changes);

    public sealed record OrderTermsBody(ImmutableArray<OrderTerm> Changes);

    public sealed record BedChangeBody(string Change, string Note);

    public sealed record HoldAnswer(string Id, string Name, string State, string Sheet, string? ReleasedBy, string? ReleasedAt, ImmutableArray<ResultAnswer> Results);

    public sealed record ResultAnswer(string Line, string Title, string State, string? Verdict, double? Value, string? Unit, string? EvaluationHash, string? RepeatBecause);

    public sealed record MachineAnswer(
        string Serial, string Model, string Class, string Customer, string Checklists, bool ChecklistsApproved, ImmutableArray<OrderTerm> Order,
        ImmutableArray<HoldAnswer> Holds, ImmutableArray<Domain.Measuring.Measurement> Measurements, ImmutableArray<BedChange> BedChanges,
        ImmutableArray<CertificateState> Certificates, long Version);

    private static async Task<ImmutableArray<MachineLine>> List(MachineReader machines, CancellationToken ct) => await machines.List(ct);

    private static async Task<IResult> Order(OrderBody body, MachineActs acts, HttpContext context, CancellationToken ct)
    {
        var receipt = await acts.Order(context.Caller(), new OrderMachineRequest(body.Serial, body.Model, body.Customer, body.Changes ?? []), context.Key(), ct);
        return TypedResults.Created($"/api/v1/machines/{body.Serial}", receipt);
    }

    private static async Task<MachineAnswer> Get(string serial, MachineReader machines, HttpContext context, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        context.Response.Headers.ETag = $"\"{machine.Version}\"";
        return new MachineAnswer(
            machine.Serial, machine.Model.Id, machine.Model.Class, machine.Customer, machine.Revision.Hash, machine.RevisionApproved, machine.Order,
            [.. machine.Revision.Holds.Select(machine.StandingOfHold).Where(h => h.Characteristics.Length > 0).Select(h => Hold(machine, h))],
            machine.Measurements, machine.Changes, machine.Certificates, machine.Version);
    }

    private static async Task<ActReceipt> ChangeOrder(string serial, OrderTermsBody body, MachineActs acts, HttpContext context, CancellationToken ct) =>
        long.TryParse(context.Request.Headers.IfMatch.ToString().Trim('"'), out var version)
            ? await acts.ChangeOrder(context.Caller(), new ChangeOrderRequest(serial, body.Changes, version), context.Key(), ct)
            : throw new IfMatchMissingException();

    private static async Task<ActReceipt> ChangeBed(string serial, BedChangeBody body, MachineActs acts, HttpContext context, CancellationToken ct) =>
        await acts.ChangeBed(context.Caller(), new ChangeBedRequest(serial, body.Change, body.Note), context.Key(), ct);

    private static async Task<EvaluationAnswer> Result(string serial, string line, MachineReader machines, CancellationToken ct) =>
        (await machines.Load(serial, ct)).EvaluationOf(line) is { } evaluation
            ? new EvaluationAnswer(evaluation.Hash, evaluation.Record)
            : throw new NotFoundException($"{serial} has no result of line {line} yet.");

    /// <param name="HoursBefore">How long its runs took the last time, h.</param>
    /// <param name="PlannedHours">Planned hours of the whole step, h.</param>
    public sealed record RepeatAnswer(
        int Step, string StepName, string Survey, string? Feature, string Because, ImmutableArray<string> Lines, double? HoursBefore, decimal? PlannedHours,
        ImmutableArray<ProposedInstrument> Instruments, string? WaitsFor);

    private static async Task<ImmutableArray<RepeatAnswer>> Repeats(string serial, RepeatReader repeats, CancellationToken ct) =>
        [.. (await repeats.Of(serial, ct)).Lines.Select(l => new RepeatAnswer(
            l.Step.Number, l.Step.Name, l.Survey.Id, l.Feature, l.Because, [.. l.Lines.Select(c => c.Line)], l.HoursBefore, l.PlannedHours, l.Instruments, l.WaitsFor))];

    public sealed record EvaluationAnswer(string Hash, EvaluationRecord Evaluation);

    private static HoldAnswer Hold(MachineRecord machine, HoldStanding hold) => new(
        hold.Hold.Id, hold.Hold.Name, hold.Released is not null ? "released" : hold.Returned is not null ? "returned" : hold.Ready ? "ready for release" : "open",
        machine.SheetHash(hold.Hold.Id), hold.Released?.Person, hold.Released?.At.ToString(),
        [.. hold.Characteristics.Select(c => new ResultAnswer(
            c.Agreed.Characteristic.Line, c.Agreed.Characteristic.Title, c.Word, c.Evaluation?.Record.Result.Verdict is { } v ? char.ToLowerInvariant(v.ToString()[0]) + v.ToString()[1..] : null,
            c.Evaluation?.Record.Result.Value, c.Evaluation?.Record.Result.Unit, c.Evaluation?.Hash, c.RepeatBecause))]);
}
