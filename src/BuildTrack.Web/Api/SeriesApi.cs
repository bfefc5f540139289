using System.Collections.Immutable;
using BuildTrack.Domain.ResultSeries;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.ResultSeries;

namespace BuildTrack.Web.Api;

/// <summary>The results of a machine that find the same thing one after the other.</summary>
internal static class SeriesApi
{
    public static void Map(RouteGroupBuilder api) =>
        api.MapGet("/machines/{serial}/series", Get).WithSummary("Results that find the same thing one after the other (in the plant, as shipped, on site, at each visit), each with what changed since the one before and since the first, and whether that is proven.");

    /// <param name="Unit">Of the values; null before the first.</param>
    public sealed record SeriesAnswer(string Series, string Title, string? Unit, ImmutableArray<PointAnswer> Results);

    /// <param name="Evaluation">Hash of the stored calculation.</param>
    /// <param name="ReleasedAt">Null while it is not released.</param>
    public sealed record PointAnswer(
        string Line, int Step, string At, double Value, double? ReachAbove, double? ReachBelow, double? Upper, double? Lower, Verdict? Verdict, string Evaluation, string? ReleasedAt, SeriesChange? SinceBefore, SeriesChange? SinceFirst);

    private static async Task<ImmutableArray<SeriesAnswer>> Get(string serial, MachineReader machines, SeriesReader series, CancellationToken ct) =>
        [.. (await series.Of(await machines.Load(serial, ct), ct)).Select(s => new SeriesAnswer(s.Plan.Id, s.Plan.Title, s.Points.FirstOrDefault()?.Unit, [.. s.Points.Select(Answer)]))];

    private static PointAnswer Answer(SeriesPoint point)
    {
        var result = point.Evaluation.Record.Result;
        return new PointAnswer(
            point.Agreed.Characteristic.Line, point.Step.Number, point.Evaluation.At.ToString(), point.Value, result.ReachAbove, result.ReachBelow, result.Upper, result.Lower,
            result.Verdict, point.Evaluation.Hash, point.Released?.ToString(), point.SinceBefore, point.SinceFirst);
    }
}
