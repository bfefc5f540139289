using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.InteropServices;

namespace BuildTrack.Metrology.LevelNetwork;

/// <summary>Adjusts a network of height differences by least squares.</summary>
public static class LevelNetworkCalculation
{
    /// <summary>Largest number of observations, a whole number, dimensionless.</summary>
    public const int LargestObservations = 200_000;

    /// <summary>Largest number of multiplications of one elimination, a whole number, dimensionless: some seconds.</summary>
    public const long LargestWork = 5_000_000_000;

    /// <summary>A plane has three directions nobody measures with lines of unknown slope: height and two tilts.</summary>
    private const int PlaneDefect = 3;

    private const long LargestColumns = 20_000_000;

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
        if (observations.Count > LargestObservations)
            return Without(LevelNetworkDefect.TooLarge, $"{Text(observations.Count)} observations are more than this adjustment holds ({Text(LargestObservations)}); divide the net.");
        var layout = new NetworkLayout(observations, fixedUm);
        CheckFixed(layout, fixedUm);
        if (Disconnected(layout) is { } sentence)
            return Without(LevelNetworkDefect.Disconnected, sentence);
        var order = new Dissection(layout, NetworkAdjustment.Datum(layout));
        if (TooLarge(layout, order))
        {
            return Without(LevelNetworkDefect.TooLarge,
                $"{Text(observations.Count)} observations of {Text(layout.Points.Length)} points{(layout.Lines.Length > 0 ? $" with {Text(layout.Lines.Length)} lines" : "")} are joined too closely for this adjustment; divide the net.");
        }

        var places = NetworkFactor.Places(layout, order);
        var lines = LineUnknowns.Of(layout, order, places);
        var allowed = layout.Free ? PlaneDefect : 0;
        var defect = (layout.Free ? 1 : 0) + (lines?.Defect ?? 0);
        if (defect > allowed)
            return Without(LevelNetworkDefect.Undetermined, Undetermined(layout, defect));
        var adjustment = NetworkAdjustment.Of(layout, order, places, observations, lines);
        return new LevelNetworkResult(Values(layout, adjustment, observations, sigmasKnown), LevelNetworkDefect.None, null);
    }

    /// <summary>Lines take a column over all points and observations each, and the factors of these columns.</summary>
    private static bool TooLarge(NetworkLayout layout, Dissection order)
    {
        long lines = layout.Lines.Length, rows = layout.From.Length + layout.Points.Length;
        return order.TooLarge || order.Work > LargestWork || rows * lines > LargestColumns || rows * lines * lines > LargestWork;
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
        var (loops, basis) = Loops(layout, adjustment, observations);
        return new LevelNetworkValues(
            [.. layout.Points.Select((p, i) => new LevelHeight(
                p, adjustment.HeightsUm[i], layout.Fixed[i] is not null ? 0 : sigma * Math.Sqrt(adjustment.Cofactors[i]), adjustment.Cofactors[i]))],
            [.. layout.Lines.Select((l, i) => new LineSlope(l, adjustment.LineRisesUm[i]))],
            ImmutableCollectionsMarshal.AsImmutableArray(adjustment.ResidualsUm),
            ImmutableCollectionsMarshal.AsImmutableArray(adjustment.Redundancy),
            sum,
            sigma0,
            freedom,
            sigmasKnown && sigma0 is { } estimated ? DoubtfulTest.Global(estimated, freedom) : null,
            loops,
            basis,
            DoubtfulTest.Of(observations, adjustment, sigma0, sigmasKnown),
            DoubtfulTest.SmallestDetectable(observations, adjustment, sigmasKnown ? 1 : sigma0));
    }

    private static (ImmutableArray<LevelLoop> Loops, LoopBasis Basis) Loops(NetworkLayout layout, NetworkAdjustment adjustment, IReadOnlyList<LevelObservation> observations)
    {
        // Fixed points are joined by their known difference, as if it were observed without error.
        var known = Enumerable.Range(0, layout.Points.Length).Where(p => layout.Fixed[p] is not null).ToArray();
        var edges = new (int From, int To)[observations.Count + Math.Max(known.Length - 1, 0)];
        for (var i = 0; i < edges.Length; i++)
            edges[i] = i < observations.Count ? (layout.From[i], layout.To[i]) : (known[0], known[i - observations.Count + 1]);
        var search = new LoopSearch(layout.Points.Length, edges);
        var found = search.Find();
        var loops = ImmutableArray.CreateBuilder<LevelLoop>(found.Count);
        foreach (var steps in found)
        {
            var points = new string[steps.Length];
            var observed = new LoopStep[steps.Length];
            var count = 0;
            double closure = 0;
            for (var k = 0; k < steps.Length; k++)
            {
                var (edge, sign) = steps[k];
                points[k] = layout.Points[sign > 0 ? edges[edge].From : edges[edge].To];
                if (edge >= observations.Count)
                {
                    closure += sign * (layout.Fixed[edges[edge].To]!.Value - layout.Fixed[edges[edge].From]!.Value);
                    continue;
                }

                closure += sign * (observations[edge].RiseUm - (layout.Line[edge] >= 0 ? adjustment.LineRisesUm[layout.Line[edge]] : 0));
                observed[count++] = new LoopStep(edge, sign);
            }

            loops.Add(new LevelLoop(
                ImmutableCollectionsMarshal.AsImmutableArray(points), ImmutableCollectionsMarshal.AsImmutableArray(count == observed.Length ? observed : observed[..count]), closure));
        }

        return (loops.DrainToImmutable(), search.Basis);
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
            if (!layout.Has(name))
                throw new ArgumentException($"The fixed point '{name}' is in no observation.", nameof(fixedUm));
        }
    }

    private static string Text(int number) => number.ToString(CultureInfo.InvariantCulture);

    private static LevelNetworkResult Without(LevelNetworkDefect defect, string sentence) => new(null, defect, sentence);
}
