using System.Collections.Immutable;

namespace BuildTrack.Metrology.Straightness;

/// <summary>The straightness of a line as weighted sums of its readings: what uncertainty it carries can then be said of it, whatever it was measured with.</summary>
/// <remarks>Method: docs/method/straightness.md. Each method gives one row of weights for each station.</remarks>
public static class LineRows
{
    /// <summary>Heights of the stations from rises of a stepped level: the first is nothing, each further one adds slope × step.</summary>
    /// <param name="positionsMm">Stations in rising order, mm.</param>
    /// <returns>µm per µm/m: one row for each station, one weight for each step.</returns>
    /// <exception cref="ArgumentException">Fewer than two stations, NaN, or stations that do not rise.</exception>
    public static ImmutableArray<ImmutableArray<double>> Steps(ReadOnlySpan<double> positionsMm)
    {
        Rising(positionsMm, 2);
        var rows = ImmutableArray.CreateBuilder<ImmutableArray<double>>(positionsMm.Length);
        var row = new double[positionsMm.Length - 1];
        rows.Add([.. row]);
        for (var i = 1; i < positionsMm.Length; i++)
        {
            row[i - 1] = (positionsMm[i] - positionsMm[i - 1]) / 1000;
            rows.Add([.. row]);
        }

        return rows.MoveToImmutable();
    }

    /// <summary>Heights that are the readings themselves.</summary>
    /// <param name="stations">How many there are, a whole number, dimensionless.</param>
    /// <exception cref="ArgumentOutOfRangeException">A negative number.</exception>
    public static ImmutableArray<ImmutableArray<double>> Themselves(int stations)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(stations);
        return [.. Enumerable.Range(0, stations).Select(i => ImmutableArray.Create([.. Enumerable.Range(0, stations).Select(k => k == i ? 1.0 : 0.0)]))];
    }

    /// <summary>Deviations from the line through the first and the last station.</summary>
    /// <param name="positionsMm">Stations in rising order, mm; three or more.</param>
    /// <param name="heights">Rows of the heights, µm over the unit of a reading.</param>
    /// <exception cref="ArgumentException">Fewer than three stations, NaN, stations that do not rise, or another number of rows.</exception>
    public static ImmutableArray<ImmutableArray<double>> FromEnds(ReadOnlySpan<double> positionsMm, ImmutableArray<ImmutableArray<double>> heights)
    {
        Rising(positionsMm, 3);
        Guard.SameLength(heights.Length, nameof(heights), positionsMm.Length, nameof(positionsMm));
        double first = positionsMm[0], length = positionsMm[^1] - first;
        var shares = new double[heights.Length];
        for (var i = 0; i < shares.Length; i++)
            shares[i] = (positionsMm[i] - first) / length;
        var (from, to) = (heights[0], heights[^1]);
        return [.. heights.Select((row, i) => ImmutableArray.Create([.. row.Select((w, k) => w - ((1 - shares[i]) * from[k]) - (shares[i] * to[k]))]))];
    }

    /// <summary>Deviations from the line of least squared heights.</summary>
    /// <param name="positionsMm">Stations in rising order, mm; three or more.</param>
    /// <param name="heights">Rows of the heights, µm over the unit of a reading.</param>
    /// <exception cref="ArgumentException">As for <see cref="FromEnds"/>.</exception>
    public static ImmutableArray<ImmutableArray<double>> FromLeastSquares(ReadOnlySpan<double> positionsMm, ImmutableArray<ImmutableArray<double>> heights)
    {
        Rising(positionsMm, 3);
        Guard.SameLength(heights.Length, nameof(heights), positionsMm.Length, nameof(positionsMm));
        var first = positionsMm[0];
        var u = positionsMm.ToArray();
        var mean = u.Average(x => x - first);
        double sumUU = 0;
        for (var i = 0; i < u.Length; i++)
        {
            u[i] = u[i] - first - mean;
            sumUU += u[i] * u[i];
        }

        var readings = heights[0].Length;
        double[] means = new double[readings], slopes = new double[readings];
        for (var i = 0; i < u.Length; i++)
        {
            for (var k = 0; k < readings; k++)
            {
                means[k] += heights[i][k] / u.Length;
                slopes[k] += u[i] / sumUU * heights[i][k];
            }
        }

        return [.. heights.Select((row, i) => ImmutableArray.Create([.. row.Select((w, k) => w - means[k] - (u[i] * slopes[k]))]))];
    }

    /// <summary>Indices of the first and the last station of every window that no other window holds whole.</summary>
    /// <param name="positionsMm">Stations in rising order, mm.</param>
    /// <param name="windowMm">Length of the window, mm.</param>
    /// <exception cref="ArgumentException">NaN, or stations that do not rise.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A window not above zero.</exception>
    public static ImmutableArray<(int From, int To)> Windows(ReadOnlySpan<double> positionsMm, double windowMm)
    {
        Rising(positionsMm, 1);
        Guard.FinitePositive(windowMm, nameof(windowMm));
        var windows = ImmutableArray.CreateBuilder<(int, int)>();
        for (int from = 0, to = 0, before = -1; from < positionsMm.Length && before < positionsMm.Length - 1; from++)
        {
            while (to + 1 < positionsMm.Length && positionsMm[to + 1] - positionsMm[from] <= windowMm * (1 + 1e-9))
                to++;
            if (to == before)
                continue;
            before = to;
            windows.Add((from, to));
        }

        return windows.ToImmutable();
    }

    private static void Rising(ReadOnlySpan<double> positionsMm, int least)
    {
        Guard.Finite(positionsMm, nameof(positionsMm));
        if (positionsMm.Length < least)
            throw new ArgumentException(FormattableString.Invariant($"{positionsMm.Length} stations; {least} or more are needed."), nameof(positionsMm));
        for (var i = 1; i < positionsMm.Length; i++)
        {
            if (positionsMm[i] <= positionsMm[i - 1])
                throw new ArgumentException("The stations must rise from one to the next.", nameof(positionsMm));
        }
    }
}
