using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Grades of surface plates by command; expected figures from the tables named in docs/method/acceptance.md, section 5.</summary>
public class PlateGradeCommandTests
{
    [Theory]
    [InlineData("din-876", "1000", "630", "longest side", 1000, "00=4 0=8 I=20 II=40 III=80")]
    [InlineData("iso-8512", "630", "1000", "diagonal rounded up to the next 100 mm", 1200, "0=6 1=12 2=24 3=49")]
    public void All_grades_of_the_worked_examples_are_told(string standard, string length, string width, string size, double sizeMm, string expected)
    {
        var run = Run("--standard", standard, "--length-mm", length, "--width-mm", width);

        Assert.Equal(expected, string.Join(' ', run.Json["grades"]!.AsArray().Select(g => $"{g!["grade"]!.GetValue<string>()}={g["limitUm"]!.ToJsonString()}")));
        Assert.Equal(size, run.Json["size"]!.GetValue<string>());
        Assert.Equal(sizeMm, run.Json["sizeMm"]!.GetValue<double>());
        Assert.True(run.Json["withinTable"]!.GetValue<bool>());
    }

    [Fact]
    public void One_grade_of_a_plate_in_inches_has_the_formula_and_the_table_beside_it()
    {
        var run = Run("--standard", "ggg-p-463c", "--length-mm", "914,4", "--width-mm", "609.6", "--grade", "A");

        var grade = Assert.Single(run.Json["grades"]!.AsArray())!;
        Assert.Equal("A", grade["grade"]!.GetValue<string>());
        Assert.Equal(2 * 114.88 * 0.0254, grade["limitUm"]!.GetValue<double>(), 12);
        Assert.Equal(200 * 0.0254, grade["tabulatedUm"]!.GetValue<double>(), 12);
        Assert.Equal("formula", run.Json["applied"]!.GetValue<string>());
    }

    [Fact]
    public void A_bed_larger_than_the_table_is_calculated_and_said() =>
        Assert.False(Run("--standard", "iso-8512", "--length-mm", "3000", "--width-mm", "1500").Json["withinTable"]!.GetValue<bool>());

    [Theory]
    [InlineData("--length-mm 500 --width-mm 300", "--standard: found nothing, expected din-876 or ggg-p-463c or iso-8512")]
    [InlineData("--standard din --length-mm 500 --width-mm 300", "--standard: found 'din'")]
    [InlineData("--standard din-876 --length-mm NaN --width-mm 300", "--length-mm: found 'NaN', expected the side of the plate in mm, from 50 to 10000")]
    [InlineData("--standard din-876 --length-mm 500 --width-mm=-300", "--width-mm: found '-300'")]
    [InlineData("--standard din-876 --length-mm 500", "--width-mm: found nothing")]
    [InlineData("--standard din-876 --length-mm 500 --width-mm 300 --grade 1", "--grade: found '1', expected 00 or 0 or I or II or III")]
    [InlineData("--standard ggg-p-463c --length-mm 500 --width-mm 300 --grade C", "--grade: found 'C', expected AA or A or B")]
    public void Options_that_cannot_be_used_are_named_once(string arguments, string expected)
    {
        var run = CommandLine.Run(["evaluate", "plate-grade", .. arguments.Split(' '), "--json"]);

        Assert.Equal(2, run.Exit);
        Assert.Empty(run.Output);
        Assert.Contains(expected, Assert.Single(run.ErrorLines), StringComparison.Ordinal);
    }

    private static CommandLine Run(params string[] options)
    {
        var run = CommandLine.Run(["evaluate", "plate-grade", .. options, "--json"]);
        Assert.True(run.Exit == 0, run.Errors);
        return run;
    }
}
