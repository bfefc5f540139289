using System.Collections.Immutable;

namespace BuildTrack.Metrology.Corrections;

/// <summary>The order of work on the feet: corners first, then the feet between, across the bed from one to the next, in equal small passes.</summary>
internal static class FootOrder
{
    public static ImmutableArray<FootStep> Of(IReadOnlyList<FootPlace> feet, double[] movesUm, double stepUm)
    {
        var corners = Corners(feet);
        int[] order = [.. Across(feet, movesUm, [.. corners.Where(i => movesUm[i] != 0)]),
            .. Across(feet, movesUm, [.. Enumerable.Range(0, feet.Count).Where(i => movesUm[i] != 0 && !corners.Contains(i))])];
        var steps = ImmutableArray.CreateBuilder<FootStep>();
        int[] passes = [.. movesUm.Select(m => (int)Math.Ceiling((Math.Abs(m) / stepUm) - 1e-9))];
        for (var pass = 1; pass <= passes.DefaultIfEmpty(0).Max(); pass++)
        {
            foreach (var i in order)
            {
                if (pass <= passes[i])
                    steps.Add(new FootStep(pass, feet[i].Name, movesUm[i] / passes[i], movesUm[i] * pass / passes[i]));
            }
        }

        return steps.ToImmutable();
    }

    /// <summary>The feet farthest out toward the four corners of the rectangle that holds all feet.</summary>
    internal static List<int> Corners(IReadOnlyList<FootPlace> feet)
    {
        double length = Math.Max(1e-9, feet.Max(f => f.XMm) - feet.Min(f => f.XMm)), width = Math.Max(1e-9, feet.Max(f => f.YMm) - feet.Min(f => f.YMm));
        List<int> corners = [];
        foreach (var (signX, signY) in new[] { (-1, -1), (1, 1), (1, -1), (-1, 1) })
        {
            var best = 0;
            for (var i = 1; i < feet.Count; i++)
            {
                if (Out(feet[i]) > Out(feet[best]) + 1e-9)
                    best = i;
            }

            if (!corners.Contains(best))
                corners.Add(best);

            double Out(FootPlace f) => (signX * f.XMm / length) + (signY * f.YMm / width);
        }

        return corners;
    }

    /// <summary>The largest move first, then the foot farthest from it, then the largest of the rest, and so on.</summary>
    private static List<int> Across(IReadOnlyList<FootPlace> feet, double[] moves, List<int> rest)
    {
        List<int> order = [];
        while (rest.Count > 0)
        {
            var first = rest.MaxBy(i => Math.Abs(moves[i]));
            Take(first);
            if (rest.Count > 0)
                Take(rest.MaxBy(i => Square(feet[i].XMm - feet[first].XMm) + Square(feet[i].YMm - feet[first].YMm)));
        }

        return order;

        void Take(int foot)
        {
            order.Add(foot);
            rest.Remove(foot);
        }
    }

    private static double Square(double value) => value * value;
}
