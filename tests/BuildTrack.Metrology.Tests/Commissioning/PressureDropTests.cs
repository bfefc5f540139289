using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>The gas law at constant volume: worked by hand, and the amount of gas before and after as a twin.</summary>
public sealed class PressureDropTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("commissioning-worked");

    private static Temperature C(double celsius) => Temperature.FromDegreesCelsius(celsius);

    /// <summary>99 of 100 bar absolute at one temperature; 29 of 30 bar after cooling from 300 to 290 K; 20 bar that should have grown by 300/290.</summary>
    [Fact]
    public void Cooling_is_no_leak_and_warmth_hides_one()
    {
        foreach (var row in File.At("drop").EnumerateArray())
        {
            double N(string name) => row.GetProperty(name).GetDouble();
            File.Reaches(N("percent"), PressureDrop.Percent(N("before_bar"), N("after_bar"), C(N("before_c")), C(N("after_c"))), "drop", $"{row}");
        }
    }

    [Fact]
    public void The_drop_is_the_part_of_the_gas_that_is_gone()
    {
        const double gasConstant = 8.314462618, litres50 = 0.05;
        var random = new SeededSource(71);
        for (var i = 0; i < 1000; i++)
        {
            var (bar, kelvinThen, kelvinNow, gone) = (1 + (30 * random.NextUniform()), 283 + (20 * random.NextUniform()), 283 + (20 * random.NextUniform()), 0.1 * random.NextUniform());
            var moles = (bar + 1.01325) * 1e5 * litres50 / (gasConstant * kelvinThen);
            var now = (moles * (1 - gone) * gasConstant * kelvinNow / litres50 / 1e5) - 1.01325;
            Agreement.Near(100 * gone, PressureDrop.Percent(bar, now, C(kelvinThen - 273.15), C(kelvinNow - 273.15)), 1e-9, $"{bar} bar");
        }
    }

    [Fact]
    public void The_uncertainty_is_that_of_small_steps()
    {
        const double step = 1e-4;
        double Drop(double a, double b, double c, double d) => PressureDrop.Percent(a, b, C(c), C(d));
        double[] at = [16, 15.8, 22, 20.5], u = [0.01, 0.01, 0.1, 0.1];
        var sum = 0.0;
        for (var i = 0; i < 4; i++)
        {
            double[] more = [.. at], less = [.. at];
            (more[i], less[i]) = (more[i] + step, less[i] - step);
            sum += Math.Pow((Drop(more[0], more[1], more[2], more[3]) - Drop(less[0], less[1], less[2], less[3])) / (2 * step) * u[i], 2);
        }

        Agreement.Near(Math.Sqrt(sum), PressureDrop.StandardUncertaintyPercent(at[0], at[1], C(at[2]), C(at[3]), 0.01, 0.1), 1e-7, "u");
    }

    [Fact]
    public void Numbers_that_cannot_be_are_refused()
    {
        Refused("above zero", () => PressureDrop.Percent(0, 0, C(20), C(20)));
        Refused("at most 400 bar", () => PressureDrop.Percent(401, 400, C(20), C(20)));
        Refused("afterBar", () => PressureDrop.Percent(16, -0.1, C(20), C(20)));
        Refused("0 to 400 bar", () => PressureDrop.Percent(16, 401, C(20), C(20)));
        Refused("gaugeBar", () => PressureDrop.StandardUncertaintyPercent(16, 16, C(20), C(20), -1, 0));
        Refused("thermometerK", () => PressureDrop.StandardUncertaintyPercent(16, 16, C(20), C(20), 0, -1));
        Refused("NaN", () => PressureDrop.Percent(double.NaN, 16, C(20), C(20)));
    }
}
