using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Circular;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Circular deviation of two axes that move together, after ISO 230-4: of both ways round, or the larger of one way.</summary>
/// <remarks>
/// Method: docs/method/circular.md. A figure is the difference of two readings, of all pairs the largest: the pair that is truly farthest apart is
/// read too close by its own noise alone, while among all pairs the noisiest is chosen. The length of the instrument goes out with the radius.
/// </remarks>
public sealed class CircularEvaluator : IEvaluator
{
    public const string Name = "circular";

    private const string BothWays = "bidirectional-Gb";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("clockwise", ["radius"]), new EvaluatorSource("counter", ["radius"])];

    public ImmutableArray<string> References { get; } = [BothWays, "circular-G"];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm";

    public LayoutShape? Needs => LayoutShape.Circle;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: circular needs an upper limit.")).Calculated;
        var (clockwise, counter) = (MeasuredValues.Of(input, "clockwise"), MeasuredValues.Of(input, "counter"));
        if (MeasuredValues.Lacking(input, "µm", clockwise, counter) is { } lacking)
        {
            return lacking;
        }

        var source = clockwise.Values[0].Source;
        var (readings, radius) = Path(clockwise, counter);
        if (readings.FirstOrDefault(r => Math.Abs(r.RadiusDeviationUm) > CircularCalculation.LargestPart * radius * 1000) is { RadiusDeviationUm: not 0 } far)
        {
            return Without(FormattableString.Invariant($"found a deviation of {far.RadiusDeviationUm / 1000:0.###} mm at {far.AngleDeg:0.###}°, expected at most {CircularCalculation.LargestPart * 100:0} % of the radius {radius:0.###} mm"), source.Survey);
        }

        var test = CircularCalculation.Of(readings, radius);
        if (test.Figures is not { BidirectionalUm: { } both } figures)
        {
            return Without(test.DefectSentence ?? "both ways round are needed", source.Survey);
        }

        var (one, other) = (test.Clockwise!, test.CounterClockwise!);
        var judged = input.Reference == BothWays ? both : Math.Max(one.CircularUm, other.CircularUm);
        var view = WorstValue.View(input, source, 0);
        var ofDifference = view.Of(Math.Sqrt(2) * view.Sigma, view.Digit);
        var result = WorstValue.Of(
            input, [new Candidate("whole", input.Reference == BothWays ? "circular deviation of both ways round G(b)" : "circular deviation G, the larger of both ways round", judged, [], [], limit, true, ofDifference)],
            "µm", source.Survey,
            [
                new Figure("G clockwise", one.CircularUm, "µm"), new Figure("G counter-clockwise", other.CircularUm, "µm"), new Figure("G of both ways round", both, "µm"),
                new Figure("F largest", figures.RadialMaxUm, "µm"), new Figure("F least", figures.RadialMinUm, "µm"),
                .. figures.SquarenessUmPerM is { } square ? [new Figure("axes from square, plus where the angle is below 90°", square, "µm/m")] : Array.Empty<Figure>(),
                .. figures.ScaleMismatchUm is { } scale ? [new Figure("radius along X less that along Y", scale, "µm")] : Array.Empty<Figure>(),
            ],
            noAgain: "look at the picture (an ellipse at 45°: squareness; along an axis: scale; jumps where an axis turns: backlash), put that right, record the work, and run both ways anew",
            among: readings.Length * (readings.Length - 1));
        var at = readings.ToLookup(r => r.AngleDeg, r => CircularCalculation.FromCentreUm(r, radius, figures.CentreXUm, figures.CentreYUm));
        return result with { Deviations = [.. source.Stations.Select(s => new Deviation(s.Id, at[s.Degrees!.Value].Average()))] };
    }

    /// <summary>What the figures are calculated from: the mean of the counted passes at every place, both ways round, and the nominal radius in mm.</summary>
    public static (ImmutableArray<CircularReading> Readings, double RadiusMm) PathOf(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        return Path(MeasuredValues.Of(input, "clockwise"), MeasuredValues.Of(input, "counter"));
    }

    private static (ImmutableArray<CircularReading> Readings, double RadiusMm) Path(MeasuredValues clockwise, MeasuredValues counter)
    {
        var stations = clockwise.Values[0].Source.Stations;
        var at = stations.ToDictionary(s => s.Id, s => s.Degrees!.Value, StringComparer.Ordinal);

        // The first place of a path lies on +X.
        return ([.. Of(clockwise, ContouringSense.Clockwise), .. Of(counter, ContouringSense.CounterClockwise)], stations.Max(s => s.XMm));

        IEnumerable<CircularReading> Of(MeasuredValues values, ContouringSense sense) => values.Values.Select(v => new CircularReading(at[v.Place], v.Mean, sense));
    }

    private static EvaluationResult Without(string because, string survey) =>
        EvaluationResult.Without(ResultState.Incomplete, "µm", because, new NextAction(NextKind.Record, $"Correct the readings of survey {survey}, or run both ways anew.", []));
}
