using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Planning;

/// <summary>The zone of heights that a net of rises gives. The forms are true heights: their rises close every loop.</summary>
internal sealed class PlannedNetwork : PlannedZone
{
    private readonly PlanFrame _frame;
    private readonly PlaneReference _reference;
    private readonly ImmutableArray<ImmutableArray<double>> _heights;
    private readonly ImmutableArray<PlannedRise> _rises;

    public PlannedNetwork(
        PlanFrame frame, PlaneReference reference, ImmutableArray<ImmutableArray<double>> heights, ImmutableArray<PlannedRise> rises)
    {
        var stations = frame.U.Length;
        Guard.SameLength(heights.IsDefault ? 0 : heights.Length, nameof(heights), stations, "stations");
        foreach (var row in heights)
        {
            Guard.SameLength(row.Length, nameof(heights), rises.Length, nameof(rises));
            Guard.Finite(row.AsSpan(), nameof(heights));
        }

        foreach (var rise in rises)
        {
            Guard.FinitePositive(rise.Factor, nameof(rises));
            if (rise.From < 0 || rise.To < 0 || rise.From >= stations || rise.To >= stations || rise.From == rise.To)
                throw new ArgumentException("A rise does not lead from one of the stations to another.", nameof(rises));
        }

        (_frame, _reference, _heights, _rises) = (frame, reference, heights, rises);
        Spread = SumsReach.LargestLength(new SumLine(rises.Length, [new SumGroup(Deviations(), Range: true)]));
    }

    public override int Readings => _rises.Length;

    /// <summary>Of the range of the deviations from the plane of least squares, which is never less than that of the minimum zone.</summary>
    public override double Spread { get; }

    internal override Func<double[], double> Worker()
    {
        var ofHeights = PlannedPlane.OfHeights(_frame, _reference);
        var heights = new double[_heights.Length];
        return readings =>
        {
            for (var i = 0; i < heights.Length; i++)
                heights[i] = SumsReach.Dot(_heights[i].AsSpan(), readings);
            return ofHeights(heights);
        };
    }

    private protected override IEnumerable<(double Along, double Across, int FromEnd)> Frame() => PlannedPlane.OfStations(_frame);

    private protected override double[] ReadingsOf(double[] places) => [.. _rises.Select(r => (places[r.To] - places[r.From]) / r.Factor)];

    private ImmutableArray<ImmutableArray<double>> Deviations()
    {
        var columns = new double[_rises.Length][];
        for (var k = 0; k < columns.Length; k++)
        {
            columns[k] = [.. _heights.Select(r => r[k])];
            _frame.Level(columns[k]);
        }

        return [.. _heights.Select((_, i) => ImmutableArray.Create([.. columns.Select(c => c[i])]))];
    }
}
