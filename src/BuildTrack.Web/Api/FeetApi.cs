using System.Collections.Immutable;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.People;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Records.Corrections;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Foot moves of a bed: the next round, the rounds that were done, and what each did.</summary>
internal static class FeetApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/results/{line}/feet", Get).WithSummary("The next round of foot moves from the heights of a flatness, with predicted heights and verdict; and every round that was done, predicted against measured.");
        api.MapPost("/machines/{serial}/results/{line}/feet", Record).RequireAuthorization(ActKind.MoveFeet).WithSummary("Records the moves of a round that was done, mm at the indicator; 'evaluation' is the hash of the result it was planned from.");
    }

    /// <param name="Move">"0.07": plus raises; null or empty where the foot was left.</param>
    public sealed record MoveBody(string? Foot, string? Move);

    public sealed record FeetBody(string? Evaluation, FootGoal? Goal, FootReference? Reference, ImmutableArray<MoveBody>? Moves, string? Note);

    /// <param name="Shown">What the next measurement showed; null before it.</param>
    public sealed record RoundAnswer(FootRoundMade Round, FootRoundShown? Shown);

    /// <param name="WhyNone">Why there is no plan; null where there is one.</param>
    public sealed record FeetAnswer(string? Evaluation, FootPlan? Plan, string? WhyNone, ImmutableArray<RoundAnswer> Rounds);

    private static async Task<FeetAnswer> Get(string serial, string line, FootGoal? goal, FootReference? reference, FootReader reader, CancellationToken ct)
    {
        var (machine, standing, plan, rule) = await reader.Plan(serial, line, goal ?? FootGoal.RaiseToHighest, reference ?? FootReference.Level, ct);
        return new FeetAnswer(standing.Evaluation?.Hash, plan, rule?.Sentence, [.. machine.FootRounds.Select(r => new RoundAnswer(r, FootRounds.ShownOf(machine, r)))]);
    }

    private static async Task<IResult> Record(string serial, string line, FeetBody body, FootActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/machines/{Uri.EscapeDataString(serial)}/results/{Uri.EscapeDataString(line)}/feet", await acts.Record(
            context.Caller(), new RecordFeetRequest(
                serial, line, body.Evaluation ?? "", body.Goal, body.Reference, [.. (body.Moves ?? []).Select(m => new FootMoveTyped(m.Foot ?? "", m.Move))], body.Note), context.Key(), ct));
}
