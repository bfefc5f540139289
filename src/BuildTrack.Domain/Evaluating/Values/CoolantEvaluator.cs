using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Commissioning;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>How far the coolant stands above the dew point of the room: below it, water settles on optics and in the cabinet.</summary>
/// <remarks>Method: docs/method/commissioning.md, section 5.</remarks>
public sealed class CoolantEvaluator : IEvaluator
{
    public string Kind => "above-dew-point";

    public ImmutableArray<EvaluatorSource> Sources { get; } =
    [
        new EvaluatorSource("air", ["temperature"], [PlaceKind.Whole]), new EvaluatorSource("humidity", ["humidity"], [PlaceKind.Whole]),
        new EvaluatorSource("coolant", ["temperature"], [PlaceKind.Whole]),
    ];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Lower;

    public string? Unit => "K";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Lower ?? throw new ArgumentException($"{input.Characteristic.Line}: above-dew-point needs a lower limit in K.")).Calculated;
        var (air, humidity, coolant) = (MeasuredValues.Of(input, "air"), MeasuredValues.Of(input, "humidity"), MeasuredValues.Of(input, "coolant"));
        if (MeasuredValues.Lacking(input, "K", air, humidity, coolant) is { } lacking)
        {
            return lacking;
        }

        var (room, moist, set) = (air.Values[0], humidity.Values[0], coolant.Values[0]);
        if (!(room.Mean is >= DewPoint.ColdestCelsius and <= DewPoint.WarmestCelsius && moist.Mean is >= 1 and <= 100 && set.Mean is > -40 and < 90))
        {
            return EvaluationResult.Without(
                ResultState.Incomplete, "K",
                FormattableString.Invariant($"found air of {room.Mean:0.#} °C and {moist.Mean:0.#} % with a coolant of {set.Mean:0.#} °C, expected air of -45 to 60 °C, 1 to 100 % and a coolant of -40 to 90 °C"),
                new NextAction(NextKind.Record, $"Correct the figures of survey {room.Source.Survey}.", []));
        }

        var (ofRoom, ofMoist, ofSet) = (WorstValue.View(input, room.Source, 0), WorstValue.View(input, moist.Source, 0), WorstValue.View(input, set.Source, 0));
        var found = DewPoint.Of(
            Temperature.FromDegreesCelsius(room.Mean), moist.Mean, Temperature.FromDegreesCelsius(set.Mean), limit, ofRoom.Expanded / ofRoom.K, ofMoist.Expanded / ofMoist.K);
        var ofCoolant = ofSet.Expanded / ofSet.K;
        var view = RegisterView.Worst([ofRoom, ofMoist, ofSet]).Of(Math.Sqrt((found.StandardUncertaintyK * found.StandardUncertaintyK) + (ofCoolant * ofCoolant)), 0);
        return WorstValue.Of(
            input, [new Candidate("whole", "coolant above the dew point", found.MarginK!.Value, [], [], limit, false, view)], "K", room.Source.Survey,
            [new Figure("dew point", found.DewPoint.DegreesCelsius, "°C"), new Figure("coolant", set.Mean, "°C")],
            noAgain: "raise the coolant within what the source allows, or dry the air; then measure all three anew");
    }
}
