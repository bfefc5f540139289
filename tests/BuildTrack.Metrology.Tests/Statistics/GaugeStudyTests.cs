using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Tests.Support;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Statistics;

/// <summary>The study of ten parts, three appraisers and three trials of the reference manual (4th edition), and laws of the analysis.</summary>
public sealed class GaugeStudyTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("acc-msa-10x3x3");

    [Fact]
    public void The_manuals_sums_of_squares_come_out_the_total_first()
    {
        var v = GaugeStudy.Of(Manual()).Variance!;
        foreach (var (name, line) in new[] { ("total", v.Total), ("appraiser", v.Appraiser), ("part", v.Part), ("interaction", v.Interaction),
            ("equipment", v.Equipment) })
        {
            Agreement.Near(File.Number("published_anova", "SS", name), line.Squares, 5.1e-5, name + " as printed");
            Agreement.Near(File.Number("recomputed_anova", "SS", name), line.Squares, 5.1e-7, name);
            Assert.Equal(File.Number("published_anova", "DF", name), line.Degrees);
        }

        Assert.Equal(File.Number("published_anova", "F_interaction"), Math.Round(v.InteractionF!.Value, 3));
        Agreement.Near(File.Number("recomputed_anova", "p_interaction"), v.InteractionProbability!.Value, 1.1e-6, "p");
    }

    [Fact]
    public void The_manuals_pooled_study_has_its_published_components_and_four_categories()
    {
        var study = GaugeStudy.Of(Manual());
        Assert.True(study.IsPooled);
        Assert.Contains("pooled", study.Remarks[0], StringComparison.Ordinal);
        var used = study.Used!;
        foreach (var (name, component, digits) in new[] { ("EV", used.Equipment, 6), ("AV", used.Appraiser, 6), ("GRR", used.Gauge, 5),
            ("PV", used.Part, 6), ("TV", used.Total, 3) })
        {
            Assert.Equal(Math.Round(File.Number("published_anova", name), digits), Math.Round(component.Sigma, digits), 5);
            File.Reaches(File.Number("recomputed_anova", name), component.Sigma, "recomputed", name);
            if (name == "TV")
                continue;
            Assert.Equal(File.Number("published_anova", "pct_TV", name), Math.Round(100 * component.PartOfTotal, 1));
            Agreement.Near(File.Number("recomputed_anova", "pct_contribution", name), 100 * component.PartOfVariance, 0.0051, name);
            Assert.False(component.WasNegative);
        }

        Assert.Null(used.Interaction);
        Assert.Equal((int)File.Number("published_anova", "ndc"), used.Categories);
        Agreement.Near(File.Number("recomputed_anova", "ndc_raw"), used.CategoriesRaw!.Value, 5.1e-5, "ndc");
    }

    [Fact]
    public void Without_pooling_the_negative_interaction_is_zero_and_said_to_be()
    {
        var study = GaugeStudy.Of(Manual(), InteractionPooling.Never);
        Assert.False(study.IsPooled);
        var used = study.Used!;
        Agreement.Near(File.Number("recomputed_anova", "unpooled", "EV"), used.Equipment.Sigma, 5.1e-7, "EV");
        Agreement.Near(File.Number("recomputed_anova", "unpooled", "AV"), used.Appraiser.Sigma, 5.1e-7, "AV");
        Agreement.Near(File.Number("recomputed_anova", "unpooled", "PV"), used.Part.Sigma, 5.1e-7, "PV");
        Assert.Equal(0, used.Interaction!.Sigma);
        Assert.True(used.Interaction.WasNegative);
        Assert.Contains(study.Remarks, r => r.Contains("negative", StringComparison.Ordinal));
        Assert.Equal("with interaction", used.Model);
        Assert.True(GaugeStudy.Of(Manual(), InteractionPooling.Always).IsPooled);
    }

    [Fact]
    public void By_averages_and_ranges_the_manual_has_its_published_part_of_the_gauge()
    {
        var ranges = GaugeStudy.Of(Manual()).AverageAndRange!;
        Assert.Equal(File.Number("published_average_range_pctGRR"), Math.Round(100 * ranges.Gauge.PartOfTotal, 1));
        foreach (var (name, component) in new[] { ("EV", ranges.Equipment), ("AV", ranges.Appraiser), ("GRR", ranges.Gauge), ("PV", ranges.Part),
            ("TV", ranges.Total) })
        {
            Agreement.Near(File.Number("recomputed_average_range", name), component.Sigma, 1.1e-6, name);
            if (name != "TV")
                Agreement.Near(File.Number("recomputed_average_range", "pct_TV", name), 100 * component.PartOfTotal, 0.0051, name);
        }

        Agreement.Near(File.Number("recomputed_average_range", "ndc_raw"), ranges.CategoriesRaw!.Value, 5.1e-5, "ndc");
        Assert.Equal(5, ranges.Categories);
    }

    [Fact]
    public void The_factors_of_ranges_are_those_of_integration()
    {
        // K1 = 1/d2; K2 and K3 = 1/√(d2² + d3²), the range of one group (A. J. Duncan's d2*).
        foreach (var row in ReferenceFile.Load("acc-normal-range").At("recomputed", "table").EnumerateArray().Where(r => r.GetProperty("n").GetInt32() <= 10))
        {
            double d2 = row.GetProperty("d2").GetDouble(), d3 = row.GetProperty("d3").GetDouble();
            var n = row.GetProperty("n").GetInt32();
            Agreement.Near(1 / d2, GaugeAverageRange.ManyRanges(n), 5.1e-5, $"K1, {n}");
            Agreement.Near(1 / Math.Sqrt((d2 * d2) + (d3 * d3)), GaugeAverageRange.OneRange(n), 5.1e-5, $"K2, {n}");
        }
    }

    [Fact]
    public void Squares_of_random_studies_agree_with_a_slow_twin_in_any_order_and_unit()
    {
        const ulong seed = 7801;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 60; trial++)
        {
            var readings = Made(source, 2 + source.NextInt(6), 2 + source.NextInt(3), 2 + source.NextInt(3), 0.3, 0.4, 0.2, 1);
            var study = GaugeStudy.Of(readings);
            var (squares, what) = (Twin(readings), $"seed {seed}, trial {trial}");
            var v = study.Variance!;
            foreach (var (expected, line) in squares.Zip(new[] { v.Part, v.Appraiser, v.Interaction, v.Equipment, v.Total }))
                Agreement.Near(expected, line.Squares, 1e-10 * v.Total.Squares, what);
            var order = Points.Shuffled(source, readings.Count);
            var again = GaugeStudy.Of([.. order.Select(i => readings[i] with { Value = (1000 * readings[i].Value) + 1e6 })], toleranceWidth: 6000);
            foreach (var (one, other) in new[] { (study.Pooled!, again.Pooled!), (study.WithInteraction!, again.WithInteraction!),
                (study.AverageAndRange!, again.AverageAndRange!) })
            {
                Agreement.Near(1000 * one.Gauge.Sigma, other.Gauge.Sigma, 1e-6, what);
                Agreement.Near(one.Part.PartOfTotal, other.Part.PartOfTotal, 1e-8, what);
                Agreement.Near(one.Gauge.Sigma, other.Gauge.PartOfTolerance!.Value, 1e-8, what);
                Agreement.Near(1, one.Gauge.PartOfVariance + one.Part.PartOfVariance, 1e-12, what);
            }

            Assert.Equal(study.IsPooled, v.InteractionProbability > GaugeStudy.PoolingProbability);
        }
    }

    [Fact]
    public void Components_of_many_made_studies_are_on_average_those_put_in()
    {
        const ulong seed = 7802;
        var source = new SeededSource(seed);
        const int studies = 1500;
        double equipment = 0, appraiser = 0, interaction = 0, part = 0, pooledEquipment = 0;
        for (var s = 0; s < studies; s++)
        {
            // The interaction is large, so hardly any component comes out negative and is cut.
            var apart = GaugeStudy.Of(Made(source, 10, 6, 3, 0.3, 1.5, 0.8, 3), InteractionPooling.Never).Used!;
            equipment += Square(apart.Equipment.Sigma) / studies;
            appraiser += Square(apart.Appraiser.Sigma) / studies;
            interaction += Square(apart.Interaction!.Sigma) / studies;
            part += Square(apart.Part.Sigma) / studies;
            pooledEquipment += Square(GaugeStudy.Of(Made(source, 10, 6, 3, 0.3, 1.5, 0, 3)).Pooled!.Equipment.Sigma) / studies;
        }

        Agreement.Near(0.09, equipment, 0.002, "equipment");
        Agreement.Near(2.25, appraiser, 0.16, "appraiser");
        Agreement.Near(0.64, interaction, 0.015, "interaction");
        Agreement.Near(9, part, 0.5, "part");
        Agreement.Near(0.09, pooledEquipment, 0.002, "pooled equipment");
    }

    [Fact]
    public void A_gauge_without_spread_tells_infinitely_many_parts_apart_and_gives_no_number_of_them()
    {
        var exact = GaugeStudy.Of(
            [.. from p in new[] { 1, 2, 3 } from a in "AB" from t in new[] { 1, 2 } select new GaugeReading($"P{p}", a.ToString(), t, p * 0.1)]);
        Assert.Null(exact.DefectSentence);
        Assert.Null(exact.Variance!.InteractionF);
        Assert.Null(exact.Used!.Categories);
        Assert.Equal(0, exact.Used.Gauge.Sigma);
        Assert.Equal(1, exact.Used.Part.PartOfTotal);
        var equal = GaugeStudy.Of([.. from p in new[] { 1, 2 } from a in "AB" from t in new[] { 1, 2 } select new GaugeReading($"P{p}", a.ToString(), t, 0.1)]);
        Assert.Contains("All readings are equal", equal.DefectSentence, StringComparison.Ordinal);
        var many = GaugeStudy.Of(Made(new SeededSource(1), 11, 2, 2, 0.3, 0.4, 0.2, 1));
        Assert.Null(many.AverageAndRange);
        Assert.Contains(many.Remarks, r => r.Contains("No average-and-range", StringComparison.Ordinal));
    }

    [Fact]
    public void Studies_that_are_not_crossed_name_the_reading_that_is_missing_and_bad_readings_are_refused()
    {
        var manual = Manual();
        NoAnswer("part 'P3' by 'B', trial 2, is missing", [.. manual.Where(r => r is not { Part: "P3", Appraiser: "B", Trial: 2 })]);
        NoAnswer("one appraiser", [.. manual.Where(r => r.Appraiser == "A")]);
        NoAnswer("one trial", [.. manual.Where(r => r.Trial == 1)]);
        NoAnswer("one part", [.. manual.Where(r => r.Part == "P1")]);
        NoAnswer("no readings", []);
        Refused("part 'P1' by 'A', trial 1 stands twice", () => GaugeStudy.Of([.. manual, manual[0]]));
        Refused("no part or no appraiser", () => GaugeStudy.Of([new("", "A", 1, 0)]));
        Refused("trial 1 is NaN", () => GaugeStudy.Of([manual[0] with { Value = double.NaN }]));
        Refused("trial 1", () => GaugeStudy.Of([manual[0] with { Value = 1e13 }]));
        Refused("tolerance width", () => GaugeStudy.Of(manual, toleranceWidth: 0));
        Refused("tolerance width", () => GaugeStudy.Of(manual, toleranceWidth: double.NaN));

        static void NoAnswer(string expected, GaugeReading[] readings)
        {
            var study = GaugeStudy.Of(readings);
            Assert.Contains(expected, study.DefectSentence, StringComparison.Ordinal);
            Assert.Null(study.Used);
        }
    }

    private static List<GaugeReading> Manual() =>
        [.. File.At("data").EnumerateArray()
            .SelectMany((row, p) => row.EnumerateArray().Select((v, c) => new GaugeReading($"P{p + 1}", "ABC"[c / 3].ToString(), (c % 3) + 1, v.GetDouble())))];

    private static List<GaugeReading> Made(
        SeededSource source, int parts, int appraisers, int trials, double equipment, double appraiser, double interaction, double part)
    {
        double[] a = [.. Enumerable.Range(0, appraisers).Select(_ => appraiser * source.NextNormal())];
        var readings = new List<GaugeReading>();
        for (var p = 0; p < parts; p++)
        {
            var height = part * source.NextNormal();
            for (var k = 0; k < appraisers; k++)
            {
                var both = interaction * source.NextNormal();
                for (var t = 0; t < trials; t++)
                    readings.Add(new GaugeReading($"P{p}", $"A{k}", t + 1, height + a[k] + both + (equipment * source.NextNormal())));
            }
        }

        return readings;
    }

    /// <summary>Part, appraiser, interaction, equipment, total: by differences of squared totals, as by hand.</summary>
    private static double[] Twin(List<GaugeReading> readings)
    {
        double correction = Square(readings.Sum(r => r.Value)) / readings.Count, total = readings.Sum(r => Square(r.Value)) - correction;
        double Of(Func<GaugeReading, object> by) => readings.GroupBy(by).Sum(g => Square(g.Sum(r => r.Value)) / g.Count()) - correction;
        double part = Of(r => r.Part), appraiser = Of(r => r.Appraiser), cells = Of(r => (r.Part, r.Appraiser));
        return [part, appraiser, cells - part - appraiser, total - cells, total];
    }

    private static double Square(double value) => value * value;
}
