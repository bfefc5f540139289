using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Records.Qualifications;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>The lists of people for special work.</summary>
internal static class QualificationsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/qualifications", Get).WithSummary("Every list for special work with its entries: from, to, evidence, days left, and what was taken off.");
        api.MapPost("/qualifications/{list}/people", PutOn).RequireAuthorization(ActKind.PutOnList).WithSummary("Puts a person on a list, both days included. A renewal is a further entry.");
        api.MapPost("/qualifications/entries/{entry:long}/take-off", TakeOff).RequireAuthorization(ActKind.TakeOffList).WithSummary("Takes an entry off its list before its last day, with the reason; it stays, with both dates.");
    }

    /// <param name="From">yyyy-MM-dd in plant time, as <paramref name="To"/>; both days included.</param>
    public sealed record PutOnBody(string? Person, string? From, string? To, string? Evidence);

    public sealed record ReasonBody(string? Reason);

    /// <param name="Today">Whether it speaks for the person today.</param>
    /// <param name="DaysLeft">Until its last day; negative when it is over.</param>
    public sealed record EntryAnswer(long Entry, string Person, string From, string To, string Evidence, string By, bool Today, int DaysLeft, TakenOff? TakenOff);

    public sealed record ListAnswer(string List, string Name, string Why, string Origin, ImmutableArray<EntryAnswer> Entries);

    private static async Task<ImmutableArray<ListAnswer>> Get(QualificationReader reader, CancellationToken ct)
    {
        var people = await reader.Today(ct);
        return [.. (await reader.Lists(ct)).Select(l => new ListAnswer(l.Id, l.Name, l.Why, l.Origin, [.. people.Entries.Where(e => e.List == l.Id).Select(e => new EntryAnswer(
            e.Id, e.Person, e.From, e.To, e.Evidence, e.By, e.Covers(people.Day), people.DaysLeft(e), e.TakenOff))]))];
    }

    private static async Task<IResult> PutOn(string list, PutOnBody body, QualificationActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created("/api/v1/qualifications", await acts.PutOn(
            context.Caller(), new PutOnListRequest(list, body.Person ?? "", body.From ?? "", body.To ?? "", body.Evidence ?? ""), context.Key(), ct));

    private static async Task<ListReceipt> TakeOff(long entry, ReasonBody body, QualificationActs acts, HttpContext context, CancellationToken ct) =>
        await acts.TakeOff(context.Caller(), new TakeOffListRequest(entry, body.Reason ?? ""), context.Key(), ct);
}
