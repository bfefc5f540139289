using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Temperatures;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Temperatures of a bed before it is measured, and the comparison of the probes.</summary>
internal static class TemperaturesApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/temperatures", Get).WithSummary("Conditions at each step whose surveys ask for bed temperatures: allowed gradient, its bow, rounds, and until when to wait; of one step with 'step'.");
        api.MapPost("/machines/{serial}/temperatures", Round).RequireAuthorization(ActKind.RecordTemperatures).WithSummary("Records one round: °C as typed, top and bottom at the same places, with the probe of each.");
        api.MapGet("/probe-comparisons/{day}", Comparison).WithSummary("The comparison of probes that holds for the rounds of a day, yyyy-MM-dd.");
        api.MapPost("/probe-comparisons", Compare).RequireAuthorization(ActKind.RecordTemperatures).WithSummary("Records probes held on one block, every probe read two times or more.");
    }

    /// <param name="Top">"20.35" or "20,35 °C", from the operator's end on.</param>
    public sealed record RoundBody(
        int? Step, string? Air, ImmutableArray<string>? Top, ImmutableArray<string>? Bottom, ImmutableArray<string>? TopProbes, ImmutableArray<string>? BottomProbes, string? Note);

    /// <param name="Step">Step of the display in K: "0.01".</param>
    public sealed record CompareBody(string? Step, ImmutableArray<BlockBody>? Probes);

    public sealed record BlockBody(string? Probe, ImmutableArray<string>? Read);

    /// <param name="AllowedK">Largest difference top to bottom, K.</param>
    /// <param name="BowUm">Bow of the bed that the latest round means, µm; positive: the middle stands high.</param>
    /// <param name="AllowedBowUm">Bow at the allowed gradient, µm.</param>
    /// <param name="ReadyAt">About when; null where no time is told.</param>
    public sealed record ConditionsAnswer(
        int Step, GradientState State, string Sentence, double? AllowedK, double? AllowedBowUm, double? BowUm, double? TimeConstantMin, Instant? ReadyAt, Instant? ReadyFrom, Instant? ReadyTo,
        ImmutableArray<TemperatureRound> Rounds);

    private static async Task<ImmutableArray<ConditionsAnswer>> Get(string serial, int? step, MachineReader machines, PlantReader plant, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var time = await plant.Time(ct);
        var steps = TemperatureRules.StepsOf(machine.Revision);
        if (step is { } one && !steps.Contains(one))
        {
            throw new NotFoundException($"No survey of step {one} asks for bed temperatures.");
        }

        return [.. steps.Where(s => step is null || s == step).Select(s => GradientStanding.Of(machine, s)).Select(g => new ConditionsAnswer(
            g.Step, g.State, g.Sentence(time), g.Allowed, g.Allowed is { } k ? TemperatureRules.BowOf(machine.Model, k).BowUm : null,
            g.Latest is { } latest ? TemperatureRules.BowOf(machine.Model, (double)latest.Worst).BowUm : null,
            g.Forecast?.Figures.TimeConstantMin, g.Forecast?.Ready, g.Forecast?.From, g.Forecast?.To, g.Rounds))];
    }

    private static async Task<ComparedProbes> Comparison(string day, TemperatureReader reader, CancellationToken ct) =>
        await reader.ComparisonOf(day, ct) ?? throw new NotFoundException($"No probes were compared on {day}.");

    private static async Task<IResult> Round(string serial, RoundBody body, TemperatureActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/machines/{Uri.EscapeDataString(serial)}/temperatures", await acts.Round(
            context.Caller(), new RecordRoundRequest(
                serial, body.Step ?? 0, body.Air, body.Top ?? [], body.Bottom ?? [], body.TopProbes ?? [], body.BottomProbes ?? [], body.Note), context.Key(), ct));

    private static async Task<IResult> Compare(CompareBody body, TemperatureActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created("/api/v1/probe-comparisons", await acts.Compare(
            context.Caller(), new CompareProbesRequest(body.Step ?? "", [.. (body.Probes ?? []).Select(p => new BlockReadings(p.Probe ?? "", p.Read ?? []))]), context.Key(), ct));
}
