using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Witnessing;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>The customer's part at the hold points of a machine.</summary>
internal static class CustomersPointsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/customers-part", Get).WithSummary("The customer's part at every hold point of a machine, with every agreement that changed it. ETag: the machine's version.");
        api.MapPut("/machines/{serial}/customers-part", Set).RequireAuthorization(ActKind.SetCustomersPoints)
            .WithSummary("Sets the hold points at which the contract gives the customer another part than the plan. If-Match: the version seen. Once the order is reviewed, a second person approves with the own password and a reason.");
    }

    /// <param name="Points">Every hold point that differs from the plan; one that is not named stands as in the plan.</param>
    /// <param name="Approval">Only once the order is reviewed.</param>
    public sealed record CustomersPointsBody(ImmutableArray<CustomersPoint>? Points, string? AgreedWith, Approval? Approval = null);

    /// <param name="Point">The hold point at which it is agreed.</param>
    /// <param name="Frozen">The point is released: it changes only by an approved revision.</param>
    /// <param name="Now">Every hold point with the customer's part in force.</param>
    public sealed record CustomersPointsAnswer(string Serial, string Point, bool Frozen, ImmutableArray<CustomersPoint> Now, ImmutableArray<CustomersPoints> Revisions, long Version);

    private static async Task<CustomersPointsAnswer> Get(string serial, MachineReader machines, HttpContext context, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        context.Response.Headers.ETag = $"\"{machine.Version}\"";
        return new CustomersPointsAnswer(
            machine.Serial, AgreedAtReview.PointOf(machine.Revision).Id, AgreedAtReview.IsFrozen(machine),
            [.. CustomersPointRules.PointsOf(machine).Select(CustomersPoint.At)], machine.CustomersPointsRevisions, machine.Version);
    }

    private static async Task<ActReceipt> Set(string serial, CustomersPointsBody body, CustomersPointActs acts, HttpContext context, CancellationToken ct) =>
        body.Points?.Contains(null!) == true ? throw new BadInputException("points", "null", "a hold point with the customer's part and the notice")
        : long.TryParse(context.Request.Headers.IfMatch.ToString().Trim('"'), out var version)
            ? await acts.Set(context.Caller(), new SetCustomersPointsRequest(serial, body.Points ?? [], body.AgreedWith ?? "", version, body.Approval), context.Key(), ct)
            : throw new IfMatchMissingException();
}
