using System.Collections.Immutable;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.People;
using BuildTrack.Records.Delegations;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Rights lent by one person to another for some days.</summary>
internal static class DelegationsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/delegations", List).WithSummary("Every delegation, the latest first: by whom, to whom, what, from, until, why, and how it ended.");
        api.MapPost("/delegations", Delegate).RequireAuthorization(ActKind.Delegate).WithSummary("Lends a role of the caller, or the release of hold points, to another person; both days included.");
        api.MapPost("/delegations/{no:int}/end", End).RequireAuthorization(ActKind.EndDelegation).WithSummary("Ends a delegation before its last day, with the reason: by either of the two, or an administrator.");
    }

    /// <param name="Role">A role; or null with hold points.</param>
    public sealed record DelegateBody(string? To, string? Role, ImmutableArray<string>? Holds, string? From, string? Until, string? Reason);

    public sealed record ReasonBody(string? Reason);

    private static async Task<ImmutableArray<Delegation>> List(DelegationReader reader, CancellationToken ct) => await reader.List(ct);

    private static async Task<IResult> Delegate(DelegateBody body, DelegationActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created("/api/v1/delegations", await acts.Delegate(
            context.Caller(), new DelegateRequest(body.To ?? "", body.Role, body.Holds ?? [], body.From ?? "", body.Until ?? "", body.Reason ?? ""), context.Key(), ct));

    private static async Task<DelegationReceipt> End(int no, ReasonBody body, DelegationActs acts, HttpContext context, CancellationToken ct) =>
        await acts.End(context.Caller(), new EndDelegationRequest(no, body.Reason ?? ""), context.Key(), ct);
}
