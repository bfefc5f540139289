using System.Text.RegularExpressions;
using BuildTrack.Documents.Checking;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Web.Tests.Lines;

/// <summary>Published and constructed sets from the register of instruments to the certificate: sheet, JSON and printed page show their answers.</summary>
public sealed partial class LinesThroughServerTests(MeasuredLines lines) : IClassFixture<MeasuredLines>
{
    /// <summary>A rounded second of arc (5 µm/m) in exact ones (4.8481368 µm/m): the notes publish with the rounded constant.</summary>
    private const double ExactPerRounded = 4.84813681109536 / 5;

    /// <summary>Line, file, path of the expected value in it, factor to the calculated unit, and the text of it as shown.</summary>
    public static TheoryData<string, string, string, double, string> Expected => new()
    {
        { "100-51", "straightness-level-1200mm", "published/straightness_mm", 1000, "20.0 µm" },
        { "100-52", "straightness-level-1200mm", "recomputed/least_squares/STRt", 1, "16.6 µm" },
        { "100-53", "straightness-level-1200mm", "recomputed/minimum_zone_vertical/STRt", 1, "16.4 µm" },
        { "100-54", "straightness-autocollimator-600mm", "recomputed/exact_arcsec/end_point_straightness_um", 1, "2.9 µm" },
        { "100-55", "straightness-autocollimator-600mm", "recomputed/rounded_constant/least_squares/STRt", ExactPerRounded, "2.9 µm" },
        { "100-56", "straightness-autocollimator-600mm", "recomputed/rounded_constant/minimum_zone_vertical/STRt", ExactPerRounded, "2.9 µm" },
        { "100-57", "straightness-squareness-two-axes", "recomputed/axis1/end_point/straightness", 1, "0.9 µm" },
        { "100-58", "straightness-squareness-two-axes", "recomputed/axis1/least_squares/STRt", 1, "0.7 µm" },
        // 0.65 less the rounding of its calculation.
        { "100-59", "straightness-squareness-two-axes", "recomputed/axis1/minimum_zone_vertical/STRt", 1, "0.6 µm" },
        { "100-60", "straightness-squareness-two-axes", "recomputed/axis2/end_point/straightness", 1, "1.3 µm" },
        { "100-61", "straightness-squareness-two-axes", "recomputed/axis2/least_squares/STRt", 1, "1.1 µm" },
        { "100-62", "straightness-squareness-two-axes", "recomputed/axis2/minimum_zone_vertical/STRt", 1, "0.9 µm" },
        { "100-64", "constructed-two-rails", "recomputed/twist_total_um_per_m", 1, "8.333 µm/m" },
        { "100-66", "constructed-two-rails", "recomputed/max_twist_change_per_500mm_um_per_m", 1, "5 µm/m" },
        { "100-68", "constructed-two-rails", "recomputed/twist_total_um_per_m", 1, "0.008 mm/m" },
        { "100-70", "constructed-two-rails", "recomputed/max_twist_change_per_500mm_um_per_m", 1, "0.005 mm/m" },
        { "100-71", "constructed-grid-level-network-3x4", "recomputed/flatness/ls_plane/FLTt_perpendicular", 1, "5.3 µm" },
        { "100-72", "constructed-grid-level-network-3x4", "recomputed/flatness/minimum_zone/perpendicular_um", 1, "4.9 µm" },
        { "100-73", "acc-iso230-2-slit-axis", "recomputed_um/A", 1, "18.6 µm" },
        { "100-74", "acc-iso230-2-slit-axis", "recomputed_um/E", 1, "16.0 µm" },
        { "100-75", "acc-iso230-2-slit-axis", "recomputed_um/R", 1, "8.4 µm" },
        { "100-76", "acc-iso230-2-slit-axis", "recomputed_um/B_axis", 1, "4.6 µm" },
    };

    [Theory]
    [MemberData(nameof(Expected))]
    public Task A_published_answer_stands_on_the_sheet_in_the_record_and_on_the_certificate(string line, string file, string path, double factor, string shown)
    {
        var reference = ReferenceFile.Load(file);
        return Stands(line, factor * reference.Number(path.Split('/')), shown, reference.Origin);
    }

    /// <summary>Seven pairs of stations with 27/8.4 µm/m as mean: the highest, 7.5 µm/m, is 30/7 above it; the ends differ by 5 µm/m (constructed, exact).</summary>
    [Theory]
    [InlineData("100-63", 30.0 / 7, "4.286 µm/m")]
    [InlineData("100-65", 5, "5 µm/m")]
    [InlineData("100-67", 30.0 / 7, "0.004 mm/m")]
    [InlineData("100-69", 5, "0.005 mm/m")]
    public Task Cross_level_and_end_twist_of_the_constructed_rails_are_exact(string line, double expected, string shown) =>
        Stands(line, expected, shown, "constructed for this project");

    [Fact]
    public void Runs_out_and_back_that_differ_by_more_than_the_straightness_are_shown_and_not_refused()
    {
        var result = lines.Results["100-54"];
        var difference = Survey.Figure(result, "out/back difference");

        // Out 0 3 7 0 1 6, back 0 3 7 −4 −1 2 seconds of arc over 100 mm: the sums differ by 4, then 6, then 10 at the end.
        Assert.Equal(10 * 0.484813681109536, difference, 1e-9);
        Assert.True(difference > (double)result["value"]!);
        Assert.Equal("accepted", (string)result["verdict"]!);
    }

    /// <summary>One division of the level is 0.01 mm/m; one second of arc 4.848137 µm/m.</summary>
    [Theory]
    [InlineData("L1→L2", "6 div", "60")]
    [InlineData("L2→L3", "-3 div", "−30")]
    [InlineData("M2→M3", "7 arcsec", "33.94")]
    [InlineData("C1", "2.5 µm/m", "2.5")]
    public void The_annex_shows_each_reading_as_typed_and_as_the_slope_it_is(string place, string typed, string calculated)
    {
        var row = lines.Printed.First(l => l.TrimStart().StartsWith(place + " ", StringComparison.Ordinal) && l.Contains(typed, StringComparison.Ordinal));
        Assert.Contains(calculated, row.Split(' ', StringSplitOptions.RemoveEmptyEntries));
        Assert.Contains(lines.Printed, l => l.Contains("run 1 µm/m", StringComparison.Ordinal));
    }

    [Fact]
    public void The_certificate_of_all_lines_holds_in_every_point()
    {
        Assert.Equal(lines.Results.Keys.Order(StringComparer.Ordinal), lines.Certified.Keys.Order(StringComparer.Ordinal));
        var report = CertificateCheck.Check(lines.Pdf, lines.KeyFingerprint);
        Assert.NotEmpty(report.Lines);
        Assert.All(report.Lines, l => Assert.True(l.Outcome == CheckOutcome.Holds, l.Sentence));
    }

    private async Task Stands(string line, double expected, string shown, string origin)
    {
        foreach (var (where, result) in new[] { ("API", lines.Results[line]), ("certificate", lines.Certified[line]) })
        {
            var value = (double)result["value"]!;
            Assert.True(Agreement.Digits(expected, value) >= 6, $"{line}, {where}: expected {expected:R}, found {value:R}. Origin: {origin}");
            Assert.Equal("accepted", (string)result["verdict"]!);
        }

        var big = Big().Match(await lines.Sheet(line));
        Assert.True(big.Success, $"the sheet of {line} shows no result");
        Assert.Equal(shown, $"{big.Groups[1].Value} {big.Groups[2].Value}");

        // The letters of the sheet's border stand before some rows.
        var row = lines.Printed.FirstOrDefault(l => Regex.IsMatch(l, $@"^\s*([A-F]\s+)?{line} "));
        Assert.True(row is not null, $"{line} is not printed");
        string[] parts = shown.Split(' ');
        string[] cells = [.. row.Split(' ', StringSplitOptions.RemoveEmptyEntries)];
        Assert.Contains(parts[0], cells);
        Assert.Contains(parts[1], cells);
    }

    [GeneratedRegex("<dd class=\"big\">\\s*<span class=\"num\">([^<]*)<span class=\"unit\">([^<]*)</span>")]
    private static partial Regex Big();
}
