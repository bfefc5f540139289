using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Squareness;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Squareness of the gantry from both diagonals and all four sides of a rectangle that the axes themselves marked.</summary>
/// <remarks>Method: docs/method/squareness.md.</remarks>
public sealed class DiagonalsEvaluator : IEvaluator, IPlanned
{
    // First diagonal from the start corner, second, side along X at the start, side along Y at the start, and the two far ones.
    internal static readonly ImmutableArray<string> Names = ["d1", "d2", "x1", "y1", "x2", "y2"];

    /// <summary>Step of the numeric slopes, in mm: far above rounding, far below curvature.</summary>
    private const double StepMm = 0.01;

    /// <summary>Part of the gauge that a gantry's head reaches across at the least, dimensionless; common practice, no source.</summary>
    private const double ReachOfGauge = 0.8;

    public const string Name = "diagonals";

    /// <summary>Name of the figure that tells the angle with its sign.</summary>
    internal const string AngleFigure = "angle, +X toward +Y";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } =
        [.. Names.Select(n => new EvaluatorSource(n, ["length"], [PlaceKind.Whole])), new EvaluatorSource("gauge", ["gauge"], Kind: SourceKind.Figure, Optional: true)];

    public ImmutableArray<string> References { get; } = [];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm/m";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: diagonals need an upper limit.");
        var all = Names.Select(n => MeasuredValues.Of(input, n)).ToArray();
        if (MeasuredValues.Lacking(input, "µm/m", all) is { } lacking)
        {
            return lacking;
        }

        double[] lengths = [.. all.Select(v => v.Values[0].Mean / 1000)];
        var source = all[0].Values[0].Source;
        if (Angle(lengths) is not { Angle: { } angle } found)
        {
            var why = Angle(lengths).DefectSentence ?? "the lengths close to no quadrilateral";
            return EvaluationResult.Without(ResultState.Incomplete, "µm/m", why, new NextAction(NextKind.AddPass, "Set this run aside and measure the six lengths anew.", []));
        }

        var view = View(input, source, lengths);
        var passes = Enumerable.Range(0, source.CountedPasses.Count())
            .Select(p => Angle([.. all.Select(v => v.Values[0].Passes[p] / 1000)]).Angle).ToArray();
        return WorstValue.Of(
            input,
            [
                new Candidate(
                    "whole", "departure from square", Math.Abs(angle.AngleUmPerM), passes.All(p => p is not null) ? [.. passes.Select(p => p!.AngleUmPerM * Math.Sign(angle.AngleUmPerM))] : [],
                    [.. source.CountedPasses], limit.Calculated, true, view),
            ],
            "µm/m", source.Survey,
            [
                new Figure(AngleFigure, angle.AngleUmPerM, "µm/m"),
                .. input.Sources.TryGetValue("gauge", out var gauge) ? [new Figure("drive offset at the gauge", angle.DriveOffsetUm(gauge.Figure!.Micrometres / 1000), "µm")] : Array.Empty<Figure>(),
                .. found.ClosureMm is { } closure ? [new Figure("closure of the six lengths", closure * 1000, "µm")] : Array.Empty<Figure>(),
            ],
            signed: false);
    }

    // The corners of what the gantry can mark: its travel, and as much of the gauge as its head is sure to reach.
    double IPlanned.StandIn(string source, MachineModel model, Requirement requirement)
    {
        var (along, across) = RectangleMm(model);
        return 1000 * (source[0] == 'x' ? along : source[0] == 'y' ? across : Math.Sqrt((along * along) + (across * across)));
    }

    string? IPlanned.Granted(EvaluationInput input)
    {
        double Mm(string name) => MeasuredValues.Of(input, name).Values[0].Mean / 1000;
        return FormattableString.Invariant(
            $"Worked out for a rectangle of {Mm("x1"):0} × {Mm("y1"):0} mm: the travel along X and four fifths of the gauge. On a larger one U is smaller, on a smaller one larger.");
    }

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var values = Names.Select(n => MeasuredValues.Of(input, n).Values[0]).ToArray();
        var source = values[0].Source;
        return PlannedParts.OfUnsigned(source.PassesPlanned, View(input, source, [.. values.Select(v => v.Mean / 1000)]));
    }

    private static (double Along, double Across) RectangleMm(MachineModel model) => (model.TravelMm ?? model.SeatLengthMm, ReachOfGauge * model.GaugeMm);

    /// <summary>U, random and common part of the angle, µm/m, from those of a length.</summary>
    internal static RegisterView View(EvaluationInput input, SurveySource source, double[] lengths)
    {
        // How far each length turns the axis, by a small step of it; a common error of all lengths together turns it hardly at all.
        double squares = 0, together = 0, sizes = 0;
        for (var i = 0; i < lengths.Length; i++)
        {
            var slope = (Turned(lengths, i, StepMm) - Turned(lengths, i, -StepMm)) / (2 * StepMm);
            squares += slope * slope;
            together += slope;
            sizes += Math.Abs(slope);
        }

        var view = WorstValue.View(input, source, lengths.Max() * 1000);

        // Rounding of the six lengths is not one error of all of them: each may turn the axis the same way.
        return view.Of(Math.Sqrt(squares) * view.Sigma / 1000, ((Math.Abs(together) * (view.Common - (view.Digit / 2))) + (sizes * view.Digit / 2)) / 1000);
    }

    internal static DiagonalSquareness Angle(double[] mm) => SquarenessCalculation.OfQuadrilateral(new Quadrilateral(mm[0], mm[1], mm[2], mm[3], mm[4], mm[5]));

    private static double Turned(double[] mm, int index, double by)
    {
        double[] turned = [.. mm];
        turned[index] += by;
        return Angle(turned).Angle?.AngleUmPerM ?? throw new ArgumentException("A length was misread: a hundredth of a millimetre more leaves no quadrilateral.");
    }
}
