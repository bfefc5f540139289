using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Commissioning;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Unbalance of the supply: negative over positive sequence, from the three voltages between the lines.</summary>
/// <remarks>Method: docs/method/commissioning.md, section 11. All of the voltmeter's U counts for each reading, though a part that they share leaves the quotient: the safe side.</remarks>
public sealed class UnbalanceEvaluator : IEvaluator
{
    public string Kind => "voltage-unbalance";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [.. new[] { "first", "second", "third" }.Select(n => new EvaluatorSource(n, ["voltage"], [PlaceKind.Whole]))];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "%";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: voltage-unbalance needs an upper limit in %.")).Calculated;
        MeasuredValues[] all = [.. Sources.Select(s => MeasuredValues.Of(input, s.Name))];
        if (MeasuredValues.Lacking(input, "%", all) is { } lacking)
        {
            return lacking;
        }

        var (source, volts) = (all[0].Values[0].Source, all.Select(v => v.Values[0].Mean).ToArray());
        if (volts.Any(v => v is not (> 0 and <= VoltageUnbalance.HighestV)) || VoltageUnbalance.Percent(volts[0], volts[1], volts[2]) is not { } share)
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, "%",
                FormattableString.Invariant($"found {volts[0]:0.##} V, {volts[1]:0.##} V and {volts[2]:0.##} V, expected three voltages above 0, at most {VoltageUnbalance.HighestV:0} V, of which no one reaches the sum of the others"),
                new NextAction(NextKind.Record, $"Correct the figures of survey {source.Survey}.", []));
        }

        var meter = WorstValue.View(input, source, 0);
        var view = meter.Of(VoltageUnbalance.StandardUncertaintyPercent(volts[0], volts[1], volts[2], meter.Expanded / meter.K), 0);
        return WorstValue.Of(
            input, [new Candidate("whole", "unbalance of the supply", share, [], [.. source.CountedPasses], limit, true, view)], "%", source.Survey, [new Figure("mean voltage", volts.Average(), "V")],
            noAgain: "have a qualified electrician find what loads the phases unevenly, then measure all three anew");
    }
}
