using BuildTrack.Metrology.Corrections;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>The programme of a re-mill by its definition: every four limits are met at once, what breaks another is thrown away, the least aim is
/// kept.</summary>
internal static class Vertices
{
    /// <summary>Deepest cut, minus the least margin, or the sum of the depths; null where no plane keeps the bounds.</summary>
    public static double? Best(RemillPad[] pads, RemillGoal goal, double cleanUp, RemillTilt? tilt)
    {
        // Unknowns: slope along X and across in µm/m, height at x = y = 0 in µm, aim in µm. Row · unknowns ≤ limit.
        List<(double[] Row, double Limit)> limits = [];
        foreach (var p in pads)
        {
            double x = p.XMm / 1000, y = p.YMm / 1000;
            limits.Add(([x, y, 1, 0], p.HeightUm - cleanUp));
            limits.Add(([-x, -y, -1, -1], -p.HeightUm + (goal == RemillGoal.LargestMargin ? p.ThicknessUm!.Value - p.MinimumUm!.Value : 0)));
        }

        if (tilt is not null)
        {
            Add(tilt.LargestAlongUmPerM, [1, 0, 0, 0], 1);
            Add(tilt.LeastAlongUmPerM, [-1, 0, 0, 0], -1);
            Add(tilt.LargestAcrossUmPerM, [0, 1, 0, 0], 1);
            Add(tilt.LeastAcrossUmPerM, [0, -1, 0, 0], -1);
            double halfLength = (tilt.FeetLengthMm ?? (pads.Max(p => p.XMm) - pads.Min(p => p.XMm))) / 2000,
                halfWidth = (tilt.FeetWidthMm ?? (pads.Max(p => p.YMm) - pads.Min(p => p.YMm))) / 2000;
            foreach (var (sx, sy) in new[] { (1, 1), (1, -1), (-1, 1), (-1, -1) })
                Add(tilt.FootTravelMm * 1000, [sx * halfLength, sy * halfWidth, 0, 0], 1);
        }

        double? best = null;
        for (var a = 0; a < limits.Count; a++)
        {
            for (var b = a + 1; b < limits.Count; b++)
            {
                for (var c = b + 1; c < limits.Count; c++)
                {
                    for (var d = c + 1; d < limits.Count; d++)
                    {
                        if (At([a, b, c, d]) is { } value && !(value >= best))
                            best = value;
                    }
                }
            }
        }

        return best;

        void Add(double? bound, double[] row, int sign)
        {
            if (bound is { } value)
                limits.Add((row, sign * value));
        }

        double? At(int[] chosen)
        {
            var matrix = Matrix<double>.Build.DenseOfRowArrays(chosen.Select(i => limits[i].Row));
            if (Math.Abs(matrix.Determinant()) < 1e-9)
                return null;
            var at = matrix.Solve(Vector<double>.Build.DenseOfEnumerable(chosen.Select(i => limits[i].Limit)));
            if (limits.Any(l => l.Row.Zip(at, (r, v) => r * v).Sum() > l.Limit + 1e-7))
                return null;
            return goal == RemillGoal.LeastMetal ? pads.Sum(p => p.HeightUm - at[2] - (at[0] * p.XMm / 1000) - (at[1] * p.YMm / 1000)) : at[3];
        }
    }
}
