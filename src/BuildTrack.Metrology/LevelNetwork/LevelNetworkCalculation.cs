using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Adjusts a network of height differences by least squares.</summary>
public static class LevelNetworkCalculation
{
    /// <summary>Largest product of observations and unknowns (a whole number, dimensionless): some seconds.</summary>
    public const long LargestSize = 2_000_000;

    /// <summary>A plane has three directions nobody measures with lines of unknown slope: height and two tilts.</summary>
    private const int PlaneDefect = 3;

    private const int MostNames = 8;

    /// <summary>Adjusts.</summary>
    /// <remarks>Method, sources and limits: docs/method/level-network.md. With nothing fixed the heights are the smallest possible (least sum of
    /// squares): they add to zero, and with unknown slopes of lines their tilt is taken out too. Pure: the same input gives the same bits on one machine.</remarks>
    /// <param name="observations">Height differences, µm.</param>
    /// <param name="fixedUm">Heights that are given, µm, by the name of the point; empty for a free network.</param>
    /// <param name="sigmasKnown">The weights are 1/σ² of standard uncertainties in µm; else they are only relative.</param>
    /// <returns>The adjusted network, or a named defect; never NaN.</returns>
    /// <exception cref="ArgumentException">A number that is NaN or infinite, an observation from a point to itself, or a fixed point that no observation touches.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A weight or a rise beyond the limits of <see cref="LevelObservation"/>.</exception>
    public static LevelNetworkResult Adjust(
        IReadOnlyList<LevelObservation> observations, IReadOnlyDictionary<string, double> fixedUm, bool sigmasKnown)
    {
        ArgumentNullException.ThrowIfNull(observations);
        ArgumentNullException.ThrowIfNull(fixedUm);
        foreach (var observation in observations)
            Check(observation);
        if (observations.Count == 0)
            return Without(LevelNetworkDefect.Empty, "There are no height differences.");
        var layout = new NetworkLayout(observations, fixedUm);
        CheckFixed(layout, fixedUm);
        var size = (long)observations.Count * (layout.Points.Length + layout.Lines.Length);
        if (size > LargestSize)
        {
            return Without(LevelNetworkDefect.TooLarge, string.Create(CultureInfo.InvariantCulture,
                $"{observations.Count} observations of {layout.Points.Length} points are more than this adjustment holds (product {LargestSize} at most); divide the net."));
        }

        if (Disconnected(layout) is { } sentence)
            return Without(LevelNetworkDefect.Disconnected, sentence);
        var allowed = layout.Free ? PlaneDefect : 0;
        var adjustment = NetworkAdjustment.Of(layout, observations, allowed);
        return adjustment.Defect > allowed
            ? Without(LevelNetworkDefect.Undetermined, Undetermined(layout, adjustment.Defect))
            : new LevelNetworkResult(Values(layout, adjustment, observations, sigmasKnown), LevelNetworkDefect.None, null);
    }

    private static LevelNetworkValues Values(
        NetworkLayout layout, NetworkAdjustment adjustment, IReadOnlyList<LevelObservation> observations, bool sigmasKnown)
    {
        double sum = 0;
        for (var i = 0; i < observations.Count; i++)
            sum += observations[i].Weight * adjustment.ResidualsUm[i] * adjustment.ResidualsUm[i];
        var freedom = adjustment.DegreesOfFreedom;
        double? sigma0 = freedom > 0 ? Math.Sqrt(sum / freedom) : null;
        var sigma = sigma0 ?? (sigmasKnown ? 1.0 : null);
        return new LevelNetworkValues(
            [.. layout.Points.Select((p, i) => new LevelHeight(
                p, adjustment.HeightsUm[i], layout.Fixed[i] is not null ? 0 : sigma * Math.Sqrt(adjustment.Cofactors[i]), adjustment.Cofactors[i]))],
            [.. layout.Lines.Select((l, i) => new LineSlope(l, adjustment.LineRisesUm[i]))],
            [.. adjustment.ResidualsUm],
            [.. adjustment.Redundancy],
            sum,
            sigma0,
            freedom,
            Loops(layout, adjustment, observations),
            DoubtfulTest.Of(observations, adjustment, sigma0, sigmasKnown));
    }

    private static ImmutableArray<LevelLoop> Loops(NetworkLayout layout, NetworkAdjustment adjustment, IReadOnlyList<LevelObservation> observations)
    {
        // Fixed points are joined by their known difference, as if it were observed without error.
        var known = Enumerable.Range(0, layout.Points.Length).Where(p => layout.Fixed[p] is not null).ToArray();
        (int From, int To)[] edges =
        [
            .. Enumerable.Range(0, observations.Count).Select(i => (layout.From[i], layout.To[i])),
            .. known.Skip(1).Select(p => (known[0], p)),
        ];
        var loops = ImmutableArray.CreateBuilder<LevelLoop>();
        foreach (var steps in new LoopSearch(layout.Points.Length, edges).Find())
        {
            double closure = 0;
            foreach (var (edge, sign) in steps)
            {
                closure += sign * (edge >= observations.Count
                    ? layout.Fixed[edges[edge].To]!.Value - layout.Fixed[edges[edge].From]!.Value
                    : observations[edge].RiseUm - (layout.Line[edge] >= 0 ? adjustment.LineRisesUm[layout.Line[edge]] : 0));
            }

            loops.Add(new LevelLoop(
                [.. steps.Select(s => layout.Points[s.Sign > 0 ? edges[s.Edge].From : edges[s.Edge].To])],
                [.. steps.Where(s => s.Edge < observations.Count).Select(s => new LoopStep(s.Edge, s.Sign))],
                closure));
        }

        return loops.ToImmutable();
    }

    private static string? Disconnected(NetworkLayout layout)
    {
        var parts = layout.Parts();
        if (layout.Free)
        {
            return parts.Count == 1
                ? null
                : $"No observation joins these {Text(parts.Count)} parts: {string.Join("; ", parts.Take(MostNames).Select(p => Names(layout, p)))}.";
        }

        var loose = parts.Where(part => part.TrueForAll(p => layout.Fixed[p] is null)).ToArray();
        return loose.Length == 0
            ? null
            : $"No observation joins {string.Join("; ", loose.Take(MostNames).Select(p => Names(layout, p)))} to a fixed height.";
    }

    private static string Undetermined(NetworkLayout layout, int defect) => layout.Free
        ? $"With an unknown slope for each of {Text(layout.Lines.Length)} lines, {Text(defect)} heights or tilts stay undetermined, more than the three of a plane; more lines that cross are needed (rows and columns alone leave the twist: a diagonal fixes it)."
        : $"With an unknown slope for each of {Text(layout.Lines.Length)} lines, {Text(defect)} heights or tilts stay undetermined; fix three points that are not on one line, or none.";

    private static string Names(NetworkLayout layout, List<int> part) =>
        "(" + string.Join(", ", part.Take(MostNames).Select(p => layout.Points[p])) + (part.Count > MostNames ? $" and {Text(part.Count - MostNames)} more)" : ")");

    private static void Check(LevelObservation observation)
    {
        ArgumentNullException.ThrowIfNull(observation);
        Guard.Finite(observation.RiseUm, nameof(observation.RiseUm));
        if (Math.Abs(observation.RiseUm) > LevelObservation.LargestRiseUm)
            Guard.ThrowOutOfRange(observation.RiseUm, nameof(observation.RiseUm), "within ±10¹² µm");
        Guard.FinitePositive(observation.Weight, nameof(observation.Weight));
        if (observation.Weight is > LevelObservation.LargestWeight or < 1 / LevelObservation.LargestWeight)
            Guard.ThrowOutOfRange(observation.Weight, nameof(observation.Weight), "from 10⁻¹² to 10¹²");
        if (observation.From == observation.To)
            throw new ArgumentException($"An observation leads from '{observation.From}' to itself.", nameof(observation));
    }

    private static void CheckFixed(NetworkLayout layout, IReadOnlyDictionary<string, double> fixedUm)
    {
        foreach (var (name, height) in fixedUm)
        {
            Guard.Finite(height, nameof(fixedUm));
            if (Math.Abs(height) > LevelObservation.LargestRiseUm)
                Guard.ThrowOutOfRange(height, nameof(fixedUm), "within ±10¹² µm");
            if (!layout.Points.Contains(name))
                throw new ArgumentException($"The fixed point '{name}' is in no observation.", nameof(fixedUm));
        }
    }

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);

    private static LevelNetworkResult Without(LevelNetworkDefect defect, string sentence) => new(null, defect, sentence);
}
