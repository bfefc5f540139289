using System.Collections.Immutable;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Instruments found out of limits, and the review of every machine that rests on them.</summary>
internal static class AffectedReadingsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/affected-readings", List).WithSummary("Every finding of an instrument out of limits, latest first, with how many machines wait for a decision; of one instrument with 'instrument'.");
        api.MapGet("/affected-readings/{finding:long}", Review).WithSummary("The review of one finding: machines, shipped ones first, with runs, readings, results and certificates.");
        api.MapPost("/instruments/{instrument}/out-of-limits", Record).RequireAuthorization(ActKind.RecordUnfit).WithSummary("Enters that an instrument was found out of limits; opens the review.");
        api.MapPost("/affected-readings/{finding:long}/machines/{serial}", Decide).RequireAuthorization(ActKind.DecideAffected).WithSummary("Decides about one machine: remeasure, negligible or notifyCustomer.");
    }

    /// <param name="Found">Largest error as found, without sign, with unit: "9 µm".</param>
    /// <param name="LastGood">yyyy-MM-dd; null: the day of the last good check before use, else of the last calibration.</param>
    public sealed record UnfitBody(string? Found, string? Allowed, string? LastGood, string? Reference);

    public sealed record DecisionBody(AffectedDecisionKind? Kind, string? Note);

    /// <param name="NegligibleBecauseNot">Why the error is not negligible; null where it is.</param>
    public sealed record MachineAnswer(
        string Serial, string Customer, bool Shipped, int Readings, ImmutableArray<long> Runs, ImmutableArray<RecalculatedResult> Results, ImmutableArray<string> Certificates,
        string? NegligibleBecauseNot, AffectedDecision? Decision);

    public sealed record ReviewAnswer(UnfitFinding Finding, int Undecided, ImmutableArray<MachineAnswer> Machines);

    private static Task<ImmutableArray<FindingLine>> List(string? instrument, AffectedReader reader, CancellationToken ct) => reader.List(instrument, ct);

    private static async Task<ReviewAnswer> Review(long finding, AffectedReader reader, CancellationToken ct)
    {
        var review = await reader.Review(finding, ct);
        return new ReviewAnswer(review.Finding, review.Undecided, [.. review.Machines.Select(m => new MachineAnswer(
            m.Machine.Serial, m.Machine.Customer, m.Shipped, m.Readings, [.. m.Runs.Select(r => r.Run.Id)], m.Results, [.. m.Certificates.Select(c => $"{c.Number} issue {c.Issue}")],
            m.Decision is null ? AffectedRules.WhyNotDecide(m.Machine.Serial, m.Finding, m, AffectedDecisionKind.Negligible)?.Sentence : null, m.Decision))]);
    }

    private static async Task<IResult> Record(string instrument, UnfitBody body, AffectedActs acts, HttpContext context, CancellationToken ct)
    {
        var receipt = await acts.RecordUnfit(
            context.Caller(), new RecordUnfitRequest(instrument, body.Found ?? "", body.Allowed ?? "", body.LastGood, body.Reference ?? ""), context.Key(), ct);
        return TypedResults.Created($"/api/v1/affected-readings/{receipt.Finding}", receipt);
    }

    private static async Task<IResult> Decide(long finding, string serial, DecisionBody body, AffectedActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/affected-readings/{finding}", await acts.Decide(context.Caller(), new DecideAffectedRequest(finding, serial, body.Kind, body.Note ?? ""), context.Key(), ct));
}
