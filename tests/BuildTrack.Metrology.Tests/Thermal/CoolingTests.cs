using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Thermal;

namespace BuildTrack.Metrology.Tests.Thermal;

public sealed class CoolingTests
{
    [Fact]
    public void The_worked_waiting_times_come_out_to_their_printed_digits()
    {
        foreach (var row in ReferenceFile.Load("thermal-worked").At("waits").EnumerateArray())
        {
            double Of(string name) => row.GetProperty(name).GetDouble();
            var wait = CoolingCalculation.Wait(Kelvins(Of("from_k")), Kelvins(Of("to_k")), CoolingCalculation.OfWallHours(Of("wall_mm")));
            Assert.Equal(Of("time_constants"), Math.Round(wait.TimeConstants, 1));

            // The notes multiply the rounded number of time constants, or print whole hours.
            Agreement.Near(Of("hours"), wait.WaitHours, Of("hours_within"), "hours");
        }

        Assert.Equal(0, CoolingCalculation.Wait(Kelvins(0.3), Kelvins(0.5), 2).WaitHours);
    }

    [Fact]
    public void A_published_exercise_of_a_thermometer_taken_outdoors_has_its_printed_answer()
    {
        // Exercise of calculus courses, public in several places: from 20 °C to 5 °C outdoors, 12 °C after a minute; the answer printed for 6 °C is 3.55 min.
        CoolingRound[] rounds = [.. new[] { (0.0, 20.0), (1, 12) }.Select(r => new CoolingRound(r.Item1, Temperature.FromDegreesCelsius(r.Item2), Temperature.FromDegreesCelsius(5)))];
        Assert.Equal(3.55, Math.Round(CoolingCalculation.Of(rounds, Kelvins(1)).Figures!.ReadyAtMin, 2));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(-1)]
    public void An_exact_decay_gives_back_its_time_constant_and_its_wait(int sign)
    {
        // τ = 120 min, 8 K at the beginning: closed form. A part colder than the bay warms up by the same law.
        var result = CoolingCalculation.Of(Decay(120, sign * 8, [0, 30, 60, 150], 21), Kelvins(0.5));
        var figures = result.Figures!;
        Agreement.Near(120, figures.TimeConstantMin, 1e-9, "time constant");
        Agreement.Near(sign * 8 * Math.Exp(-150.0 / 120), figures.ExcessNowK, 1e-9, "excess now");
        Agreement.Near((120 * Math.Log(16)) - 150, figures.WaitMin, 1e-8, "wait");
        Agreement.Near(120 * Math.Log(16), figures.ReadyAtMin, 1e-8, "ready");
        Agreement.Near(Math.Abs(figures.ExcessNowK) / 2, figures.FallKPerHour, 1e-9, "fall");
        Agreement.Near(0, figures.ResidualK, 1e-9, "residual");
        Assert.Empty(figures.Remarks);
    }

    [Fact]
    public void Two_rounds_are_enough_and_say_that_nothing_checks_them()
    {
        var figures = CoolingCalculation.Of(Decay(90, 4, [0, 30], 20), Kelvins(0.5)).Figures!;
        Agreement.Near(90, figures.TimeConstantMin, 1e-9, "time constant");
        Assert.Null(figures.TimeConstantUncertaintyMin);
        Assert.Null(figures.WaitUncertaintyMin);
        Assert.Contains(figures.Remarks, r => r.StartsWith("Two rounds", StringComparison.Ordinal));
        Assert.NotNull(CoolingCalculation.Of(Decay(90, 4, [0, 30], 20), Kelvins(0.5), 0.1).Figures!.WaitUncertaintyMin);
    }

    [Fact]
    public void A_last_round_far_from_the_fit_leaves_the_difference_of_the_fit()
    {
        // The last round weighs nothing: 8 and 4 K half an hour apart are 1 K an hour and a half after the first.
        var figures = CoolingCalculation.Of(
            [.. new[] { (0.0, 8.0), (30, 4), (90, 1e-7) }.Select(r => new CoolingRound(r.Item1, Temperature.FromDegreesCelsius(r.Item2), Temperature.FromDegreesCelsius(0)))], Kelvins(0.5)).Figures!;
        Agreement.Near(1, figures.ExcessNowK, 1e-6, "excess now");
        Assert.True(figures.ResidualK > 1e-7);
    }

    [Fact]
    public void A_difference_within_the_limit_waits_no_longer()
    {
        var figures = CoolingCalculation.Of(Decay(60, 1, [0, 60, 120, 180], 20), Kelvins(0.5), 0.02).Figures!;
        Assert.Equal((0, 0.0), (figures.WaitMin, figures.WaitUncertaintyMin));
        Assert.Equal(180, figures.ReadyAtMin);
    }

    [Fact]
    public void Noisy_rounds_agree_with_a_search_for_the_least_squares_and_scatter_as_their_uncertainty_says()
    {
        const ulong seed = 5401;
        const double sigma = 0.02;
        var source = new SeededSource(seed);
        double constants = 0, waits = 0;
        const int trials = 300;
        for (var trial = 0; trial < trials; trial++)
        {
            double[] times = [0, 20, 40, 60, 90, 120, 150];
            CoolingRound[] rounds = [.. Decay(100, 6, times, 20).Select(r => r with { Warm = Temperature.FromDegreesCelsius(r.Warm.DegreesCelsius + (sigma * source.NextNormal())) })];
            var figures = CoolingCalculation.Of(rounds, Kelvins(0.5), sigma).Figures!;
            constants += Math.Pow((figures.TimeConstantMin - 100) / figures.TimeConstantUncertaintyMin!.Value, 2);
            waits += Math.Pow((figures.ReadyAtMin - (100 * Math.Log(12))) / figures.WaitUncertaintyMin!.Value, 2);

            // Nonlinear least squares by search: the straight line through weighted logarithms differs from it by less than the noise leaves.
            if (trial < 20)
                Agreement.Near(Searched(rounds), figures.TimeConstantMin, 0.2 * figures.TimeConstantUncertaintyMin.Value, $"seed {seed}, trial {trial}");
        }

        Assert.InRange(constants / trials, 0.8, 1.25);
        Assert.InRange(waits / trials, 0.8, 1.25);
    }

    [Fact]
    public void Another_zero_of_time_or_of_temperature_changes_nothing()
    {
        const ulong seed = 5402;
        var source = new SeededSource(seed);
        CoolingRound[] rounds = [.. Decay(75, 5, [0, 15, 30, 45, 75], 20).Select(r => r with { Warm = Temperature.FromDegreesCelsius(r.Warm.DegreesCelsius + (0.03 * source.NextNormal())) })];
        var one = CoolingCalculation.Of(rounds, Kelvins(0.3)).Figures!;
        var other = CoolingCalculation.Of(
            [.. rounds.Select(r => new CoolingRound(r.TimeMin + 4000, Temperature.FromDegreesCelsius(r.Warm.DegreesCelsius + 5), Temperature.FromDegreesCelsius(r.Cool.DegreesCelsius + 5)))], Kelvins(0.3)).Figures!;
        Agreement.Near(one.TimeConstantMin, other.TimeConstantMin, 1e-7, "time constant");
        Agreement.Near(one.WaitMin, other.WaitMin, 1e-7, "wait");
        Agreement.Near(one.ReadyAtMin + 4000, other.ReadyAtMin, 1e-7, "ready");
        Agreement.Near(one.WaitUncertaintyMin!.Value, other.WaitUncertaintyMin!.Value, 1e-7, "uncertainty");
    }

    [Theory]
    [InlineData("", CoolingDefect.TooFewRounds, "there are none")]
    [InlineData("0 28 20", CoolingDefect.TooFewRounds, "there is 1")]
    [InlineData("0 28 20; 0 27 20", CoolingDefect.TimesNotRising, "at 0 min")]
    [InlineData("30 28 20; 20 27 20", CoolingDefect.TimesNotRising, "at 20 min")]
    [InlineData("0 28 20; 30 28 20", CoolingDefect.NotCooling, "8 K at 0 min, 8 K at 30 min")]
    [InlineData("0 28 20; 30 29 20", CoolingDefect.NotCooling, "does not fall")]
    [InlineData("0 28 20; 30 20 20", CoolingDefect.ExcessGone, "At 30 min the difference is 0 K")]
    [InlineData("0 28 20; 30 19.9 20", CoolingDefect.ExcessGone, "-0.1 K after 8 K")]
    [InlineData("0 20 20; 30 20 20", CoolingDefect.ExcessGone, "At 0 min")]
    public void Rounds_that_leave_no_time_constant_are_a_named_defect(string text, CoolingDefect defect, string words)
    {
        CoolingRound[] rounds = [.. text.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)
            .Select(r => r.Split(' ').Select(v => double.Parse(v, System.Globalization.CultureInfo.InvariantCulture)).ToArray())
            .Select(v => new CoolingRound(v[0], Temperature.FromDegreesCelsius(v[1]), Temperature.FromDegreesCelsius(v[2])))];
        var result = CoolingCalculation.Of(rounds, Kelvins(0.5));
        Assert.Equal(defect, result.Defect);
        Assert.Null(result.Figures);
        Assert.Contains(words, result.DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Moving_air_and_a_first_guess_are_remarked()
    {
        var figures = CoolingCalculation.Of(
            [new(0, Temperature.FromDegreesCelsius(28), Temperature.FromDegreesCelsius(20)), new(30, Temperature.FromDegreesCelsius(28), Temperature.FromDegreesCelsius(21))], Kelvins(0.5)).Figures!;
        Assert.Contains(figures.Remarks, r => r.Contains("2.0 K per hour", StringComparison.Ordinal));
        Assert.Contains(figures.Remarks, r => r.Contains("less than a fifth", StringComparison.Ordinal));
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_with_their_place()
    {
        var rounds = Decay(60, 5, [0, 30, 60], 20);
        var refused = Assert.Throws<ArgumentException>(() => CoolingCalculation.Of([rounds[0], rounds[1] with { TimeMin = double.NaN }], Kelvins(0.5)));
        Assert.Contains("rounds[1].TimeMin is NaN", refused.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => CoolingCalculation.Of([rounds[0], rounds[1] with { Warm = Temperature.FromDegreesCelsius(293) }], Kelvins(0.5)));
        Assert.Throws<ArgumentOutOfRangeException>(() => CoolingCalculation.Of([rounds[0], rounds[1] with { TimeMin = 1e9 }], Kelvins(0.5)));
        Assert.Throws<ArgumentOutOfRangeException>(() => CoolingCalculation.Of(rounds, Kelvins(0)));
        Assert.Throws<ArgumentOutOfRangeException>(() => CoolingCalculation.Of(rounds, Kelvins(0.5), -1));
        Assert.Throws<ArgumentOutOfRangeException>(() => CoolingCalculation.Wait(Kelvins(-1), Kelvins(0.5), 1));
        Assert.Throws<ArgumentException>(() => CoolingCalculation.Wait(Kelvins(1), Kelvins(0.5), double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => CoolingCalculation.OfWallHours(0));
        Assert.Throws<ArgumentOutOfRangeException>(() => CoolingCalculation.OfWallHours(1e7));
    }

    private static CoolingRound[] Decay(double timeConstantMin, double excessK, double[] times, double airCelsius) =>
        [.. times.Select(t => new CoolingRound(t, Temperature.FromDegreesCelsius(airCelsius + (excessK * Math.Exp(-t / timeConstantMin))), Temperature.FromDegreesCelsius(airCelsius)))];

    private static double Searched(CoolingRound[] rounds)
    {
        double[] t = [.. rounds.Select(r => r.TimeMin)], e = [.. rounds.Select(r => (r.Warm - r.Cool).Kelvins)];
        double Squares(double constant)
        {
            double[] shape = [.. t.Select(v => Math.Exp(-v / constant))];
            var size = shape.Zip(e, (a, b) => a * b).Sum() / shape.Sum(a => a * a);
            return shape.Zip(e, (a, b) => (b - (size * a)) * (b - (size * a))).Sum();
        }

        return Enumerable.Range(0, 8000).Select(i => 80 + (i * 0.005)).MinBy(Squares);
    }

    private static TemperatureDifference Kelvins(double kelvins) => TemperatureDifference.FromKelvins(kelvins);
}
