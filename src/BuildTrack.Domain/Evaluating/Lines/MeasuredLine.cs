using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Domain.Evaluating.Lines;

/// <summary>One line of stations with what was read along it: a rail by a stepped level, a rail by heights, the bridges across both rails.</summary>
/// <param name="Name">R1, R2, B …; empty where the stations have no such name.</param>
/// <param name="Places">Where each reading was taken, toward +X.</param>
/// <param name="Rows">Weights that give the value of each station from the readings: heights from rises, or the readings themselves.</param>
/// <param name="Passes">Readings of every counted pass, calculated unit, as rises toward +X.</param>
internal sealed record MeasuredLine(
    string Name, SurveySource Source, ImmutableArray<Station> Stations, ImmutableArray<string> Places,
    ImmutableArray<ImmutableArray<double>> Rows, ImmutableArray<ImmutableArray<double>> Passes)
{
    public double[] PositionsMm => [.. Stations.Select(s => s.XMm)];

    /// <summary>Mean of the counted passes at every place; further passes than planned enter it as well.</summary>
    public ImmutableArray<double> Mean => [.. Places.Select((_, i) => Passes.Average(p => p[i]))];

    /// <summary>Values of the stations from readings, unit of the rows.</summary>
    public double[] Values(ImmutableArray<double> readings) => [.. Rows.Select(r => r.Zip(readings, (w, v) => w * v).Sum())];

    /// <summary>Cross-level of this line and another at the same x, from the heights of both: one line of slopes across, µm/m, that rests on the readings of both.</summary>
    public MeasuredLine Abreast(MeasuredLine other)
    {
        var metres = (other.Stations[0].YMm - Stations[0].YMm) / 1000;
        var (own, others) = (Places.Length, other.Places.Length);
        var pairs = Stations.Select((s, i) => (Station: s, I: i, J: other.Stations.IndexOf(other.Stations.FirstOrDefault(o => Math.Abs(o.XMm - s.XMm) < 0.001)!)))
            .Where(p => p.J >= 0).ToImmutableArray();
        return new MeasuredLine(
            "", Source, [.. pairs.Select(p => p.Station)], [.. Places, .. other.Places],
            [.. pairs.Select(p => ImmutableArray.Create([.. Enumerable.Range(0, own + others).Select(k => k == own + p.J ? 1 / metres : k == p.I ? -1 / metres : 0.0)]))],
            [.. Passes.Select((p, n) => p.AddRange(other.Passes[n]))]);
    }

    /// <summary>All lines of the sources with this name, "line" or "line/R1", or a sentence with what is missing.</summary>
    public static (ImmutableArray<MeasuredLine> Lines, bool Any, string? Missing, ImmutableArray<WeightedPlace> Places) Of(EvaluationInput input, string name)
    {
        var lines = ImmutableArray.CreateBuilder<MeasuredLine>();
        var missing = ImmutableArray.CreateBuilder<WeightedPlace>();
        string? sentence = null;
        var any = false;
        foreach (var source in SourcesOf(input, name))
        {
            any |= source.Runs.Any(r => r.Readings.Length > 0);
            var passes = source.CountedPasses.ToImmutableArray();
            if (passes.Length < source.PassesPlanned)
            {
                sentence ??= $"{(source.Feature is null ? "" : source.Feature + ": ")}{passes.Length} of {source.PassesPlanned} planned passes are finished";
                continue;
            }

            var read = passes.Select(p => p.AlongXBy(source.Column, source.Quantity)).ToImmutableArray();
            foreach (var (stations, places, rows) in Walks(source))
            {
                var values = read.Select(p => places.Select(p).ToImmutableArray()).ToImmutableArray();
                missing.AddRange(places.Where((_, i) => values.Any(v => v[i] is null)).Select(p => new WeightedPlace(p, 0)));
                lines.Add(new MeasuredLine(NameOf(source, stations), source, stations, places, rows, [.. values.Select(v => v.Select(x => x ?? 0).ToImmutableArray())]));
            }
        }

        if (missing.Count > 0)
        {
            sentence ??= $"{missing.Count} places have no reading ({string.Join(", ", missing.Take(6).Select(p => p.Place))}{(missing.Count > 6 ? " …" : "")})";
        }

        return (lines.ToImmutable(), any, sentence, missing.ToImmutable());
    }

    /// <summary>The surveys that a source names, one for each feature.</summary>
    public static IEnumerable<SurveySource> SourcesOf(EvaluationInput input, string name) =>
        input.Sources.Where(s => s.Key == name || s.Key.StartsWith(name + "/", StringComparison.Ordinal))
            .Select(s => s.Value.Readings ?? throw new ArgumentException($"{input.Characteristic.Line}: '{name}' needs the readings of a survey."));

    private static IEnumerable<(ImmutableArray<Station> Stations, ImmutableArray<string> Places, ImmutableArray<ImmutableArray<double>> Rows)> Walks(SurveySource source)
    {
        foreach (var line in source.Stations.GroupBy(s => s.YMm))
        {
            ImmutableArray<Station> stations = [.. line.OrderBy(s => s.XMm)];
            if (source.Places == PlaceKind.Between)
            {
                double[] x = [.. stations.Select(s => s.XMm)];
                yield return (stations, [.. ChecklistRevision.Joins(stations).Select(p => p.Key)], x.Length < 2 ? [] : LineRows.Steps(x));
            }
            else
            {
                yield return (stations, [.. stations.Select(s => s.Id)], LineRows.Themselves(stations.Length));
            }
        }
    }

    /// <summary>The feature, the rail, or both where a feature is read along several rails.</summary>
    private static string NameOf(SurveySource source, ImmutableArray<Station> stations)
    {
        var rail = stations is [var first, ..] && first.Id.IndexOf('-', StringComparison.Ordinal) is > 0 and var at ? first.Id[..at] : "";
        return source.Feature is not { } feature ? rail : source.Stations.DistinctBy(s => s.YMm).Skip(1).Any() ? $"{feature} {rail}" : feature;
    }
}
