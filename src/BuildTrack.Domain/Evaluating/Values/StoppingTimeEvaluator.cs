using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Commissioning;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Stopping time of a dangerous movement: the larger of the longest of ten stops and mean + 3 s, against the time its guard stands for.</summary>
/// <remarks>Method: docs/method/commissioning.md. The analyser reads times off; what is judged is the spread of the machine.</remarks>
public sealed class StoppingTimeEvaluator : IEvaluator
{
    public string Kind => "stopping-time";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [.. Enumerable.Range(1, StoppingTime.FewestStops).Select(i => new EvaluatorSource(FormattableString.Invariant($"s{i}"), ["time"], [PlaceKind.Whole]))];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "s";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: stopping-time needs an upper limit.")).Calculated;
        var stops = Sources.Select(s => MeasuredValues.Of(input, s.Name)).ToArray();
        if (MeasuredValues.Lacking(input, "s", stops) is { } lacking)
        {
            return lacking;
        }

        var source = stops[0].Values[0].Source;
        var found = StoppingTime.Of([.. stops.Select(s => 1000 * s.Values[0].Mean)]);
        return WorstValue.Of(
            input, [new Candidate("whole", "stopping time", found.TimeMs / 1000, [], [], limit, true, WorstValue.View(input, source, 0))], "s", source.Survey,
            [new Figure("longest", found.HighestMs / 1000, "s"), new Figure("mean", found.MeanMs / 1000, "s"), new Figure("standard deviation", found.StandardDeviationMs / 1000, "s")],
            noAgain: "the brake, the drive's stop or the distance of the guard is put right, and ten stops are taken anew");
    }
}
