using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Positioning;

namespace BuildTrack.Metrology.Planning;

/// <summary>A figure of ISO 230-2 as a function of the readings of all runs: every figure is convex in them, and the same for readings turned over.</summary>
/// <remarks>A mean is a sum and s a length, so that E, M and B are largest sums, and R and A largest sums of lengths. One reading after the other: target by
/// target, at each the runs forward and then the runs backward.</remarks>
internal sealed class PlannedPositioning : PlannedZone
{
    private readonly int _targets, _runs;
    private readonly PositioningFigure _figure;

    public PlannedPositioning(int targets, int runs, PositioningFigure figure)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(targets, 2);
        ArgumentOutOfRangeException.ThrowIfLessThan(runs, figure is PositioningFigure.AccuracyA or PositioningFigure.RepeatabilityR ? 2 : 1);
        (_targets, _runs, _figure) = (targets, runs, figure);
        Spread = SpreadOf(runs, figure);
    }

    public override int Readings => 2 * _targets * _runs;

    public override double Spread { get; }

    /// <summary>Largest length of a gradient: 1/√n for a mean, 1/√(n − 1) for s, at right angles to each other.</summary>
    private static double SpreadOf(int n, PositioningFigure figure) => figure switch
    {
        // Of two means, of two means of both directions.
        PositioningFigure.SystematicE or PositioningFigure.ReversalB => Math.Sqrt(2.0 / n),
        PositioningFigure.MeanRangeM => Math.Sqrt(1.0 / n),

        // 2 s and 2 s with a reversal between them, or 4 s; ends of the band at two places, or at one.
        PositioningFigure.RepeatabilityR => Math.Sqrt(Math.Max((8.0 / (n - 1)) + (2.0 / n), 16.0 / (n - 1))),
        PositioningFigure.AccuracyA => Math.Sqrt(Math.Max(2 * ((1.0 / n) + (4.0 / (n - 1))), 16.0 / (n - 1))),
        _ => throw new ArgumentOutOfRangeException(nameof(figure), figure, "Not a figure of positioning."),
    };

    internal override Func<double[], double> Worker() => readings =>
    {
        double result = 0, top = double.NegativeInfinity, bottom = double.PositiveInfinity;
        for (var t = 0; t < _targets; t++)
        {
            var (forward, backward) = (MeanAndSpread(readings, 2 * t), MeanAndSpread(readings, (2 * t) + 1));
            var reversal = Math.Abs(forward.Mean - backward.Mean);
            switch (_figure)
            {
                case PositioningFigure.ReversalB:
                    result = Math.Max(result, reversal);
                    break;
                case PositioningFigure.RepeatabilityR:
                    var alone = 4 * Math.Max(forward.Spread, backward.Spread);
                    result = Math.Max(result, Math.Max((2 * forward.Spread) + (2 * backward.Spread) + reversal, alone));
                    break;
                case PositioningFigure.MeanRangeM:
                    var mean = (forward.Mean + backward.Mean) / 2;
                    (top, bottom) = (Math.Max(top, mean), Math.Min(bottom, mean));
                    break;
                default:
                    var spread = _figure == PositioningFigure.AccuracyA ? 2 : 0;
                    top = Math.Max(top, Math.Max(forward.Mean + (spread * forward.Spread), backward.Mean + (spread * backward.Spread)));
                    bottom = Math.Min(bottom, Math.Min(forward.Mean - (spread * forward.Spread), backward.Mean - (spread * backward.Spread)));
                    break;
            }
        }

        return _figure is PositioningFigure.ReversalB or PositioningFigure.RepeatabilityR ? result : top - bottom;
    };

    private protected override IEnumerable<(double Along, double Across, int FromEnd)> Frame() =>
        from t in Enumerable.Range(0, _targets)
        from direction in (int[])[1, -1]
        from run in Enumerable.Range(0, _runs)
        select ((2.0 * t / (_targets - 1)) - 1, (double)direction, Math.Min(t, _targets - 1 - t));

    private protected override IEnumerable<(string Name, double[] Places)> Forms()
    {
        var rough = new SeededSource(RoughSeed);
        (double Along, double Direction, int FromEnd)[] frame = [.. Frame()];
        int middle = _targets / 2, each = 2 * _runs;

        // Runs in turn above and below their mean; of an odd number the last stands on it.
        double Scatter(int i) => i % _runs == _runs - 1 && _runs % 2 == 1 ? 0 : i % _runs % 2 == 0 ? 1 : -1;
        double UpAndDown(int i) => i / each % 2 == 0 ? 1 : -1;
        (string Name, Func<int, double> At)[] forms =
        [
            ("steady growth along the axis", i => frame[i].Along),
            ("wave", i => frame[i].Along * ((frame[i].Along * frame[i].Along) - 0.6)),
            ("one target alone", i => i / each == middle ? 1 : 0),
            ("up and down from target to target", UpAndDown),
            ("reversal at every target", i => frame[i].Direction),
            ("reversal at one target", i => i / each == middle ? frame[i].Direction : 0),
            ("scatter of the runs at every target", Scatter),
            ("scatter of the runs at one target", i => i / each == middle ? Scatter(i) : 0),
            ("reversal and scatter at every target", i => frame[i].Direction + Scatter(i)),
            ("up and down with scatter", i => UpAndDown(i) + Scatter(i)),
            ("rough", _ => rough.NextNormal()),
        ];
        return forms.Select(f => (f.Name, (double[])[.. Enumerable.Range(0, frame.Length).Select(f.At)]));
    }

    private (double Mean, double Spread) MeanAndSpread(double[] readings, int group)
    {
        var own = readings.AsSpan(group * _runs, _runs);
        double mean = 0, squares = 0;
        foreach (var reading in own)
            mean += reading;
        mean /= _runs;
        foreach (var reading in own)
            squares += (reading - mean) * (reading - mean);
        return (mean, _runs == 1 ? 0 : Math.Sqrt(squares / (_runs - 1)));
    }
}
