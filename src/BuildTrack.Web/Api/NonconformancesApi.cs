using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Nonconformances: raised from a failed result or for something seen, and carried on until they are closed.</summary>
internal static class NonconformancesApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/nonconformances", List).WithSummary("Open nonconformances of the plant; with all=true the closed and conceded ones too.");
        api.MapGet("/nonconformances/{number:int}", Get).WithSummary("One nonconformance with every entry.");
        api.MapGet("/machines/{serial}/nonconformances", OfMachine).WithSummary("Every nonconformance of a machine.");
        api.MapPost("/machines/{serial}/nonconformances", Raise).RequireAuthorization(ActKind.RaiseNonconformance)
            .WithSummary("Raises a nonconformance from the result of a line (required and found then come from the record), or for something seen.");
        Post("contain", Contain, NonconformanceAct.Contain, "Contains it: tag, place, other machines to stop.");
        Post("propose", Propose, NonconformanceAct.Propose, "Proposes a disposition, with the cause.");
        Post("approve", Approve, NonconformanceAct.Approve, "Approves the proposed disposition in the roles one holds.");
        Post("consent", Consent, NonconformanceAct.Consent, "Records the customer's consent: who, by which letter.");
        Post("give-back", GiveBack, NonconformanceAct.GiveBack, "Declines a proposal, or has an action done again, with the reason.");
        Post("action", Action, NonconformanceAct.Action, "Says what was done.");
        Post("verify", Verify, NonconformanceAct.Verify, "Says that it was found in order; a reworked line must be accepted.");
        Post("close", Close, NonconformanceAct.Close, "Closes it.");

        void Post(string what, Delegate handler, NonconformanceAct act, string summary) =>
            api.MapPost($"/nonconformances/{{number:int}}/{what}", handler).RequireAuthorization(NonconformanceActs.KindOf(act)).WithSummary(summary);
    }

    /// <param name="Line">The line whose result failed; then nothing of what was required or found is sent.</param>
    /// <param name="Evaluation">Hash of the result that was seen; a newer one is refused.</param>
    public sealed record RaiseBody(int? Step, string? Line, string? Evaluation, string? Required, string? Found, string? Origin, bool? FromContract, Severity? Severity, string? Note);

    public sealed record TextBody(string? Text);

    public sealed record ContainBody(string? Text, string? Tag, string? Place, ImmutableArray<string>? OthersToStop);

    public sealed record ProposeBody(string? Text, CauseCategory? Cause, Disposition? Disposition);

    public sealed record ConsentBody(string? Text, string? Person, string? Letter);

    public sealed record EntryAnswer(
        NonconformanceAct Act, string Person, string At, string Text, ImmutableArray<string> Roles, Containment? Containment, CauseCategory? Cause, Disposition? Disposition,
        CustomerConsent? Consent, string? Concession);

    public sealed record NonconformanceAnswer(
        string Name, int Number, string Serial, int? Step, string? Line, string? Evaluation, string Required, string Found, Severity Severity, string? Note, string RaisedBy, string RaisedAt,
        string State, string Since, string WaitsFor, string? Concession, ImmutableArray<EntryAnswer> Entries);

    private static async Task<ImmutableArray<NonconformanceAnswer>> List(bool? all, NonconformanceReader reader, CancellationToken ct) =>
        [.. (await reader.All(ct)).Where(n => all == true || n.Open).Select(Answer)];

    private static async Task<NonconformanceAnswer> Get(int number, NonconformanceReader reader, CancellationToken ct) => Answer(await reader.Get(number, ct));

    private static async Task<ImmutableArray<NonconformanceAnswer>> OfMachine(string serial, MachineReader machines, CancellationToken ct) =>
        [.. (await machines.Load(serial, ct)).Nonconformances.Select(Answer)];

    private static async Task<IResult> Raise(string serial, RaiseBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct)
    {
        var seen = body is { Required: null, Found: null, Origin: null, FromContract: null } ? null
            : new SeenFault(body.Required ?? "", body.Found ?? "", body.Origin ?? "", body.FromContract == true);
        var receipt = await acts.Raise(context.Caller(), new RaiseRequest(serial, body.Step, body.Line, body.Evaluation, seen, body.Severity, body.Note), context.Key(), ct);
        return TypedResults.Created(FormattableString.Invariant($"/api/v1/nonconformances/{receipt.Number}"), receipt);
    }

    private static Task<NonconformanceReceipt> Contain(int number, ContainBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.Contain, body.Text, new Containment(body.Tag ?? "", body.Place ?? "", body.OthersToStop ?? [])), acts, context, ct);

    private static Task<NonconformanceReceipt> Propose(int number, ProposeBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.Propose, body.Text, Cause: body.Cause, Disposition: body.Disposition), acts, context, ct);

    private static Task<NonconformanceReceipt> Approve(int number, TextBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.Approve, body.Text), acts, context, ct);

    private static Task<NonconformanceReceipt> Consent(int number, ConsentBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.Consent, body.Text, Consent: new CustomerConsent(body.Person ?? "", body.Letter ?? "")), acts, context, ct);

    private static Task<NonconformanceReceipt> GiveBack(int number, TextBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.GiveBack, body.Text), acts, context, ct);

    private static Task<NonconformanceReceipt> Action(int number, TextBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.Action, body.Text), acts, context, ct);

    private static Task<NonconformanceReceipt> Verify(int number, TextBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.Verify, body.Text), acts, context, ct);

    private static Task<NonconformanceReceipt> Close(int number, TextBody body, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        Do(new NonconformanceRequest(number, NonconformanceAct.Close, body.Text), acts, context, ct);

    private static Task<NonconformanceReceipt> Do(NonconformanceRequest request, NonconformanceActs acts, HttpContext context, CancellationToken ct) =>
        acts.Do(context.Caller(), request, context.Key(), ct);

    private static NonconformanceAnswer Answer(Nonconformance n)
    {
        var standing = n.Standing;
        return new NonconformanceAnswer(
            n.Name, n.Number, n.Serial, n.Step, n.Line, n.Result?.EvaluationHash, n.Required, n.Found, n.Severity, n.Note, n.Person, n.At.ToString(), standing.Word, standing.Since.ToString(),
            standing.WaitsFor(n, p => p), standing.Concession?.Name,
            [.. n.Entries.Select(e => new EntryAnswer(
                e.Act, e.Person, e.At.ToString(), e.Detail.Text, e.Detail.Roles, e.Detail.Containment, e.Detail.Cause, e.Detail.Disposition, e.Detail.Consent,
                e.Concession is { } c ? Concession.NameOf(c) : null))]);
    }
}
