using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Acceptance;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Drift of the laser power over a log: the largest distance of a reading from the mean of the log, in per cent of the mean.</summary>
/// <remarks>
/// Method: docs/method/commissioning.md, section 10. What the meter is off by as a whole is in every reading and in the mean alike and leaves the
/// quotient; only its random part speaks, and of that the largest of as many values of both signs.
/// </remarks>
public sealed class PowerDriftEvaluator : IEvaluator
{
    public string Kind => "power-drift";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("power", ["power"])];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "%";

    public LayoutShape? Needs => LayoutShape.Times;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: power-drift needs an upper limit in %.")).Calculated;
        var power = MeasuredValues.Of(input, "power");
        if (MeasuredValues.Lacking(input, "%", power) is { } lacking)
        {
            return lacking;
        }

        var source = power.Values[0].Source;
        if (power.Values.FirstOrDefault(v => !(v.Mean is >= 0 and <= LaserPower.LargestPowerW)) is { } wrong)
        {
            return Without(FormattableString.Invariant($"{wrong.Label}: found {wrong.Mean:0.###} W, expected 0 W to 1 GW"), source.Survey);
        }

        if (LaserPower.Drift([.. source.Stations.Select(s => s.Minute!.Value)], [.. power.Values.Select(v => v.Mean)], 0) is not { } drift)
        {
            return Without($"{power.Values.Length} readings whose mean is 0 W, expected at least two and a power", source.Survey);
        }

        var view = WorstValue.View(input, source, 0);
        // Half a coarse digit hides in every single reading, and leaves no quotient.
        var percent = 100 / drift.MeanW;
        var ofMean = view.Of(view.Sigma * percent, view.Digit / 2 * percent);
        ImmutableArray<Candidate> candidates =
            [.. power.Values.Select(v => new Candidate(v.Label, "departure from the mean", Math.Abs(PercentOf(v)), [], [.. source.CountedPasses], limit, true, ofMean))];
        var result = WorstValue.Of(
            input, candidates, "%", source.Survey,
            [
                new Figure("readings", drift.Readings, "1"), new Figure("mean", drift.MeanW, "W"), new Figure("standard deviation", drift.StandardDeviationW, "W"),
                new Figure("relative fluctuation, 2 s", 200 * drift.StandardDeviationW / drift.MeanW, "%"),
            ],
            signed: false, noAgain: "find what moved the power (coolant, warm-up, window), record that work, and take the log anew",
            rework: minute => $"Compare the log of the power with that of the coolant about {minute}; look at the protective window with the laser off and locked. Record that work, warm up, and take the log anew.");
        return result with { Deviations = [.. power.Values.Select(v => new Deviation(v.Label, PercentOf(v)))] };

        double PercentOf(MeasuredValue value) => 100 * (value.Mean - drift.MeanW) / drift.MeanW;
    }

    private static EvaluationResult Without(string because, string survey) =>
        EvaluationResult.Without(ResultState.Incomplete, "%", because, new NextAction(NextKind.Record, $"Correct the readings of survey {survey}, or take the log anew.", []));
}
