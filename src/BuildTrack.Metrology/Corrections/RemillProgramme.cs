using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Corrections;

/// <summary>A plane and the depths that it gives.</summary>
internal sealed record RemillSolution(PlaneFit Plane, double[] DepthsUm, double DeepestUm, double? LeastMarginUm, ImmutableArray<RemillHold> HeldBy);

/// <summary>The narrowest zone along the height if some pads may be raised into it.</summary>
/// <param name="HeldFromBelow">Indices of the pads that hold it from below.</param>
internal sealed record RaisedZone(double WidthUm, double[] LowPlaneUm, int[] HeldFromBelow);

/// <summary>The linear programme of a re-mill: unknowns are the height of the plane at the middle of the pads, its rise over half the length and half the
/// width, and the aim. All in µm, heights less their mean.</summary>
internal sealed class RemillProgramme
{
    private const double UmPerMm = 1000;

    private readonly IReadOnlyList<RemillPad> pads;
    private readonly double cleanUp;
    private readonly double middleX;
    private readonly double middleY;
    private readonly double halfX;
    private readonly double halfY;
    private readonly double middleZ;
    private readonly double[] u;
    private readonly double[] w;
    private readonly double[] z;
    private readonly double box;
    private readonly List<(string Words, double[] Row, double Limit)> bounds = [];
    private readonly RemillTilt tilt;

    public RemillProgramme(IReadOnlyList<RemillPad> pads, RemillRequest request)
    {
        this.pads = pads;
        cleanUp = request.CleanUpUm + request.SetUpUm;
        tilt = request.Tilt ?? new RemillTilt();
        (middleX, halfX) = Middle(pads.Select(p => p.XMm));
        (middleY, halfY) = Middle(pads.Select(p => p.YMm));
        middleZ = pads.Average(p => p.HeightUm);
        u = [.. pads.Select(p => (p.XMm - middleX) / halfX)];
        w = [.. pads.Select(p => (p.YMm - middleY) / halfY)];
        z = [.. pads.Select(p => p.HeightUm - middleZ)];
        var spread = 1 + z.Max(Math.Abs) + cleanUp + pads.Max(p => Math.Abs((p.ThicknessUm ?? 0) - (p.MinimumUm ?? 0)));
        Floor = 1e-12 * spread;

        // Pads nearly on one line leave a plane that is steep across it: the box must not hold it.
        box = 1e8 * spread;
        AddBounds();
    }

    /// <summary>Differences below this are rounding, µm.</summary>
    public double Floor { get; }

    /// <summary>Some pad has a thickness and a minimum.</summary>
    public bool HasMargins => pads.Any(p => p.ThicknessUm is not null && p.MinimumUm is not null);

    /// <summary>The best plane; null where the bounds of the tilt leave none, or the pads are too near one line.</summary>
    public RemillSolution? Solve(RemillGoal goal)
    {
        var byMargin = goal == RemillGoal.LargestMargin;
        var (rows, limits) = Rows(byMargin);

        // Of the plane: minus the sum of its heights over all pads, so that the metal counts.
        double[] metal = [-pads.Count, -u.Sum(), -w.Sum(), 0], aim = [0, 0, 0, 1];
        var first = LeastVertex.Solve(goal == RemillGoal.LeastMetal ? metal : aim, rows, limits, box, Floor / 4);
        if (first.X is not { } best || !first.Bounded)
            return null;

        // Where several planes reach the aim: for the smallest deepest cut the one of the least metal, else the one of the smallest deepest cut.
        if (byMargin)
        {
            var (others, otherLimits) = Rows(false, best[3] + Floor);
            best = LeastVertex.Solve(aim, others, otherLimits, box, Floor / 4).X ?? best;
        }
        else
        {
            var byMetal = goal == RemillGoal.LeastMetal;
            rows.Add(byMetal ? metal : aim);
            limits.Add(byMetal ? metal.Zip(best, (m, b) => m * b).Sum() + (Floor * pads.Count) : best[3] + Floor);
            best = LeastVertex.Solve(byMetal ? aim : metal, rows, limits, box, Floor / 4).X ?? best;
        }

        double[] depths = [.. z.Select((height, i) => height - best[0] - (best[1] * u[i]) - (best[2] * w[i]))];
        double? margin = HasMargins ? pads.Select((p, i) => p.ThicknessUm - depths[i] - p.MinimumUm).Where(m => m is not null).Min() : null;
        return new RemillSolution(Plane(best), depths, depths.Max(), margin, HeldBy(first, goal));
    }

    /// <summary>The narrowest zone where some pads are raised as needed: those bound it from above only.</summary>
    public RaisedZone? Raised(int[] raised)
    {
        var (rows, limits) = Rows(false);

        // A row that repeats the one behind it stays idle.
        foreach (var i in raised)
            (rows[2 * i], limits[2 * i]) = (rows[(2 * i) + 1], limits[(2 * i) + 1]);
        var found = LeastVertex.Solve([0, 0, 0, 1], rows, limits, box, Floor / 4);
        return found.X is { } best && found.Bounded
            ? new RaisedZone(best[3], [.. u.Select((_, i) => middleZ + best[0] + (best[1] * u[i]) + (best[2] * w[i]))],
                [.. found.Active.Where(row => row % 2 == 0 && row < 2 * z.Length && !raised.Contains(row / 2)).Select(row => row / 2)])
            : null;
    }

    /// <summary>Rise or fall of a corner foot that levels this plane again, about the middle of the feet, µm.</summary>
    public double FootMoveUm(PlaneFit plane) =>
        (Math.Abs(plane.SlopeXUmPerM) * FeetLength / 2000) + (Math.Abs(plane.SlopeYUmPerM) * FeetWidth / 2000);

    private double FeetLength => tilt.FeetLengthMm ?? 2 * halfX;

    private double FeetWidth => tilt.FeetWidthMm ?? 2 * halfY;

    /// <summary>Each pad: cut at least by the clean-up; depth at most the aim, or, by margin, depth less spare thickness at most the aim.</summary>
    /// <param name="keepMarginUm">Where given: depth less spare thickness at most this besides.</param>
    private (List<double[]> Rows, List<double> Limits) Rows(bool byMargin, double? keepMarginUm = null)
    {
        List<double[]> rows = [];
        List<double> limits = [];
        for (var i = 0; i < z.Length; i++)
        {
            rows.Add([1, u[i], w[i], 0]);
            limits.Add(z[i] - cleanUp);
            var spare = pads[i].ThicknessUm - pads[i].MinimumUm;

            // A pad without a minimum sets no bound to the margin; its row repeats the one before and stays idle.
            rows.Add(byMargin && spare is null ? rows[^1] : [-1, -u[i], -w[i], -1]);
            limits.Add(byMargin && spare is null ? limits[^1] : (byMargin ? spare!.Value : 0) - z[i]);
        }

        foreach (var (_, row, limit) in bounds)
        {
            rows.Add(row);
            limits.Add(limit);
        }

        for (var i = 0; keepMarginUm is { } keep && i < z.Length; i++)
        {
            if (pads[i].ThicknessUm - pads[i].MinimumUm is { } spare)
            {
                rows.Add([-1, -u[i], -w[i], 0]);
                limits.Add(keep + spare - z[i]);
            }
        }

        return (rows, limits);
    }

    private ImmutableArray<RemillHold> HeldBy(VertexResult found, RemillGoal goal)
    {
        var side = goal == RemillGoal.LargestMargin ? "least margin" : "deepest";
        return [.. found.Active.Select((row, k) => row < 2 * z.Length
            ? new RemillHold(pads[row / 2].Name, row % 2 == 0 ? "cleaned" : side, found.Weights[k])
            : new RemillHold(bounds[row - (2 * z.Length)].Words, "bound", found.Weights[k]))];
    }

    private PlaneFit Plane(double[] best)
    {
        double slopeX = best[1] / halfX * UmPerMm, slopeY = best[2] / halfY * UmPerMm;
        return new PlaneFit(slopeX, slopeY, best[0] + middleZ - (slopeX * middleX / UmPerMm) - (slopeY * middleY / UmPerMm));
    }

    private void AddBounds()
    {
        // Slopes in µm/m are rise over half the length divided by it in metres.
        double alongX = UmPerMm / halfX, across = UmPerMm / halfY;
        Bound("slope along X at most", tilt.LargestAlongUmPerM, [0, 1, 0, 0], alongX, 1);
        Bound("slope along X at least", tilt.LeastAlongUmPerM, [0, -1, 0, 0], alongX, -1);
        Bound("slope across at most", tilt.LargestAcrossUmPerM, [0, 0, 1, 0], across, 1);
        Bound("slope across at least", tilt.LeastAcrossUmPerM, [0, 0, -1, 0], across, -1);
        foreach (var (signX, signY) in new[] { (1, 1), (1, -1), (-1, 1), (-1, -1) })
        {
            if (tilt.FootTravelMm is { } travel)
                bounds.Add(($"travel of the foot at {(signX > 0 ? "+X" : "-X")}{(signY > 0 ? "+Y" : "-Y")}",
                    [0, signX * FeetLength / (2 * halfX), signY * FeetWidth / (2 * halfY), 0], travel * UmPerMm));
        }
    }

    private void Bound(string words, double? slope, double[] row, double perUnit, int sign)
    {
        if (slope is { } value)
            bounds.Add((words, row, sign * value / perUnit));
    }

    private static (double Middle, double Half) Middle(IEnumerable<double> places)
    {
        double[] all = [.. places];
        return ((all.Max() + all.Min()) / 2, (all.Max() - all.Min()) / 2);
    }
}
