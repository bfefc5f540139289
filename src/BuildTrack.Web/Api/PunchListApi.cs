using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Domain.PunchList;
using BuildTrack.Records.Machines;
using BuildTrack.Records.PunchList;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>A machine's punch list.</summary>
internal static class PunchListApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/punch-list", Get).WithSummary("Every item with its class, owner, due date and what closed it.");
        api.MapPost("/machines/{serial}/punch-list", Add).RequireAuthorization(ActKind.AddPunchItem).WithSummary("Puts an item on the list.");
        api.MapPost("/machines/{serial}/punch-list/{no:int}/class", ChangeClass).RequireAuthorization(ActKind.ChangePunchClass).WithSummary("Gives an item another class, with the reason.");
        api.MapPost("/machines/{serial}/punch-list/{no:int}/close", Close).RequireAuthorization(ActKind.ClosePunchItem).WithSummary("Closes an item, with the evidence; not by its owner.");
    }

    /// <param name="Outside">The owner is an outside party, by name.</param>
    /// <param name="Due">yyyy-MM-dd.</param>
    public sealed record AddBody(string? Text, PunchClass? Class, string? Owner, bool Outside, string? Due);

    public sealed record ClassBody(PunchClass? Class, string? Reason);

    /// <param name="FileHash">SHA-256 of a file kept before; null for none.</param>
    public sealed record CloseBody(string? Evidence, string? FileHash);

    public sealed record EntryAnswer(PunchAct Act, string Person, string At, string Text, PunchClass? Class, string? FileHash);

    public sealed record ItemAnswer(
        int No, string Text, PunchClass Class, string Owner, bool Outside, string Due, string AddedBy, string AddedAt, bool Open, ImmutableArray<EntryAnswer> Entries);

    private static async Task<ImmutableArray<ItemAnswer>> Get(string serial, MachineReader machines, CancellationToken ct) =>
        [.. (await machines.Load(serial, ct)).Punch.Select(i => new ItemAnswer(
            i.No, i.Text, i.Class, i.Owner, i.Outside, i.Due, i.Person, i.At.ToString(), i.Closed is null,
            [.. i.Entries.Select(e => new EntryAnswer(e.Act, e.Person, e.At.ToString(), e.Text, e.Class, e.FileHash))]))];

    private static async Task<IResult> Add(string serial, AddBody body, PunchActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/machines/{Uri.EscapeDataString(serial)}/punch-list", await acts.Add(
            context.Caller(), new AddPunchRequest(serial, body.Text ?? "", body.Class, body.Owner ?? "", body.Outside, body.Due ?? ""), context.Key(), ct));

    private static Task<PunchReceipt> ChangeClass(string serial, int no, ClassBody body, PunchActs acts, HttpContext context, CancellationToken ct) =>
        acts.ChangeClass(context.Caller(), new ChangePunchClassRequest(serial, no, body.Class, body.Reason ?? ""), context.Key(), ct);

    private static Task<PunchReceipt> Close(string serial, int no, CloseBody body, PunchActs acts, HttpContext context, CancellationToken ct) =>
        acts.Close(context.Caller(), new ClosePunchRequest(serial, no, body.Evidence ?? "", body.FileHash), context.Key(), ct);
}
