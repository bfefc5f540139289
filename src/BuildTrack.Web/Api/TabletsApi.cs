using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.People;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Tablets and badges for the change of person on the shop floor. What gives a secret (a tablet is enrolled on its own screen, a PIN is set with the password, a badge is printed) is not here.</summary>
internal static class TabletsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/tablets", List).RequireAuthorization(ActKind.EnrolTablet).WithSummary("Every tablet on which the person changes by badge or PIN: by whom it was enrolled and when, and how that ended.");
        api.MapPost("/tablets/{tablet:long}/end", End).RequireAuthorization(ActKind.EndTablet).WithSummary("Ends a tablet, with the reason; every session that was begun on it by badge or PIN ends.");
        api.MapGet("/tablets/people", People).RequireAuthorization(ActKind.EnrolTablet).WithSummary("Who has a PIN, who has a badge, and whose PIN is locked.");
        api.MapPost("/people/{person}/badge/end", EndBadge).RequireAuthorization(ActKind.EndBadge).WithSummary("Ends a person's badge, with the reason.");
    }

    public sealed record ReasonBody(string? Reason);

    private static async Task<ImmutableArray<TabletLine>> List(TabletReader tablets, CancellationToken ct) => await tablets.List(ct);

    private static async Task<ShortSignIns> People(TabletReader tablets, CancellationToken ct) => await tablets.People(ct);

    private static async Task<ActReceipt> End(long tablet, ReasonBody body, TabletActs acts, HttpContext context, CancellationToken ct) =>
        await acts.End(context.Caller(), new EndTabletRequest(tablet, body.Reason ?? ""), context.Key(), ct);

    private static async Task<ActReceipt> EndBadge(string person, ReasonBody body, TabletActs acts, HttpContext context, CancellationToken ct) =>
        await acts.EndBadge(context.Caller(), new EndBadgeRequest(person, body.Reason ?? ""), context.Key(), ct);
}
