namespace BuildTrack.Metrology.Commissioning;

/// <summary>A cut that must not be interrupted.</summary>
/// <param name="Minutes">From piercing to its end, min, above zero.</param>
/// <param name="FlowNm3PerHour">Flow of gas meanwhile, Nm³/h, above zero.</param>
public sealed record PlannedCut(double Minutes, double FlowNm3PerHour);

/// <summary>What a plant gives, and the factors it is judged with.</summary>
/// <param name="StockNm3">Gas that is there, Nm³, zero or more.</param>
/// <param name="VaporiserNm3PerHour">Rating of the vaporiser, new and dry, Nm³/h; null where the gas comes from bottles.</param>
/// <param name="Derating">What the rating is divided by for continuous use, dimensionless, 1 or more: 2 in a mild climate, 3 to 4 in winter (common practice, no source).</param>
/// <param name="CutFactor">For pierces, repeats and purging, dimensionless, 1 or more: 1.3 (common practice, no source).</param>
/// <param name="StockFactor">Stock over need, dimensionless, 1 or more: 1.2 (common practice, no source).</param>
public sealed record GasPlant(double StockNm3, double? VaporiserNm3PerHour, double Derating = 2, double CutFactor = 1.3, double StockFactor = 1.2);

/// <summary>Whether gas suffices for a row of witnessed cuts.</summary>
/// <param name="NeedNm3">Gas of all cuts with the cut factor, Nm³.</param>
/// <param name="StockNeededNm3">Need with the stock factor, Nm³.</param>
/// <param name="PeakNm3PerHour">The largest flow, Nm³/h.</param>
/// <param name="ContinuousNm3PerHour">What the vaporiser gives without end, Nm³/h; null without one.</param>
/// <param name="LongestCutMinutes">The longest cut that must not be interrupted, min.</param>
/// <param name="StockSuffices">The stock reaches what is needed.</param>
/// <param name="VaporiserSuffices">Its continuous flow reaches the peak; true without one.</param>
public sealed record GasSupplyResult(
    double NeedNm3, double StockNeededNm3, double PeakNm3PerHour, double? ContinuousNm3PerHour, double LongestCutMinutes, bool StockSuffices, bool VaporiserSuffices)
{
    /// <summary>The cuts may begin.</summary>
    public bool Suffices => StockSuffices && VaporiserSuffices;
}

/// <summary>The gate before witnessed cuts: an interrupted cut is a failed sample.</summary>
/// <remarks>Common practice, no source; factors are the company's. Method: docs/method/commissioning.md. Sizing for planning only; design is the gas supplier's.</remarks>
public static class GasSupply
{
    /// <summary>Largest number that is taken, any unit.</summary>
    public const double Largest = 1e6;

    /// <summary>Need and supply of a row of cuts.</summary>
    /// <param name="cuts">One or more.</param>
    /// <param name="plant">Stock, vaporiser and factors.</param>
    /// <exception cref="ArgumentException">No cut, or a number that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number outside its range.</exception>
    public static GasSupplyResult Of(IReadOnlyList<PlannedCut> cuts, GasPlant plant)
    {
        ArgumentNullException.ThrowIfNull(cuts);
        ArgumentNullException.ThrowIfNull(plant);
        if (cuts.Count == 0)
            throw new ArgumentException("There is no cut; at least one is needed.", nameof(cuts));
        Within(plant.StockNm3, nameof(plant.StockNm3), 0);
        foreach (var (factor, name) in new[] { (plant.Derating, nameof(plant.Derating)), (plant.CutFactor, nameof(plant.CutFactor)), (plant.StockFactor, nameof(plant.StockFactor)) })
            Within(factor, name, 1);
        if (plant.VaporiserNm3PerHour is { } rated)
            Within(rated, nameof(plant.VaporiserNm3PerHour), 0);
        double sum = 0, peak = 0, longest = 0;
        foreach (var cut in cuts)
        {
            Within(Guard.FinitePositive(cut.Minutes, nameof(cut.Minutes)), nameof(cut.Minutes), 0);
            Within(Guard.FinitePositive(cut.FlowNm3PerHour, nameof(cut.FlowNm3PerHour)), nameof(cut.FlowNm3PerHour), 0);
            sum += cut.Minutes / 60 * cut.FlowNm3PerHour;
            peak = Math.Max(peak, cut.FlowNm3PerHour);
            longest = Math.Max(longest, cut.Minutes);
        }

        var need = sum * plant.CutFactor;
        var stock = need * plant.StockFactor;
        var continuous = plant.VaporiserNm3PerHour / plant.Derating;
        return new GasSupplyResult(need, stock, peak, continuous, longest, plant.StockNm3 >= stock, continuous is null || continuous >= peak);
    }

    private static void Within(double value, string name, double least)
    {
        Guard.Finite(value, name);
        if (value < least || value > Largest)
            Guard.ThrowOutOfRange(value, name, FormattableString.Invariant($"from {least} to 1e6"));
    }
}
