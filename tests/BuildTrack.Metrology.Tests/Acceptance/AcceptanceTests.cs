using System.Text.Json;
using BuildTrack.Metrology.Acceptance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Tests.Acceptance;

public sealed class AcceptanceTests
{
    [Fact]
    public void The_four_sets_of_film_readings_are_judged_as_the_standard_does_at_either_reading_of_its_boundary()
    {
        var file = ReferenceFile.Load("acc-coating");
        var nominal = file.Number("dft_sets_constructed", "NDFT_um");
        foreach (var set in file.At("dft_sets_constructed", "sets").EnumerateObject())
        {
            double[][] spots = [.. set.Value.GetProperty("readings_um").EnumerateArray().Select(r => new[] { r.GetDouble() })];
            var expected = set.Value.GetProperty("result");
            foreach (var (allowed, name) in new[] { (false, "pass_strict_lt20"), (true, "pass_le20") })
            {
                var decision = CoatingThickness.Decide(spots, new CoatingRule(nominal, 0.8, 0.2, allowed, 3 * nominal));
                file.Reaches(expected.GetProperty("mean").GetDouble(), decision.MeanUm, "mean", set.Name);
                Assert.Equal(
                    (expected.GetProperty("min").GetDouble(), expected.GetProperty("max").GetDouble(), expected.GetProperty("fraction_80_100").GetDouble()),
                    (decision.SmallestUm, decision.LargestUm, decision.ThinShare));
                Assert.True((decision.Verdict == Verdict.Accepted) == expected.GetProperty(name).GetBoolean(), $"{set.Name}, {name}: {string.Join(" ", decision.Because)}");
                Assert.Equal(decision.Verdict == Verdict.Accepted, decision.Because.IsEmpty);
            }
        }
    }

    [Theory]
    [InlineData("60 60 60", Verdict.Accepted)]
    [InlineData("48 66 66", Verdict.Accepted)]
    [InlineData("47.9 66.1 66", Verdict.Rejected)]
    [InlineData("48 66 65.9", Verdict.Rejected)]
    public void A_company_coating_needs_its_mean_and_four_fifths_in_every_spot(string spots, Verdict verdict)
    {
        // Each spot is written as three readings about its value: a spot is their mean.
        double[][] readings = [.. spots.Split(' ').Select(s => double.Parse(s, System.Globalization.CultureInfo.InvariantCulture)).Select(s => new[] { s - 20, s, s + 20 })];
        Assert.Equal(verdict, CoatingThickness.Decide(readings, new CoatingRule(60)).Verdict);
    }

    [Fact]
    public void Limits_of_the_cut_edge_are_the_published_ones()
    {
        var file = ReferenceFile.Load("acc-iso9013-tables");
        foreach (var point in file.At("recomputed_points").EnumerateArray())
        {
            var thickness = point.GetProperty("a_mm").GetDouble();
            foreach (var u in point.GetProperty("u_mm").EnumerateObject())
                file.Reaches(u.Value.GetDouble(), CutEdge.SquarenessLimitMm(Range(u.Name), thickness), "points", $"u at {thickness}");
            foreach (var rz in point.GetProperty("Rz5_um").EnumerateObject())
                file.Reaches(rz.Value.GetDouble(), CutEdge.RoughnessLimitUm(Range(rz.Name), thickness), "points", $"Rz5 at {thickness}");
        }

        foreach (var thickness in new[] { 1.5, 12.7 })
        {
            var inches = file.At("published_points", FormattableString.Invariant($"u range1..5 at {thickness} mm (inch)"));
            for (var range = 1; range <= 5; range++)
                Assert.Equal(inches[range - 1].GetDouble(), Math.Round(CutEdge.SquarenessLimitMm(range, thickness) / 25.4, file.Digits("inch")));
        }

        Assert.Equal((file.Number("published_points", "at 10 mm", "u1_mm"), file.Number("published_points", "at 10 mm", "Rz5_1_um")), (CutEdge.SquarenessLimitMm(1, 10), CutEdge.RoughnessLimitUm(1, 10)));
        foreach (var (name, decimals, limit) in new (string, int, Func<double, double>)[]
        {
            ("u1_mm", 3, t => CutEdge.SquarenessLimitMm(1, t)), ("u2_mm", 3, t => CutEdge.SquarenessLimitMm(2, t)),
            ("Rz1_um", 0, t => CutEdge.RoughnessLimitUm(1, t)), ("Rz2_um", 0, t => CutEdge.RoughnessLimitUm(2, t)),
        })
        {
            foreach (var row in file.At("shop_table", name).EnumerateArray())
                Agreement.Near(row[1].GetDouble(), Math.Round(limit(row[0].GetDouble()), decimals), 1e-12, $"{name} at {row[0]} mm");
        }
    }

    [Fact]
    public void Size_limits_of_cut_parts_are_those_of_the_printed_tables_up_to_32_mm()
    {
        var file = ReferenceFile.Load("acc-iso9013-tables");
        double[] sizes = [1, 3, 10, 35, 125, 315, 1000, 2000, 4000, 6000];
        double[] sizesEnd = [2.999, 9.999, 34.999, 124.999, 314.999, 999.999, 1999.999, 3999.999, 5999.999, 7999.999];
        var compared = 0;
        foreach (var toleranceClass in new[] { 1, 2 })
        {
            foreach (var row in file.At($"class{toleranceClass}_limits_mm").EnumerateArray())
            {
                var over = row[0].GetString()!.Split('-').Select(s => double.Parse(s, System.Globalization.CultureInfo.InvariantCulture)).ToArray();
                if (over[1] > CutEdge.ThickestMm)
                    continue;
                foreach (var thickness in new[] { Math.Max(CutEdge.ThinnestMm, over[0] + 0.001), over[1] })
                {
                    for (var i = 0; i < sizes.Length; i++)
                    {
                        double? expected = row[i + 1].ValueKind == JsonValueKind.Null ? null : row[i + 1].GetDouble();
                        Assert.Equal((expected, expected), (CutEdge.SizeLimitMm(toleranceClass, thickness, sizes[i]), CutEdge.SizeLimitMm(toleranceClass, thickness, sizesEnd[i])));
                        compared++;
                    }
                }
            }
        }

        Assert.Equal(2 * 8 * 2 * 10, compared);
        foreach (var size in file.At("published_sizes").EnumerateArray())
            Assert.Equal(size.GetProperty("limit_mm").GetDouble(), CutEdge.SizeLimitMm(size.GetProperty("class").GetInt32(), size.GetProperty("thickness_mm").GetDouble(), size.GetProperty("size_mm").GetDouble()));
        Assert.Null(CutEdge.SizeLimitMm(1, 5, 8000));
    }

    [Theory]
    [InlineData(0.49)]
    [InlineData(32.01)]
    [InlineData(50)]
    [InlineData(double.NaN)]
    [InlineData(-1)]
    public void A_plate_outside_the_standard_has_no_limit(double thickness)
    {
        Assert.ThrowsAny<ArgumentException>(() => CutEdge.SquarenessLimitMm(1, thickness));
        Assert.ThrowsAny<ArgumentException>(() => CutEdge.RoughnessLimitUm(1, thickness));
        Assert.ThrowsAny<ArgumentException>(() => CutEdge.SizeLimitMm(1, thickness, 100));
    }

    [Fact]
    public void Ranges_and_classes_that_do_not_exist_are_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => CutEdge.SquarenessLimitMm(0, 5));
        Assert.Throws<ArgumentOutOfRangeException>(() => CutEdge.SquarenessLimitMm(6, 5));
        Assert.Throws<ArgumentOutOfRangeException>(() => CutEdge.RoughnessLimitUm(5, 5));
        Assert.Throws<ArgumentOutOfRangeException>(() => CutEdge.SizeLimitMm(3, 5, 100));
        Assert.Throws<ArgumentOutOfRangeException>(() => CutEdge.SizeLimitMm(1, 5, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => GeneralTolerance.LengthLimitMm((LinearClass)4, 100));
        Assert.Throws<ArgumentOutOfRangeException>(() => GeneralTolerance.FormLimitMm((FormClass)4, 100));
        Assert.Throws<ArgumentOutOfRangeException>(() => GeneralTolerance.LengthLimitMm(LinearClass.A, 1.9));
        Assert.Throws<ArgumentOutOfRangeException>(() => GeneralTolerance.FormLimitMm(FormClass.E, 30));
        Assert.Throws<ArgumentException>(() => GeneralTolerance.LengthLimitMm(LinearClass.A, double.NaN));
    }

    [Fact]
    public void General_tolerances_are_those_of_the_printed_table_at_both_ends_of_every_range()
    {
        var file = ReferenceFile.Load("acc-general-tolerances");
        foreach (var linear in Enum.GetValues<LinearClass>())
        {
            Assert.Equal(file.Number("example", linear.ToString()), GeneralTolerance.LengthLimitMm(linear, file.Number("example", "size_mm")));
            foreach (var (over, to, i) in Ranges("length_ranges_mm"))
            {
                var cell = file.At("iso13920", linear.ToString())[i];
                double? expected = cell.ValueKind == JsonValueKind.Null ? null : cell.GetDouble();
                Assert.Equal((expected, expected), (GeneralTolerance.LengthLimitMm(linear, over + 0.001), GeneralTolerance.LengthLimitMm(linear, to)));
            }
        }

        foreach (var form in Enum.GetValues<FormClass>())
        {
            Assert.Equal(file.Number("example", form.ToString()), GeneralTolerance.FormLimitMm(form, file.Number("example", "size_mm")));
            foreach (var (over, to, i) in Ranges("form_ranges_mm"))
            {
                var expected = file.At("iso13920", form.ToString())[i].GetDouble();
                Assert.Equal((expected, expected), (GeneralTolerance.FormLimitMm(form, over + 0.001), GeneralTolerance.FormLimitMm(form, to)));
            }
        }

        (double Over, double To, int Index)[] Ranges(string name) => [.. file.At("iso13920", name).EnumerateArray().Select((r, i) =>
        {
            var text = r.GetString()!;
            double[] ends = [.. text.TrimStart('>').Split('-').Select(s => double.Parse(s, System.Globalization.CultureInfo.InvariantCulture))];
            return (ends[0], text[0] == '>' ? GeneralTolerance.LargestMm : ends[1], i);
        })];
    }

    [Fact]
    public void Laser_power_is_accepted_only_with_the_meters_uncertainty_on_top_of_the_limit()
    {
        var file = ReferenceFile.Load("laser-power");
        foreach (var row in file.At("cases").EnumerateArray())
        {
            double rated = N("rated_w"), limit = N("limit_part"), u = N("u_w"), from = N("accept_from_w"), below = N("reject_below_w");
            var decision = LaserPower.Decide(from, rated, limit, u);
            file.Reaches(from, decision.AcceptFrom!.Value, "bound", "accept from");
            file.Reaches(below, decision.RejectBelow!.Value, "bound", "reject below");
            Assert.Equal(Verdict.Accepted, decision.Verdict);
            Assert.Equal(Verdict.NotProven, LaserPower.Decide(from - 0.1, rated, limit, u).Verdict);
            Assert.Equal(Verdict.NotProven, LaserPower.Decide(below, rated, limit, u).Verdict);
            Assert.Equal(Verdict.Rejected, LaserPower.Decide(below - 0.1, rated, limit, u).Verdict);

            double N(string name) => row.GetProperty(name).GetDouble();
        }
    }

    [Fact]
    public void Drift_of_a_certified_series_has_its_mean_and_standard_deviation_and_warm_up_does_not_count()
    {
        var file = ReferenceFile.Load("nist-strd-numacc4");
        double[] powers = [0, 5e6, .. file.At("points").EnumerateArray().Select(p => p.GetDouble())];
        double[] minutes = [.. Enumerable.Range(0, powers.Length).Select(i => i + 28.0)];
        var drift = LaserPower.Drift(minutes, powers, 30)!;
        Assert.Equal(powers.Length - 2, drift.Readings);
        Assert.InRange(Agreement.Digits(10000000.2, drift.MeanW), 15, 16);
        Assert.InRange(Agreement.Digits(0.1, drift.StandardDeviationW), file.Digits("standard_deviation"), 16);
        Assert.InRange(Agreement.Digits(0.1, drift.LargestDepartureW), 7, 16);
        Assert.InRange(Agreement.Digits(1e-6, drift.LargestDeparturePercent), 7, 16);
        Assert.Null(LaserPower.Drift(minutes, powers, minutes[^1]));
        Assert.Null(LaserPower.Drift([0, 1], [0, 0], 0));
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_at_the_door()
    {
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, -1, 1e300 })
        {
            Assert.ThrowsAny<ArgumentException>(() => CoatingThickness.Decide([[bad]], new CoatingRule(60)));
            Assert.ThrowsAny<ArgumentException>(() => CoatingThickness.Decide([[60]], new CoatingRule(bad)));
            Assert.ThrowsAny<ArgumentException>(() => CoatingThickness.Decide([[60]], new CoatingRule(60, bad)));
            Assert.ThrowsAny<ArgumentException>(() => CoatingThickness.Decide([[60]], new CoatingRule(60, 0.8, bad)));
            Assert.ThrowsAny<ArgumentException>(() => LaserPower.Decide(bad, 100, 0.05, 1));
            Assert.ThrowsAny<ArgumentException>(() => LaserPower.Decide(100, bad, 0.05, 1));
            Assert.ThrowsAny<ArgumentException>(() => LaserPower.Decide(100, 100, bad, 1));
            Assert.ThrowsAny<ArgumentException>(() => LaserPower.Decide(100, 100, 0.05, bad));
            Assert.ThrowsAny<ArgumentException>(() => LaserPower.Drift([0, 1], [bad, 1], 0));
        }

        Assert.ThrowsAny<ArgumentException>(() => CoatingThickness.Decide([], new CoatingRule(60)));
        Assert.ThrowsAny<ArgumentException>(() => CoatingThickness.Decide([[]], new CoatingRule(60)));
        Assert.ThrowsAny<ArgumentException>(() => CoatingThickness.Decide([[60]], new CoatingRule(60, LargestUm: 59)));
        Assert.ThrowsAny<ArgumentException>(() => LaserPower.Drift([0], [1, 1], 0));
        Assert.ThrowsAny<ArgumentException>(() => LaserPower.Drift([0], [1], -1));
    }

    private static int Range(string text) => int.Parse(text, System.Globalization.CultureInfo.InvariantCulture);
}
