using System.Collections.Immutable;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Statistics;

/// <summary>How the interaction of appraiser and part is treated.</summary>
public enum InteractionPooling
{
    /// <summary>Pooled where its F is likely enough to come by chance: probability above 0.25.</summary>
    ByTest,

    /// <summary>Always pooled with the equipment.</summary>
    Always,

    /// <summary>Never pooled.</summary>
    Never,
}

/// <summary>Crossed gauge study: every appraiser reads every part as often as the others (Measurement Systems Analysis, 4th edition, chapter III).</summary>
/// <remarks>Method, sources and limits: docs/method/statistics.md.</remarks>
public static class GaugeStudy
{
    /// <summary>Probability above which the interaction is pooled, dimensionless (common practice).</summary>
    public const double PoolingProbability = 0.25;

    /// <summary>Factor of the number of distinct categories, dimensionless (√2 as the manual rounds it).</summary>
    public const double CategoriesFactor = 1.41;

    /// <summary>Most readings that are taken, a count, dimensionless.</summary>
    public const int MostReadings = 100_000;

    /// <summary>Analyses.</summary>
    /// <param name="readings">In any order; every part by every appraiser, with the same trials each; two or more of each. Any one unit.</param>
    /// <param name="pooling">Which model counts; both are given.</param>
    /// <param name="toleranceWidth">Upper less lower limit, above zero, unit of the readings; null: no parts of a tolerance.</param>
    /// <exception cref="ArgumentException">A reading that stands twice, an empty name, NaN or infinity.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A value beyond ±10¹², a width not above zero, too many readings.</exception>
    public static GaugeStudyResult Of(
        IReadOnlyList<GaugeReading> readings, InteractionPooling pooling = InteractionPooling.ByTest, double? toleranceWidth = null)
    {
        if (!Enum.IsDefined(pooling))
            throw new ArgumentOutOfRangeException(nameof(pooling), pooling, "Not a way to treat the interaction.");
        if (toleranceWidth is { } width)
            Guard.FinitePositive(width, "tolerance width");
        var (crossed, defect) = GaugeCells.Of(readings);
        if (crossed is not { } cells)
            return new GaugeStudyResult(0, 0, 0, null, null, null, null, false, [], defect);
        var variance = Analyse(cells);
        var (p, k, r) = (cells.Parts, cells.Appraisers, cells.Trials);
        if (variance.Total.Squares == 0)
            return new GaugeStudyResult(p, k, r, null, null, null, null, false, [],
                "All readings are equal: the gauge shows no difference between the parts, and its spread is hidden by its resolution.");

        var pooled = WithoutInteraction(cells, variance, toleranceWidth);
        var apart = WithInteraction(cells, variance, toleranceWidth);
        var isPooled = pooling == InteractionPooling.Always || (pooling == InteractionPooling.ByTest && variance.InteractionProbability > PoolingProbability);
        var remarks = ImmutableArray.CreateBuilder<string>();
        remarks.Add(Sentence(pooling, variance, isPooled));
        if (GaugeAverageRange.WhyNot(cells) is { } why)
            remarks.Add(why);
        if ((isPooled ? pooled : apart) is { } used && (used.Appraiser.WasNegative || used.Interaction?.WasNegative == true || used.Part.WasNegative))
            remarks.Add("A component of variance came out negative and is taken as 0: it is too small to tell from the others.");
        return new GaugeStudyResult(p, k, r, variance, pooled, apart, GaugeAverageRange.Of(cells, toleranceWidth), isPooled, remarks.ToImmutable(), null);
    }

    /// <summary>Parts of the whole, from variances.</summary>
    internal static GaugeModel Model(string name, double equipment, double appraiser, double? interaction, double part, double? toleranceWidth)
    {
        var (ev, av, inter, pv) = (Math.Max(0, equipment), Math.Max(0, appraiser), Math.Max(0, interaction ?? 0), Math.Max(0, part));
        double gauge = ev + av + inter, total = gauge + pv;
        return new GaugeModel(
            name, Component(equipment), Component(appraiser), interaction is { } given ? Component(given) : null, Component(gauge), Component(part),
            Component(total),
            gauge > 0 ? Guard.Finite(CategoriesFactor * Math.Sqrt(pv / gauge), "number of distinct categories") : null);

        GaugeComponent Component(double variance)
        {
            var sigma = Math.Sqrt(Math.Max(0, variance));
            return new GaugeComponent(
                sigma, total > 0 ? sigma / Math.Sqrt(total) : 0, total > 0 ? Math.Max(0, variance) / total : 0,
                toleranceWidth is { } width ? Guard.Finite(6 * sigma / width, "part of the tolerance") : null, variance < 0);
        }
    }

    private static GaugeModel WithoutInteraction(GaugeCells cells, GaugeVariance v, double? width)
    {
        var error = (v.Interaction.Squares + v.Equipment.Squares) / (v.Interaction.Degrees + v.Equipment.Degrees);
        return Model(
            "pooled", error, (v.Appraiser.MeanSquare - error) / (cells.Parts * cells.Trials), null,
            (v.Part.MeanSquare - error) / (cells.Appraisers * cells.Trials), width);
    }

    private static GaugeModel WithInteraction(GaugeCells cells, GaugeVariance v, double? width)
    {
        var interaction = v.Interaction.MeanSquare;
        return Model(
            "with interaction", v.Equipment.MeanSquare, (v.Appraiser.MeanSquare - interaction) / (cells.Parts * cells.Trials),
            (interaction - v.Equipment.MeanSquare) / cells.Trials,
            (v.Part.MeanSquare - interaction) / (cells.Appraisers * cells.Trials), width);
    }

    private static GaugeVariance Analyse(GaugeCells cells)
    {
        var (p, k, r) = (cells.Parts, cells.Appraisers, cells.Trials);
        double part = 0, appraiser = 0, interaction = 0, equipment = 0;
        for (var i = 0; i < p; i++)
            part += Square(cells.PartMean(i)) * k * r;
        for (var j = 0; j < k; j++)
            appraiser += Square(cells.AppraiserMean(j)) * p * r;
        for (var i = 0; i < p; i++)
        {
            for (var j = 0; j < k; j++)
            {
                interaction += Square(cells.CellMean(i, j) - cells.PartMean(i) - cells.AppraiserMean(j)) * r;
                for (var t = 0; t < r; t++)
                    equipment += Square(cells[i, j, t] - cells.CellMean(i, j));
            }
        }

        // Squares that are rounding of the readings alone are none.
        var floor = Square(4 * Rounding.Unit * cells.LargestSize) * p * k * r;
        (part, appraiser, interaction, equipment) = (Floored(part), Floored(appraiser), Floored(interaction), Floored(equipment));
        var (between, within) = (new VarianceLine(interaction, (p - 1) * (k - 1)), new VarianceLine(equipment, p * k * (r - 1)));
        double? f = within.MeanSquare > 0 ? Guard.Finite(between.MeanSquare / within.MeanSquare, "F of the interaction") : null;
        return new GaugeVariance(
            new VarianceLine(part, p - 1), new VarianceLine(appraiser, k - 1), between, within,
            new VarianceLine(part + appraiser + interaction + equipment, (p * k * r) - 1),
            f, f is { } ratio ? Quantiles.FisherTail(ratio, between.Degrees, within.Degrees) : null);

        double Floored(double squares) => squares <= floor ? 0 : squares;
    }

    private static string Sentence(InteractionPooling pooling, GaugeVariance v, bool isPooled)
    {
        var test = v.InteractionProbability is { } probability
            ? FormattableString.Invariant($"probability {probability:G3} of its F {v.InteractionF:G3}")
            : "no F, trials do not differ";
        return (pooling, isPooled) switch
        {
            (InteractionPooling.ByTest, true) => FormattableString.Invariant($"Interaction pooled with the equipment: {test} is above {PoolingProbability}."),
            (InteractionPooling.ByTest, false) => FormattableString.Invariant($"Interaction kept apart: {test} is not above {PoolingProbability}."),
            (_, true) => $"Interaction pooled with the equipment as asked for: {test}.",
            _ => $"Interaction kept apart as asked for: {test}.",
        };
    }

    private static double Square(double value) => value * value;
}
