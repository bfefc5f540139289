using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Witnessing;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Api;

/// <summary>The customer's witness: invitations, and what came of them.</summary>
internal static class WitnessApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/witness", Get).WithSummary("The witness points of a machine: notice asked for, what stands, the code of the statement, and every line recorded.");
        api.MapPost("/machines/{serial}/holds/{hold}/invitations", Invite).RequireAuthorization(ActKind.InviteWitness)
            .WithSummary("Records that the customer's witness was invited; a shorter notice than the plan asks for needs the customer's letter.");
        api.MapPost("/machines/{serial}/holds/{hold}/witness", Record).RequireAuthorization(ActKind.RecordWitness)
            .WithSummary("Records what came of the visit: present, accepts, acceptsWithPunchList, doesNotAccept, didNotCome; or waived, by a letter.");
        api.MapPost("/machines/{serial}/holds/{hold}/looking-on", LetIn).RequireAuthorization(ActKind.LetWitnessLookOn)
            .WithSummary("Gives the witness invited an address that shows the point, its readings and results until a day; it ends the one before.");
        api.MapPost("/machines/{serial}/holds/{hold}/looking-on/end", EndLookingOn).RequireAuthorization(ActKind.EndLookingOn).WithSummary("Ends that address now.");
    }

    /// <param name="Until">yyyy-MM-dd, the last day it opens.</param>
    public sealed record LookOnBody(string? Until);

    /// <param name="Path">Of the sheet, from the server's root.</param>
    public sealed record LookOnAnswer(string Hold, string Until, string Path);

    /// <param name="Visit">yyyy-MM-dd.</param>
    public sealed record InvitationBody(string? Witness, string? Organisation, string? Visit, string? Letter);

    /// <param name="Statement">Code on the signed statement.</param>
    /// <param name="FileHash">SHA-256 of its scan among the machine's files.</param>
    public sealed record WitnessBody(WitnessAct Outcome, string? Witness, string? Organisation, string? Remark, string? Statement, string? FileHash, string? Letter);

    /// <param name="Waits">Why the point may not be released yet; null where its witness does not stand against it.</param>
    public sealed record WitnessPointAnswer(string Hold, string Name, int NoticeDays, bool Statement, bool Holds, string Code, string Stands, BrokenRule? Waits, ImmutableArray<WitnessEntry> Lines);

    private static async Task<ImmutableArray<WitnessPointAnswer>> Get(string serial, MachineReader machines, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        return [.. machine.Revision.Holds.Where(h => h.Witness is not null).Select(h => new WitnessPointAnswer(
            h.Id, h.Name, h.Witness!.NoticeDays, h.Witness.Statement, h.Witness.Holds, WitnessStatement.Code(machine, h), WitnessStanding.Of(machine, h).Sentence,
            WitnessRules.WhyBlocked(machine, h), [.. machine.Witness.Where(w => w.Hold == h.Id)]))];
    }

    private static async Task<IResult> Invite(string serial, string hold, InvitationBody body, WitnessActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created(PathOf(serial), await acts.Invite(
            context.Caller(), new InviteRequest(serial, hold, body.Witness ?? "", body.Organisation ?? "", body.Visit ?? "", body.Letter), context.Key(), ct));

    private static async Task<IResult> Record(string serial, string hold, WitnessBody body, WitnessActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created(PathOf(serial), await acts.Record(
            context.Caller(), new WitnessRequest(serial, hold, body.Outcome, body.Witness, body.Organisation, body.Remark, body.Statement, body.FileHash, body.Letter), context.Key(), ct));

    private static async Task<IResult> LetIn(string serial, string hold, LookOnBody body, WitnessActs acts, LookOnLinks links, HttpContext context, CancellationToken ct)
    {
        var made = await acts.LetIn(context.Caller(), new LookOnRequest(serial, hold, body.Until ?? ""), context.Key(), ct);
        return TypedResults.Created(PathOf(serial), new LookOnAnswer(made.Hold, made.Until, links.PathOf(serial, made.Link)));
    }

    private static Task<ActReceipt> EndLookingOn(string serial, string hold, WitnessActs acts, HttpContext context, CancellationToken ct) =>
        acts.EndLookingOn(context.Caller(), serial, hold, context.Key(), ct);

    private static string PathOf(string serial) => $"/api/v1/machines/{Uri.EscapeDataString(serial)}/witness";
}
