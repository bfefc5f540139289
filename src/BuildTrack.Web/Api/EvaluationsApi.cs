using BuildTrack.Documents.Evaluate;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Web.Api;

/// <summary>The evaluations of the command line, for programs: same input, same object. Nothing is read from or written to the record.</summary>
internal static class EvaluationsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/evaluations", Kinds).WithSummary("The kinds of evaluation, with their columns and options.");
        api.MapPost("/evaluations/{kind}", Evaluate).WithSummary("Evaluates a table (text/csv, at most 2 MB); options are query parameters.");
    }

    public sealed record KindAnswer(string Name, string Summary, string? Columns, IEnumerable<OptionAnswer> Options);

    public sealed record OptionAnswer(string Name, string Meaning);

    private static IEnumerable<KindAnswer> Kinds() =>
        EvaluationCommands.Kinds.Select(k => new KindAnswer(k.Name, k.Summary, k.Columns, k.Options.Select(o => new OptionAnswer(o.Name, o.Meaning))));

    private static async Task<IResult> Evaluate(string kind, HttpContext context, CancellationToken ct)
    {
        var known = EvaluationCommands.Find(kind) ?? throw new NotFoundException($"There is no evaluation '{kind}'; known: {string.Join(", ", EvaluationCommands.Kinds.Select(k => k.Name))}.");
        var options = context.Request.Query.ToDictionary(q => q.Key, q => string.Join('\n', q.Value.ToArray()), StringComparer.Ordinal);
        using var table = known.TakesFile ? new StreamReader(new MemoryStream(await SurveysApi.File(context, ct))) : null;
        var outcome = EvaluationCommands.Run(kind, table, "body", options);
        return outcome.Result is { } result ? TypedResults.Text(EvaluationCommands.Text(result), "application/json")
            : outcome.Faults.Length > 0 ? throw new BadInputException([.. outcome.Faults.Select(Fault)])
            : throw new NoAnswerException(outcome.Defect ?? "The data leave no answer.");
    }

    internal static InputFault Fault(EvaluationFault fault) => new(
        fault.Line is null ? fault.Where : FormattableString.Invariant($"{fault.Where} line {fault.Line}, column {fault.Column ?? 1}"), fault.Found, fault.Expected);
}
