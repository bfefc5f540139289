using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>A published table of dew points, figures of the formula, and its inverse as a slow twin.</summary>
public sealed class DewPointTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("dew-point");

    private static double Dew(double celsius, double humidity) => DewPoint.Of(Temperature.FromDegreesCelsius(celsius), humidity).DewPoint.DegreesCelsius;

    [Fact]
    public void The_printed_table_comes_out()
    {
        Assert.Equal(29, File.At("rows").GetArrayLength());
        foreach (var row in File.At("rows").EnumerateArray())
        {
            var found = Dew(row.GetProperty("T_C").GetDouble(), row.GetProperty("RH_percent").GetDouble());
            Agreement.Near(row.GetProperty("published_C").GetDouble(), found, File.Number("within_of_table_k"), $"{row}");
            File.Reaches(row.GetProperty("magnus_dew_point_C").GetDouble(), found, "magnus", $"{row}");
        }
    }

    /// <summary>Figures of the trade notes, 6.4.</summary>
    [Theory]
    [InlineData(24, 45, 11.3)]
    [InlineData(28, 60, 19.5)]
    [InlineData(32, 70, 25.8)]
    [InlineData(35, 60, 26.1)]
    public void Hot_and_humid_air_has_the_dew_points_of_the_trade_notes(double celsius, double humidity, double dew) => Assert.Equal(dew, Dew(celsius, humidity), 1);

    [Fact]
    public void At_its_dew_point_the_air_has_the_vapour_that_it_has_and_no_more()
    {
        // Pressure of saturation by the same coefficients, on the way there and back.
        static double Saturation(double t) => Math.Exp(17.62 * t / (243.12 + t));
        var random = new SeededSource(5);
        for (var i = 0; i < 2000; i++)
        {
            var (t, humidity) = (-45 + (105 * random.NextUniform()), 1 + (99 * random.NextUniform()));
            var dew = Dew(t, humidity);
            Assert.Equal(humidity / 100 * Saturation(t), Saturation(dew), 1e-9 * Saturation(t));
            Assert.True(dew <= t + 1e-9);
        }

        Assert.Equal(21.5, Dew(21.5, 100));
    }

    [Fact]
    public void The_uncertainty_is_that_of_small_steps()
    {
        var found = DewPoint.Of(Temperature.FromDegreesCelsius(28), 60, airUncertaintyK: 0.3, humidityUncertaintyPercent: 2);
        var (air, humidity) = ((Dew(28.001, 60) - Dew(27.999, 60)) / 0.002 * 0.3, (Dew(28, 60.001) - Dew(28, 59.999)) / 0.002 * 2);
        Assert.Equal(Math.Sqrt((air * air) + (humidity * humidity)), found.StandardUncertaintyK, 1e-6);
        Assert.Equal((null, null), (found.MarginK, found.Decision));
    }

    [Theory]
    [InlineData(24, 0, Verdict.Accepted)]
    [InlineData(20, 0, Verdict.Rejected)]
    [InlineData(21.8, 0.3, Verdict.NotProven)]
    public void The_coolant_stands_two_kelvins_above_it_or_is_told(double coolant, double u, Verdict verdict)
    {
        var found = DewPoint.Of(Temperature.FromDegreesCelsius(28), 60, Temperature.FromDegreesCelsius(coolant), coolantUncertaintyK: u);
        Assert.Equal(coolant - found.DewPoint.DegreesCelsius, found.MarginK!.Value, 12);
        Assert.Equal(verdict, found.Decision!.Verdict);
    }

    [Fact]
    public void Other_air_is_refused()
    {
        Refused("-45 to 60", () => Dew(61, 50));
        Refused("from 1 to 100", () => Dew(20, 101));
        Refused("from 1 to 100", () => Dew(20, 0));
        Refused("NaN", () => Dew(20, double.NaN));
        Refused("zero or more", () => DewPoint.Of(Temperature.Reference, 50, leastMarginK: -1));
    }
}
