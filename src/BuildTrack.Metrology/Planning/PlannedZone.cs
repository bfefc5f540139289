using System.Collections.Immutable;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Planning;

/// <summary>A true form of the part, as readings without noise whose result is 1.</summary>
/// <param name="Name">In words: bow, wave, one place alone.</param>
/// <param name="Readings">One for each place, unit of a reading over unit of the result.</param>
public sealed record PlannedShape(string Name, ImmutableArray<double> Readings);

/// <summary>What a planned measurement would calculate: a result that never falls when the true form grows, from independent readings of one σ.</summary>
/// <remarks>Method: docs/method/planning.md. Every kind is convex in the readings, and as large for a form as for the form turned over.</remarks>
public abstract class PlannedZone
{
    private protected const ulong RoughSeed = 0xB011D72AC4000050;

    private protected PlannedZone()
    {
    }

    /// <summary>How many readings one pass takes, a whole number, dimensionless.</summary>
    public abstract int Readings { get; }

    /// <summary>s for σ = 1: largest standard deviation that noise gives to a weighted sum of the result; unit of the result over unit of a reading.</summary>
    public abstract double Spread { get; }

    /// <summary>The true forms that the plan is tried on; the last ones make every place a contact and every place another.</summary>
    public ImmutableArray<PlannedShape> Shapes => field.IsDefault ? field = Tried() : field;

    /// <summary>The result of readings, by a worker of its own: it keeps scratch memory and serves one thread.</summary>
    internal abstract Func<double[], double> Worker();

    /// <summary>Every reading's place as fractions from −1 to 1, and how many places it is from the nearer end of its line or set: what the forms are
    /// drawn over.</summary>
    private protected abstract IEnumerable<(double Along, double Across, int FromEnd)> Frame();

    /// <summary>The zone of stations about a plane, one height each.</summary>
    /// <param name="xMm">Stations, x in mm; four or more, not on one line in plan.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="reference">The plane of the requirement.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, or the layout cannot decide.</exception>
    public static PlannedZone Plane(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, PlaneReference reference) =>
        new PlannedPlane(PlaneReach.Layout(xMm, yMm), reference);

    /// <summary>The largest of weighted sums of readings: what is measured along lines.</summary>
    /// <param name="lines">Lines with their groups.</param>
    /// <exception cref="ArgumentException">No line, no row, rows of another length than the line has readings, NaN or infinity.</exception>
    public static PlannedZone Sums(ImmutableArray<SumLine> lines) => new PlannedSums(lines);

    /// <summary>The largest minimum zone about a line over stretches of lines.</summary>
    /// <param name="lines">Lines with their stations, and the stretches judged.</param>
    /// <exception cref="ArgumentException">No line, no stretch, a stretch of fewer than three stations, NaN or infinity.</exception>
    public static PlannedZone LineZones(ImmutableArray<PlannedStretches> lines) => new PlannedLineZones(lines);

    /// <summary>The zone about a plane of stations whose heights come from the rises of a net.</summary>
    /// <param name="xMm">Stations, x in mm; four or more, not on one line in plan.</param>
    /// <param name="yMm">Stations, y in mm.</param>
    /// <param name="reference">The plane of the requirement.</param>
    /// <param name="heights">Heights of the stations from readings after the adjustment of the net: one row for each station, µm over the unit of a
    /// reading.</param>
    /// <param name="rises">What each reading reads.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, rows of another length than there are rises, a station that is not there, or a
    /// layout that cannot decide.</exception>
    public static PlannedZone Network(
        ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, PlaneReference reference, ImmutableArray<ImmutableArray<double>> heights,
        ImmutableArray<PlannedRise> rises) => new PlannedNetwork(PlaneReach.Layout(xMm, yMm), reference, heights, rises);

    /// <summary>A figure of ISO 230-2 over the targets of an axis, from all runs in both directions.</summary>
    /// <param name="targets">Targets, two or more, a whole number, dimensionless.</param>
    /// <param name="runs">Runs in each direction, one or more; two or more for a figure with a spread. A whole number, dimensionless.</param>
    /// <param name="figure">The figure.</param>
    /// <exception cref="ArgumentOutOfRangeException">Fewer than two targets, no run, one run for a figure with a spread, an unknown figure.</exception>
    public static PlannedZone Positioning(int targets, int runs, PositioningFigure figure) => new PlannedPositioning(targets, runs, figure);

    /// <summary>What one place of <see cref="Frame"/> after the other gives to the readings of one pass: a place is a reading unless said otherwise.</summary>
    private protected virtual double[] ReadingsOf(double[] places) => places;

    /// <summary>The forms over the places of the frame, with their names.</summary>
    private protected virtual IEnumerable<(string Name, double[] Places)> Forms()
    {
        (double Along, double Across, int FromEnd)[] frame = [.. Frame()];
        var rough = new SeededSource(RoughSeed);
        var middle = frame.Length / 2;
        (string Name, Func<int, double> At)[] forms =
        [
            ("bow", i => frame[i].Along * frame[i].Along),
            ("wave", i => frame[i].Along * ((frame[i].Along * frame[i].Along) - 0.6)),
            ("twist", i => frame[i].Along * frame[i].Across),
            ("ramp", i => frame[i].Along),
            ("one place alone", i => i == middle ? 1 : 0),
            // Even about the middle: it has no slope that a reference would take out, so every place is a contact.
            ("up and down from place to place", i => frame[i].FromEnd % 2 == 0 ? 1 : -1),
            ("rough", _ => rough.NextNormal()),
        ];
        return forms.Select(f => (f.Name, (double[])[.. Enumerable.Range(0, frame.Length).Select(f.At)]));
    }

    private ImmutableArray<PlannedShape> Tried()
    {
        var result = Worker();
        var shapes = ImmutableArray.CreateBuilder<PlannedShape>();
        foreach (var (name, places) in Forms())
        {
            var readings = ReadingsOf(places);
            var size = result(readings);
            // A form that the result does not see (a ramp of heights) is none.
            if (size > 1e-6 * Spread * readings.Max(Math.Abs))
                shapes.Add(new PlannedShape(name, [.. readings.Select(r => r / size)]));
        }

        return shapes.ToImmutable();
    }
}

/// <summary>Stations of one line with the stretches that are judged.</summary>
/// <param name="PositionsMm">Stations in rising order, mm.</param>
/// <param name="Rows">Heights of the stations from readings: one row for each, µm over the unit of a reading.</param>
/// <param name="Stretches">First and last station of each stretch, indices, dimensionless.</param>
public sealed record PlannedStretches(
    ImmutableArray<double> PositionsMm, ImmutableArray<ImmutableArray<double>> Rows, ImmutableArray<(int From, int To)> Stretches);

/// <summary>A reading of a net: the rise from one station to another.</summary>
/// <param name="From">Index of the station it rises from, dimensionless.</param>
/// <param name="To">Index of the station it rises to, dimensionless.</param>
/// <param name="Factor">Rise of one unit of the reading, µm over the unit of a reading: 1 for heights, the distance in m for slopes.</param>
public readonly record struct PlannedRise(int From, int To, double Factor);
