using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Planning;

internal sealed class PlannedPlane(PlanFrame frame, PlaneReference reference) : PlannedZone
{
    public override int Readings => frame.U.Length;

    public override double Spread { get; } = ZoneNoise.PairFactor(frame);

    internal override Func<double[], double> Worker() => OfHeights(frame, reference);

    private protected override IEnumerable<(double Along, double Across, int FromEnd)> Frame() => OfStations(frame);

    internal static Func<double[], double> OfHeights(PlanFrame frame, PlaneReference reference)
    {
        if (reference == PlaneReference.LeastSquares)
            return heights => ZoneNoise.LeastSquaresRange(frame, heights);
        var zone = new VerticalZone();
        var rest = new double[frame.U.Length];
        return heights =>
        {
            heights.CopyTo(rest, 0);
            frame.Level(rest);
            zone.Solve(frame.U, frame.W, rest);
            return zone.Width;
        };
    }

    internal static IEnumerable<(double Along, double Across, int FromEnd)> OfStations(PlanFrame frame)
    {
        double u = frame.U.Max(Math.Abs), w = frame.W.Max(Math.Abs);
        return frame.U.Select((x, i) => (x / u, frame.W[i] / w, Math.Min(i, frame.U.Length - 1 - i)));
    }
}

internal sealed class PlannedSums : PlannedZone
{
    private readonly ImmutableArray<SumLine> _lines;

    public PlannedSums(ImmutableArray<SumLine> lines)
    {
        SumsReach.Check(lines);
        (_lines, Spread, Readings) = (lines, lines.Max(SumsReach.LargestLength), lines.Sum(l => l.Readings));
    }

    public override int Readings { get; }

    public override double Spread { get; }

    internal override Func<double[], double> Worker() => readings =>
    {
        double largest = 0;
        var from = 0;
        foreach (var line in _lines)
        {
            var own = readings.AsSpan(from, line.Readings);
            foreach (var group in line.Groups)
                largest = Math.Max(largest, SumsReach.Of(group, own).Value);
            from += line.Readings;
        }

        return largest;
    };

    private protected override IEnumerable<(double Along, double Across, int FromEnd)> Frame() => AlongLines([.. _lines.Select(l => l.Readings)]);

    internal static IEnumerable<(double Along, double Across, int FromEnd)> AlongLines(int[] readings) =>
        readings.SelectMany((count, l) => Enumerable.Range(0, count)
            .Select(i => (Fraction(i, count), Fraction(l, readings.Length), Math.Min(i, count - 1 - i))));

    private static double Fraction(int index, int count) => count == 1 ? 1 : (2.0 * index / (count - 1)) - 1;
}

/// <summary>Largest minimum zone of stretches. Its spread is that of the residuals of least squares, whose differences its weights are means of.</summary>
internal sealed class PlannedLineZones : PlannedZone
{
    private readonly ImmutableArray<PlannedStretches> _lines;

    public PlannedLineZones(ImmutableArray<PlannedStretches> lines)
    {
        if (lines.IsDefaultOrEmpty || lines.Any(l => l.Stretches.IsDefaultOrEmpty))
            throw new ArgumentException("There is no stretch to be judged.", nameof(lines));
        if (lines.SelectMany(l => l.Stretches).Any(s => s.To - s.From < 2))
            throw new ArgumentException("A stretch has fewer than three stations; straightness needs three.", nameof(lines));
        _lines = lines;
        ImmutableArray<SumLine> sums = [.. lines.Select(l => new SumLine(l.Rows[0].Length, [.. l.Stretches.Select(s => new SumGroup(
            LineRows.FromLeastSquares(l.PositionsMm.AsSpan()[s.From..(s.To + 1)], l.Rows[s.From..(s.To + 1)]), Range: true))]))];
        SumsReach.Check(sums);
        (Spread, Readings) = (sums.Max(SumsReach.LargestLength), sums.Sum(l => l.Readings));
    }

    public override int Readings { get; }

    public override double Spread { get; }

    internal override Func<double[], double> Worker()
    {
        var heights = _lines.Select(l => new double[l.Rows.Length]).ToArray();
        var stretches = _lines.Select(l => l.Stretches.Select(s => Zone(l.PositionsMm.AsSpan()[s.From..(s.To + 1)], s.From)).ToArray()).ToArray();
        return readings =>
        {
            double largest = 0;
            var from = 0;
            for (var l = 0; l < heights.Length; l++)
            {
                var count = _lines[l].Rows[0].Length;
                for (var i = 0; i < heights[l].Length; i++)
                    heights[l][i] = SumsReach.Dot(_lines[l].Rows[i].AsSpan(), readings.AsSpan(from, count));
                foreach (var stretch in stretches[l])
                    largest = Math.Max(largest, stretch(heights[l]));
                from += count;
            }

            return largest;
        };
    }

    private static Func<double[], double> Zone(ReadOnlySpan<double> positionsMm, int first)
    {
        if (positionsMm.Length == 3)
        {
            // The middle station against the line of the ends: the zone of three is that alone.
            var share = (positionsMm[1] - positionsMm[0]) / (positionsMm[2] - positionsMm[0]);
            return heights => Math.Abs(heights[first + 1] - ((1 - share) * heights[first]) - (share * heights[first + 2]));
        }

        var frame = LineReach.Layout(positionsMm);
        var zone = new VerticalZone();
        var rest = new double[positionsMm.Length];
        return heights =>
        {
            heights.AsSpan(first, rest.Length).CopyTo(rest);
            frame.Level(rest);
            zone.Solve(frame.U, frame.W, rest);
            return zone.Width;
        };
    }

    private protected override IEnumerable<(double Along, double Across, int FromEnd)> Frame() =>
        PlannedSums.AlongLines([.. _lines.Select(l => l.Rows[0].Length)]);
}
