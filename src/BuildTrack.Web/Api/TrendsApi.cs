using System.Collections.Immutable;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Trends;
using BuildTrack.Records.Trends;

namespace BuildTrack.Web.Api;

/// <summary>Trends over the machines.</summary>
internal static class TrendsApi
{
    public static void Map(RouteGroupBuilder api) =>
        api.MapGet("/trends", Get).WithSummary("By step and by month: first pass with its 95 % interval, hours planned and recorded, rework, nonconformances; null where a figure would rest on nothing.");

    /// <param name="WaitsFor">Who must act.</param>
    public sealed record OpenAnswer(string Name, string Serial, int? Step, string What, string State, string WaitsFor, double Days);

    public sealed record TrendAnswer(int Machines, ImmutableArray<StepTrend> Steps, ImmutableArray<MonthTrend> Months, ImmutableArray<CauseTrend> Causes, ImmutableArray<OpenAnswer> Open, int WithoutStep);

    private static async Task<TrendAnswer> Get(TrendReader reader, CancellationToken ct)
    {
        var found = await reader.Read(ct);
        return new TrendAnswer(found.Machines, found.Steps, found.Months, found.Causes, [.. found.Open.Select(o => Answer(o.Of, o))], found.WithoutStep);
    }

    private static OpenAnswer Answer(Nonconformance of, OpenNonconformance open) => new(of.Name, of.Serial, open.Step, of.What, of.Standing.Word, of.Standing.WaitsFor(of, person => person), open.Days);
}
