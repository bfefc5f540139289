using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Commissioning;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Leak test of closed lines: the drop of the pressure without the part that a change of temperature explains.</summary>
/// <remarks>Method: docs/method/commissioning.md, section 9. Nothing here replaces the test of strength that a qualified person makes under the local code.</remarks>
public sealed class LeakTestEvaluator : IEvaluator
{
    // A gauge that lies nearer to the air than this tests nothing.
    private const double LeastBar = 0.5;

    public string Kind => "leak-test";

    public ImmutableArray<EvaluatorSource> Sources { get; } =
    [
        new EvaluatorSource("before", ["pressure"], [PlaceKind.Whole]), new EvaluatorSource("after", ["pressure"], [PlaceKind.Whole]),
        new EvaluatorSource("temperature-before", ["temperature"], [PlaceKind.Whole]), new EvaluatorSource("temperature-after", ["temperature"], [PlaceKind.Whole]),
    ];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "%";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: leak-test needs an upper limit in %.")).Calculated;
        var (before, after) = (MeasuredValues.Of(input, "before"), MeasuredValues.Of(input, "after"));
        var (warm, cold) = (MeasuredValues.Of(input, "temperature-before"), MeasuredValues.Of(input, "temperature-after"));
        if (MeasuredValues.Lacking(input, "%", before, after, warm, cold) is { } lacking)
        {
            return lacking;
        }

        var candidates = ImmutableArray.CreateBuilder<Candidate>();
        foreach (var line in before.Values)
        {
            var (start, end, then, now) = (line.Mean, after.At(line.Label).Mean, warm.At(line.Label), cold.At(line.Label).Mean);
            if (!(start is >= LeastBar and <= PressureDrop.HighestBar && end is >= 0 and <= PressureDrop.HighestBar && then.Mean is > -40 and < 90 && now is > -40 and < 90))
            {
                return EvaluationResult.Without(
                    ResultState.Incomplete, "%",
                    FormattableString.Invariant($"{line.Label}: found {start:0.###} bar at {then.Mean:0.#} °C, then {end:0.###} bar at {now:0.#} °C, expected a start of {LeastBar} to {PressureDrop.HighestBar:0} bar, ")
                    + "an end of 0 bar or more and temperatures of -40 to 90 °C",
                    new NextAction(NextKind.Record, $"Correct the figures of {line.Label} in survey {line.Source.Survey}.", []));
            }

            var (begun, ended) = (Temperature.FromDegreesCelsius(then.Mean), Temperature.FromDegreesCelsius(now));
            var (gauge, thermometer) = (WorstValue.View(input, line.Source, 0), WorstValue.View(input, then.Source, 0));
            var sigma = PressureDrop.StandardUncertaintyPercent(start, end, begun, ended, gauge.Expanded / gauge.K, thermometer.Expanded / thermometer.K);
            var drop = PressureDrop.Percent(start, end, begun, ended);
            if (drop < -limit)
            {
                return EvaluationResult.Without(
                    ResultState.Incomplete, "%", FormattableString.Invariant($"{line.Label}: the pressure rose by {-drop:0.0} % more than the temperature explains: the line was not closed, or a reading is wrong"),
                    new NextAction(NextKind.Record, $"Test {line.Label} anew, with the line shut off from its supply.", []));
            }

            candidates.Add(new Candidate(
                line.Label, FormattableString.Invariant($"drop from {start:0.0##} bar, temperature taken out,"), drop, [], [.. line.Source.CountedPasses], limit, true,
                RegisterView.Worst([gauge, thermometer]).Of(sigma, 0)));
        }

        var source = before.Values[0].Source;
        return WorstValue.Of(
            input, candidates.ToImmutable(), "%", source.Survey, [.. candidates.Select(c => new Figure(c.Place, c.Mean, "%"))],
            noAgain: "vent the line, find the leak with foam, mend it, and test that line anew",
            rework: line => $"Vent {line} before a joint is opened. Seek the leak with foam, mend it, record that work and test the line anew.");
    }
}
