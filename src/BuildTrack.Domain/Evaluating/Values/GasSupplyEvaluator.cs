using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Commissioning;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>
/// The gate before witnessed cuts: the stock against the gas of all cuts, or the vaporiser against the largest flow.
/// An interrupted cut is a failed sample.
/// </summary>
/// <remarks>
/// Method: docs/method/commissioning.md, sections 6 and 7. The flow of a cut is calculated from its nozzle and pressure;
/// nitrogen at 20 °C. The factors for pierces, repeats and continuous use are the limits.
/// </remarks>
public sealed class GasSupplyEvaluator : IEvaluator
{
    private static readonly Temperature Warm = Temperature.FromDegreesCelsius(20);

    private const string MoreGas =
        "Do not begin the witnessed cuts: the gas may end. Have more delivered or agree on fewer cuts; record the change, then state the figures anew.";

    private const string MoreFlow =
        "Do not begin the witnessed cuts: the vaporiser may freeze. "
        + "Use a larger or a second one, or agree on a cut with less flow; record the change, then state the figures anew.";

    public string Kind => "gas-supply";

    public ImmutableArray<EvaluatorSource> Sources { get; } =
    [
        new EvaluatorSource("nozzle", ["length"], [PlaceKind.Whole]), new EvaluatorSource("pressure", ["pressure"], [PlaceKind.Whole]),
        new EvaluatorSource("minutes", ["time"], [PlaceKind.Whole]),
        new EvaluatorSource("supply", ["gas-volume", "gas-flow"], [PlaceKind.Whole]),
    ];

    /// <summary>Which of the two a characteristic asks for; always named with the limit.</summary>
    public ImmutableArray<string> References { get; } = ["stock", "vaporiser"];

    public LimitSide Limit => LimitSide.Lower;

    public string? Unit => "%";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Lower ?? throw new ArgumentException($"{input.Characteristic.Line}: gas-supply needs a lower limit in %.")).Calculated;
        var (nozzle, pressure) = (MeasuredValues.Of(input, "nozzle"), MeasuredValues.Of(input, "pressure"));
        var (minutes, supply) = (MeasuredValues.Of(input, "minutes"), MeasuredValues.Of(input, "supply"));
        if (MeasuredValues.Lacking(input, "%", nozzle, pressure, minutes, supply) is { } lacking)
        {
            return lacking;
        }

        var source = minutes.Values[0].Source;
        var cuts = minutes.Values.Select(m => (m.Label, Minutes: m.Mean, NozzleMm: nozzle.At(m.Label).Mean / 1000, Bar: pressure.At(m.Label).Mean)).ToArray();
        var impossible = cuts.FirstOrDefault(c =>
            !(c.Minutes is > 0 and <= GasSupply.Largest && c.NozzleMm is > 0 and <= NozzleFlow.WidestMm && c.Bar is > 0 and <= NozzleFlow.HighestBar));
        if (impossible is { Label: { } bad } cut)
        {
            return Refused(
                FormattableString.Invariant($"{bad}: found {cut.Minutes:0.##} min through a nozzle of {cut.NozzleMm:0.##} mm at {cut.Bar:0.##} bar, expected ")
                + FormattableString.Invariant($"minutes above 0, a nozzle above 0 up to {NozzleFlow.WidestMm:0} mm and ")
                + FormattableString.Invariant($"a pressure above 0 up to {NozzleFlow.HighestBar:0} bar"));
        }

        if (supply.Values[0].Mean is not (>= 0 and <= GasSupply.Largest and var there))
        {
            return Refused(FormattableString.Invariant($"found {supply.Values[0].Mean:0.##} as what the plant gives, expected 0 or more"));
        }

        var flows = cuts.Select(c => NozzleFlow.Of(CuttingGas.Nitrogen, c.NozzleMm, c.Bar, Warm, 0.85).NormalCubicMetresPerHour).ToArray();
        var need = GasSupply.Of([.. cuts.Select((c, i) => new PlannedCut(c.Minutes, flows[i]))], new GasPlant(there, null, 1, 1, 1));
        var stock = input.Reference == "stock";
        var value = 100 * there / (stock ? need.NeedNm3 : need.PeakNm3PerHour);
        var largest = cuts[Array.IndexOf(flows, flows.Max())].Label;
        var what = stock
            ? FormattableString.Invariant($"stock of {there:0.#} Nm³ for the {need.NeedNm3:0.0} Nm³ of all cuts:")
            : FormattableString.Invariant($"vaporiser of {there:0.#} Nm³/h for the largest flow, {need.PeakNm3PerHour:0.0} Nm³/h ({largest}):");
        return WorstValue.Of(
            input, [new Candidate("whole", what, value, [], [], limit, false, WorstValue.View(input, source, 0))], "%", source.Survey,
            [
                new Figure("gas of all cuts", need.NeedNm3, "Nm³"), new Figure("largest flow", need.PeakNm3PerHour, "Nm³/h"),
                new Figure("longest cut without a break", need.LongestCutMinutes, "min"),
            ],
            noAgain: "the plant is given more gas or another vaporiser, or a cut is set up with less; record that, and state the figures anew",
            rework: _ => stock ? MoreGas : MoreFlow);

        EvaluationResult Refused(string why) =>
            EvaluationResult.Without(ResultState.Incomplete, "%", why, new NextAction(NextKind.Record, $"Correct the figures of survey {source.Survey}.", []));
    }
}
