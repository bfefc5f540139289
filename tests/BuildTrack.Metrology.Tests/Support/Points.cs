using System.Text.Json;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Tests.Support;

/// <summary>Points of a test: x, y in mm, z in µm.</summary>
internal sealed record Points(double[] X, double[] Y, double[] Z)
{
    public int Count => X.Length;

    public FlatnessResult Flatness() => FlatnessCalculation.Of(X, Y, Z);

    public static Points From(JsonElement rows, double scale = 1, double scaleZ = 1)
    {
        var all = rows.EnumerateArray().Select(row => row.EnumerateArray().Select(one => one.GetDouble()).ToArray()).ToArray();
        return new Points([.. all.Select(p => p[0] * scale)], [.. all.Select(p => p[1] * scale)], [.. all.Select(p => p[2] * scaleZ)]);
    }

    public static Points Random(SeededSource source, int count, double lengthMm = 3000, double widthMm = 1500, double heightUm = 20)
    {
        double[] x = new double[count], y = new double[count], z = new double[count];
        for (var i = 0; i < count; i++)
            (x[i], y[i], z[i]) = (lengthMm * source.NextUniform(), widthMm * source.NextUniform(), heightUm * source.NextNormal());
        return new Points(x, y, z);
    }

    /// <summary>A grid with heights on whole steps: ties and degenerate exchanges everywhere.</summary>
    public static Points Grid(SeededSource source, int columns, int rows, double stepMm, double resolutionUm, int levels)
    {
        double[] x = new double[columns * rows], y = new double[columns * rows], z = new double[columns * rows];
        for (var i = 0; i < x.Length; i++)
            (x[i], y[i], z[i]) = (i % columns * stepMm, i / columns * stepMm, resolutionUm * source.NextInt(levels));
        return new Points(x, y, z);
    }

    public Points WithZ(Func<int, double> z) => this with { Z = [.. Enumerable.Range(0, Count).Select(z)] };

    public Points Shifted(double dx, double dy, double dz) =>
        new([.. X.Select(v => v + dx)], [.. Y.Select(v => v + dy)], [.. Z.Select(v => v + dz)]);

    public Points Tilted(double slopeXUmPerM, double slopeYUmPerM) =>
        WithZ(i => Z[i] + (slopeXUmPerM * X[i] / 1000) + (slopeYUmPerM * Y[i] / 1000));

    public Points Taken(int[] order) => new([.. order.Select(i => X[i])], [.. order.Select(i => Y[i])], [.. order.Select(i => Z[i])]);

    /// <summary>A random rotation of points whose z is in mm, to points whose z is in µm.</summary>
    public static Points Rotated(double[][] pointsMm, SeededSource source, double offsetMm)
    {
        // A unit quaternion of four normals is uniform over rotations; no sine needed.
        double a, b, c, d, square;
        do
        {
            (a, b, c, d) = (source.NextNormal(), source.NextNormal(), source.NextNormal(), source.NextNormal());
            square = (a * a) + (b * b) + (c * c) + (d * d);
        }
        while (square < 1e-3);
        var s = 2 / square;
        double[] x = new double[pointsMm.Length], y = new double[x.Length], z = new double[x.Length];
        for (var i = 0; i < x.Length; i++)
        {
            double px = pointsMm[i][0], py = pointsMm[i][1], pz = pointsMm[i][2];
            x[i] = ((1 - (s * ((c * c) + (d * d)))) * px) + (s * ((b * c) - (a * d)) * py) + (s * ((b * d) + (a * c)) * pz) + offsetMm;
            y[i] = (s * ((b * c) + (a * d)) * px) + ((1 - (s * ((b * b) + (d * d)))) * py) + (s * ((c * d) - (a * b)) * pz) - offsetMm;
            z[i] = 1000 * ((s * ((b * d) - (a * c)) * px) + (s * ((c * d) + (a * b)) * py) + ((1 - (s * ((b * b) + (c * c)))) * pz) + offsetMm);
        }

        return new Points(x, y, z);
    }

    public static int[] Shuffled(SeededSource source, int count)
    {
        var order = Enumerable.Range(0, count).ToArray();
        for (var i = count - 1; i > 0; i--)
        {
            var j = source.NextInt(i + 1);
            (order[i], order[j]) = (order[j], order[i]);
        }

        return order;
    }
}
