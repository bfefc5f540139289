using System.Text.Json;
using BuildTrack.Metrology.Acceptance;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Acceptance;

public sealed class PlateGradeTests
{
    [Fact]
    public void Din_876_gives_every_printed_row_and_grade_00_half_of_grade_0()
    {
        var file = ReferenceFile.Load("tolerance-din-876");
        foreach (var row in file.At("points").EnumerateArray())
        {
            var longest = row.GetProperty("L_mm").GetDouble();
            foreach (var (length, width) in new[] { (longest, 60.0), (longest, longest), (0.4 * longest, longest) })
            {
                var limits = PlateGrade.Limits(PlateStandard.Din876, length, width);
                foreach (var grade in new[] { "0", "I", "II", "III" })
                    file.Reaches(row.GetProperty(grade).GetDouble(), Of(limits, grade).LimitUm, "table", $"{grade} at {longest} mm");
                file.Reaches(row.GetProperty("0").GetDouble() / 2, Of(limits, "00").LimitUm, "table", $"00 at {longest} mm");
                Assert.True(limits.WithinTable);
                Assert.Equal(longest, limits.SizeMm);
                Assert.Equal(["00"], limits.Grades.Where(g => g.FromMemory).Select(g => g.Grade));
            }
        }
    }

    [Fact]
    public void Ggg_p_463c_applies_the_formula_and_tells_the_rounded_value_of_the_table_beside_it()
    {
        var file = ReferenceFile.Load("tolerance-ggg-p-463c");
        var formulas = file.At("recomputed", "rows").EnumerateArray().ToArray();
        foreach (var (row, i) in file.At("points").EnumerateArray().Select((r, i) => (r, i)))
        {
            double[] sides = [.. row.GetProperty("size_in").EnumerateArray().Select(s => s.GetDouble() * 25.4)];
            var limits = PlateGrade.Limits(PlateStandard.GggP463c, sides[0], sides[1]);
            foreach (var (grade, times) in new[] { ("AA", 1), ("A", 2), ("B", 4) })
            {
                file.Reaches(times * formulas[i].GetProperty("formula_uin").GetDouble() * 0.0254, Of(limits, grade).LimitUm, "formula", $"{grade} of row {i}");
                file.Reaches(row.GetProperty(grade + "_uin").GetDouble() * 0.0254, Of(limits, grade).TabulatedUm!.Value, "table", $"{grade} of row {i}");
            }

            // The metric form printed with exact conversion, five digits in its coefficients.
            file.Reaches(1.016 + (1.5748e-6 * ((sides[0] * sides[0]) + (sides[1] * sides[1]))), Of(limits, "AA").LimitUm, "metric", $"metric form of row {i}");
            Assert.True(limits.WithinTable);
        }
    }

    [Fact]
    public void Iso_8512_gives_every_recalled_row_and_says_that_it_is_recalled()
    {
        var file = ReferenceFile.Load("tolerance-iso-8512");
        var diagonals = file.At("recomputed", "rows").EnumerateArray().ToArray();
        foreach (var (row, i) in file.At("points").EnumerateArray().Select((r, i) => (r, i)))
        {
            double[] sides = [.. row.GetProperty("size_mm").EnumerateArray().Select(s => s.GetDouble())];
            var limits = PlateGrade.Limits(PlateStandard.Iso8512, sides[0], sides[1]);
            Assert.Equal(diagonals[i].GetProperty("diagonal_rounded_up_mm").GetDouble(), limits.SizeMm);
            foreach (var grade in limits.Grades)
                file.Reaches(row.GetProperty("grade" + grade.Grade).GetDouble(), grade.LimitUm, "table", $"{grade.Grade} at {sides[0]} x {sides[1]} mm");
            Assert.True(limits.WithinTable && limits.Grades.Length == 4 && limits.Grades.All(g => g.FromMemory));
        }
    }

    [Fact]
    public void A_diagonal_of_whole_hundreds_is_not_rounded_up_further_and_a_hair_more_is()
    {
        Assert.Equal(500, PlateGrade.Limits(PlateStandard.Iso8512, 300, 400).SizeMm);
        Assert.Equal(600, PlateGrade.Limits(PlateStandard.Iso8512, 300, 400.001).SizeMm);
    }

    [Theory]
    [InlineData(PlateStandard.Din876, 190, 190, false)]
    [InlineData(PlateStandard.Din876, 6600, 1000, false)]
    [InlineData(PlateStandard.GggP463c, 304.8, 304.7, false)]
    [InlineData(PlateStandard.GggP463c, 1219.2, 2438.5, false)]
    [InlineData(PlateStandard.Iso8512, 3000, 1500, false)]
    [InlineData(PlateStandard.Iso8512, 70, 70, false)]
    [InlineData(PlateStandard.Iso8512, 110, 110, true)]
    public void A_size_outside_the_printed_table_is_calculated_and_said(PlateStandard standard, double lengthMm, double widthMm, bool within)
    {
        var limits = PlateGrade.Limits(standard, lengthMm, widthMm);
        Assert.Equal(within, limits.WithinTable);
        Assert.All(limits.Grades, g => Assert.True(double.IsFinite(g.LimitUm) && g.LimitUm > 0));
    }

    [Fact]
    public void A_wider_grade_and_a_larger_plate_never_have_a_narrower_limit_and_the_order_of_sides_does_not_matter()
    {
        foreach (var standard in Enum.GetValues<PlateStandard>())
        {
            PlateLimits? before = null;
            for (var side = PlateGrade.SmallestSideMm; side <= PlateGrade.LargestSideMm; side += 37.5)
            {
                var limits = PlateGrade.Limits(standard, side, 640);
                Assert.Equal(limits.Grades, PlateGrade.Limits(standard, 640, side).Grades);
                Assert.Equal(limits.Grades.OrderBy(g => g.LimitUm), limits.Grades);
                for (var i = 0; before is not null && i < limits.Grades.Length; i++)
                    Assert.True(limits.Grades[i].LimitUm >= before.Grades[i].LimitUm && !(limits.Grades[i].TabulatedUm < before.Grades[i].TabulatedUm), $"{standard} at {side}");
                before = limits;
            }
        }
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(0)]
    [InlineData(-300)]
    [InlineData(49.9)]
    [InlineData(10001)]
    public void A_side_that_is_none_is_refused_by_name(double side)
    {
        foreach (var standard in Enum.GetValues<PlateStandard>())
        {
            Assert.StartsWith("lengthMm is ", Assert.ThrowsAny<ArgumentException>(() => PlateGrade.Limits(standard, side, 500)).Message, StringComparison.Ordinal);
            Assert.StartsWith("widthMm is ", Assert.ThrowsAny<ArgumentException>(() => PlateGrade.Limits(standard, 500, side)).Message, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void An_unknown_standard_is_refused() => Assert.Throws<ArgumentOutOfRangeException>(() => PlateGrade.Limits((PlateStandard)3, 500, 500));

    private static PlateGradeLimit Of(PlateLimits limits, string grade) => limits.Grades.Single(g => g.Grade == grade);
}
