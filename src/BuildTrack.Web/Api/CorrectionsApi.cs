using System.Collections.Immutable;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.People;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Records.Corrections;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Corrections of a bed side by side, and the choice among them.</summary>
internal static class CorrectionsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/results/{line}/corrections", Get).WithSummary("Corrections of a result that is not accepted, and concession, with predicted result, verdict, chance, hours and what must be repeated; and what was chosen.");
        api.MapGet("/checks", (CheckHistoryReader reader, CancellationToken ct) => reader.FirstPass(ct)).WithSummary("First-pass figures of every check over the machines.");
        api.MapGet("/checks/{line}", (string line, CheckHistoryReader reader, CancellationToken ct) => reader.Of(line, ct)).WithSummary("One check over the machines: first results, shares of the limit, individuals chart, capability, risks of wrong decisions.");
        api.MapGet("/checks/{line}/change", (string line, ChangeHistoryReader reader, CancellationToken ct) => reader.Of(line, ct)).WithSummary("A quantity before and after over the machines, for a line that compares two results: mean change, spread, interval of the mean.");
        api.MapPost("/machines/{serial}/results/{line}/corrections", Choose).RequireAuthorization(ActKind.ChooseCorrection).WithSummary("Records which one is chosen, and why; 'evaluation' is the hash of the result it rests on.");
    }

    public sealed record ChoiceBody(CorrectionKind? Kind, string? Evaluation, string? Reason);

    /// <param name="WhyNone">Why there is nothing to correct; null where there are options.</param>
    public sealed record CorrectionsAnswer(string? Evaluation, ImmutableArray<CorrectionOption> Options, string? WhyNone, ImmutableArray<CorrectionChoice> Chosen);

    private static async Task<CorrectionsAnswer> Get(string serial, string line, CorrectionReader reader, CancellationToken ct)
    {
        var (machine, standing, options, rule) = await reader.Options(serial, line, ct);
        return new CorrectionsAnswer(standing.Evaluation?.Hash, options, rule?.Sentence, [.. machine.Choices.Where(c => c.Line == line)]);
    }

    private static async Task<IResult> Choose(string serial, string line, ChoiceBody body, CorrectionActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/machines/{Uri.EscapeDataString(serial)}/results/{Uri.EscapeDataString(line)}/corrections", await acts.Choose(
            context.Caller(), new ChooseCorrectionRequest(serial, line, body.Kind, body.Evaluation ?? "", body.Reason ?? ""), context.Key(), ct));
}
