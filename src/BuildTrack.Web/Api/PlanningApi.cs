using BuildTrack.Domain.Planning;
using BuildTrack.Records.Planning;

namespace BuildTrack.Web.Api;

/// <summary>Before measuring: whether a plan would prove a check.</summary>
internal static class PlanningApi
{
    public static void Map(RouteGroupBuilder api) =>
        api.MapGet("/machines/{serial}/results/{line}/plan", Get)
            .WithSummary("Instruments, bases and passes with U, what would be accepted and the widest true value that has a chance of 95 %; 'share' is how much of the limit shall be provable (0.5).");

    private static async Task<PlanAnswer> Get(string serial, string line, double? share, PlanReader plans, CancellationToken ct) => (await plans.Of(serial, line, share, ct)).Answer;
}
