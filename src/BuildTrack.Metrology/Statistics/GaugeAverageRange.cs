namespace BuildTrack.Metrology.Statistics;

/// <summary>Gauge study by averages and ranges (Measurement Systems Analysis, 4th edition, table III-B 5 and 6a).</summary>
/// <remarks>Ranges see less than squares: the interaction is not seen at all, and more than a few trials are wasted.</remarks>
internal static class GaugeAverageRange
{
    // 1/d2 for ranges of many cells (K1), from 2 values on.
    private static readonly double[] OfManyRanges = [0.8862, 0.5908, 0.4857, 0.4299, 0.3946, 0.3698, 0.3512, 0.3367, 0.3249];

    // 1/d2* for the range of one group (K2, K3), from 2 values on.
    private static readonly double[] OfOneRange = [0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146];

    /// <summary>K1 for trials.</summary>
    public static double ManyRanges(int size) => OfManyRanges[size - 2];

    /// <summary>K2 for appraisers, K3 for parts.</summary>
    public static double OneRange(int size) => OfOneRange[size - 2];

    /// <summary>Why the tables do not reach; null where they do.</summary>
    public static string? WhyNot(GaugeCells cells) => Math.Max(cells.Parts, Math.Max(cells.Appraisers, cells.Trials)) > OfOneRange.Length + 1
        ? FormattableString.Invariant($"No average-and-range figures: the factors reach to {OfOneRange.Length + 1} parts, appraisers and trials.")
        : null;

    public static GaugeModel? Of(GaugeCells cells, double? toleranceWidth)
    {
        if (WhyNot(cells) is not null)
            return null;
        double ranges = 0;
        for (var i = 0; i < cells.Parts; i++)
        {
            for (var j = 0; j < cells.Appraisers; j++)
                ranges += cells.CellRange(i, j);
        }

        var equipment = ranges / (cells.Parts * cells.Appraisers) * ManyRanges(cells.Trials);
        var appraiser = Spread(cells.Appraisers, cells.AppraiserMean) * OneRange(cells.Appraisers);
        var part = Spread(cells.Parts, cells.PartMean) * OneRange(cells.Parts);
        var ofMeans = equipment * equipment / (cells.Parts * cells.Trials);
        return GaugeStudy.Model("average and range", equipment * equipment, (appraiser * appraiser) - ofMeans, null, part * part, toleranceWidth);
    }

    private static double Spread(int count, Func<int, double> mean) => Enumerable.Range(0, count).Max(mean) - Enumerable.Range(0, count).Min(mean);
}
