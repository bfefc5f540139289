using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating.Lines;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Values of one place over the counted passes.</summary>
/// <param name="Label">The place as shown: station, sample, or the column's own place.</param>
internal sealed record MeasuredValue(string Label, SurveySource Source, string Place, ImmutableArray<double> Passes)
{
    public double Mean => Passes.Average();
}

/// <summary>The values that a source names, over all features and places, or what is missing.</summary>
internal sealed record MeasuredValues(ImmutableArray<MeasuredValue> Values, bool Any, string? Missing, ImmutableArray<WeightedPlace> Places)
{
    public static MeasuredValues Of(EvaluationInput input, string name)
    {
        var values = ImmutableArray.CreateBuilder<MeasuredValue>();
        var missing = ImmutableArray.CreateBuilder<WeightedPlace>();
        string? sentence = null;
        var any = false;
        foreach (var source in MeasuredLine.SourcesOf(input, name))
        {
            any |= source.Runs.Any(r => r.Readings.Length > 0);
            var passes = source.CountedPasses.ToImmutableArray();
            if (passes.Length < source.PassesPlanned)
            {
                sentence ??= $"{(source.Feature is null ? "" : source.Feature + ": ")}{passes.Length} of {source.PassesPlanned} planned passes are finished";
                continue;
            }

            foreach (var place in PlacesOf(source))
            {
                var read = passes.Select(p => p.Calculated(source.Column, place)).ToImmutableArray();
                if (read.Any(v => v is null))
                {
                    missing.Add(new WeightedPlace(place, 0));
                }
                else
                {
                    values.Add(new MeasuredValue(source.Feature is null ? place : place == "whole" ? source.Feature : $"{source.Feature} {place}", source, place, [.. read.Select(v => v!.Value)]));
                }
            }
        }

        if (missing.Count > 0)
        {
            sentence ??= $"{missing.Count} places have no reading ({string.Join(", ", missing.Take(6).Select(p => p.Place))}{(missing.Count > 6 ? " …" : "")})";
        }

        return new MeasuredValues(values.ToImmutable(), any, sentence, missing.ToImmutable());
    }

    /// <summary>The value of this place, sample or line.</summary>
    public MeasuredValue At(string label) => Values.First(v => v.Label == label);

    /// <summary>The answer while something is missing; null when everything is there.</summary>
    public static EvaluationResult? Lacking(EvaluationInput input, string unit, params ReadOnlySpan<MeasuredValues> all)
    {
        var (any, sentence, places) = (false, (string?)null, ImmutableArray<WeightedPlace>.Empty);
        foreach (var values in all)
        {
            any |= values.Any;
            (sentence, places) = sentence is null ? (values.Missing, values.Places) : (sentence, places);
        }

        var survey = input.Characteristic.From.Values.Select(f => f.Survey).FirstOrDefault(s => s is not null);
        var record = new NextAction(NextKind.Record, $"Record the readings of survey {survey}.", places);
        return !any ? EvaluationResult.Without(ResultState.NotMeasured, unit, "no reading yet", record)
            : sentence is not null ? EvaluationResult.Without(ResultState.Incomplete, unit, sentence, record)
            : null;
    }

    private static IEnumerable<string> PlacesOf(SurveySource source) => source.Places switch
    {
        PlaceKind.Whole => ["whole"],
        PlaceKind.Between => ChecklistRevision.Joins(source.Stations).Select(p => p.Key),
        _ => source.Stations.Select(s => s.Id),
    };
}
