using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Statistics;

/// <summary>NIST Statistical Reference Datasets, analysis of variance, at the digits double precision can reach from the decimal data.</summary>
public sealed class OneWayAnalysisTests
{
    [Theory]
    [InlineData("atmwtag")]
    [InlineData("sirstv")]
    [InlineData("smls01")]
    [InlineData("smls04")]
    public void The_certified_tables_are_reached(string name)
    {
        var file = ReferenceFile.Load("nist-strd-anova-" + name);
        var result = OneWayAnalysis.Of([.. file.At("groups").EnumerateObject()
            .Select(g => (IReadOnlyList<double>)[.. g.Value.EnumerateArray().Select(v => v.GetDouble())])]);
        Assert.Equal(file.Number("published", "df_between"), result.BetweenDegrees);
        Assert.Equal(file.Number("published", "df_within"), result.WithinDegrees);
        file.Reaches(file.Number("published", "F"), result.F!.Value, "F", "F");
        file.Reaches(file.Number("published", "SS_between"), result.BetweenSquares, "published", "between");
        file.Reaches(file.Number("published", "SS_within"), result.WithinSquares, "published", "within");
        file.Reaches(file.Number("published", "MS_between"), result.BetweenMeanSquare, "published", "mean square between");
        file.Reaches(file.Number("published", "R2"), result.ExplainedPart, "published", "R²");
        file.Reaches(file.Number("published", "residual_sd"), result.WithinSigma, "published", "residual standard deviation");
    }

    [Fact]
    public void The_probability_of_F_is_that_of_closed_forms()
    {
        // Two degrees above: P = (1 + 2F/ν)^(−ν/2). One above: F is t², so P is that of Student's t; two below: P = 1 − (1 + 2/(ν F))^(−ν/2).
        foreach (var (f, nu) in new[] { (0.5, 7), (3.2, 10), (20, 4), (1e-3, 30), (40, 60) })
        {
            Agreement.Near(1, Quantiles.FisherTail(f, 2, nu) / Math.Pow(1 + (2 * f / nu), -nu / 2.0), 1e-5, $"F {f}, 2 and {nu}");
            Agreement.Near(1, Quantiles.FisherTail(f, nu, 2) / (1 - Math.Pow(1 + (2 / (nu * f)), -nu / 2.0)), 1e-5, $"F {f}, {nu} and 2");
        }

        // t₀.₉₇₅ of 10 degrees is 2.2281389 (table G.2 of the guide, recomputed).
        Agreement.Near(0.05, Quantiles.FisherTail(2.2281389 * 2.2281389, 1, 10), 1e-6, "t²");
        Assert.Equal(1, Quantiles.FisherTail(0, 3, 4));

        // χ² of two degrees is −2 ln(1 − p); of one the square of a normal value.
        Agreement.Near(-2 * Math.Log(0.05), Quantiles.ChiSquare(0.95, 2), 1e-5, "χ², 2");
        Agreement.Near(1.959963985 * 1.959963985, Quantiles.ChiSquare(0.95, 1), 1e-5, "χ², 1");
        Assert.Throws<ArgumentOutOfRangeException>(() => Quantiles.ChiSquare(1, 3));
        Assert.Throws<ArgumentOutOfRangeException>(() => Quantiles.FisherTail(-1, 3, 3));
        Assert.Throws<ArgumentOutOfRangeException>(() => Quantiles.FisherTail(1, 0, 3));
    }

    [Fact]
    public void Groups_of_one_population_exceed_the_five_per_cent_line_five_times_in_a_hundred()
    {
        const ulong seed = 7701;
        var source = new SeededSource(seed);
        const int trials = 4000;
        var exceeded = 0;
        for (var trial = 0; trial < trials; trial++)
        {
            double[][] groups = [.. new[] { 3, 8, 5, 2 }.Select(n => Enumerable.Range(0, n).Select(_ => 5 + source.NextNormal()).ToArray())];
            var result = OneWayAnalysis.Of(groups);
            exceeded += result.Probability < 0.05 ? 1 : 0;

            // Twin: total sum of squares about the grand mean is the sum of both.
            double[] all = [.. groups.SelectMany(g => g)];
            var grand = all.Average();
            Agreement.Near(all.Sum(v => (v - grand) * (v - grand)), result.BetweenSquares + result.WithinSquares, 1e-10, $"seed {seed}, trial {trial}");
            Assert.Equal(result.F!.Value, OneWayAnalysis.Of([.. groups.Reverse()]).F!.Value, 9);
        }

        Agreement.Near(0.05, (double)exceeded / trials, 0.0145, $"seed {seed}");
    }

    [Fact]
    public void Groups_that_cannot_be_compared_are_refused_or_say_why()
    {
        Assert.Contains("no spread", OneWayAnalysis.Of([[1, 1], [2, 2]]).DefectSentence, StringComparison.Ordinal);
        Refused("There are 1 groups", () => OneWayAnalysis.Of([[1, 2]]));
        Refused("groups[1] is empty", () => OneWayAnalysis.Of([[1, 2], []]));
        Refused("No group has two values", () => OneWayAnalysis.Of([[1], [2]]));
        Refused("groups[1][0] is NaN", () => OneWayAnalysis.Of([[1, 2], [double.NaN]]));
        Refused("groups[0][1]", () => OneWayAnalysis.Of([[1, 1e13], [2]]));
    }
}
