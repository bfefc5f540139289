using BuildTrack.Metrology.Chance;

namespace BuildTrack.Metrology.Tests.Support;

/// <summary>Sets of points with the shapes that beds and scans have, made from a seed: a bed of 6 m by 1.5 m, slightly tilted.</summary>
public static class MadeSets
{
    public static IReadOnlyList<string> Names { get; } = ["noise", "saddle", "crown", "quantised", "scan", "tilted wave"];

    /// <summary>Positions in mm, heights in µm.</summary>
    public static (double[] X, double[] Y, double[] Z) Of(string shape, int count, SeededSource source)
    {
        double[] x = new double[count], y = new double[count], z = new double[count];
        var columns = (int)Math.Ceiling(Math.Sqrt(4.0 * count));
        var rows = ((count - 1) / columns) + 1;
        for (var i = 0; i < count; i++)
        {
            var grid = shape is "quantised" or "scan";
            var u = grid ? (2.0 * (i % columns) / (columns - 1)) - 1 : (2 * source.NextUniform()) - 1;
            var w = grid ? (2.0 * (i / columns) / Math.Max(1, rows - 1)) - 1 : (2 * source.NextUniform()) - 1;
            (x[i], y[i]) = (3000 * u, 750 * w);
            var form = shape switch
            {
                "noise" => 5 * source.NextNormal(),
                "saddle" => (40 * u * w) + source.NextNormal(),
                "crown" => (-40 * ((u * u) + (w * w))) + source.NextNormal(),
                "quantised" => Math.Round(3 * source.NextNormal()),
                "scan" => (30 * ((u * u) - (0.3 * u * w))) + (2 * source.NextNormal()),
                _ => (25 * u * u * u) + (15 * w * Math.Abs(u)) + (0.5 * source.NextNormal()),
            };
            z[i] = form + (shape == "quantised" ? 0 : (20 * u) - (5 * w));
        }

        return (x, y, z);
    }
}
