using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Domain.Tests.Support.Surveyed;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>Bonding, leak test, coolant, and several columns under one limit. Numbers: tables and trade notes where named, else worked by hand.</summary>
public sealed class CommissioningDecisionTests
{
    private static Source One(string quantity, RegisterEntry instrument, string column, double value, string? feature = null) =>
        Source(quantity, [], PlaceKind.Whole, 1, [Run(1, instrument, column, ["whole"], [value])], column, feature);

    // 6 mm² of flexible copper has at most 3.30 Ω/km (IEC 60228, table 3), 1.5 mm² 13.3: of 10 m 0.033 and 0.133 Ω. Guarded, U = 5 mΩ: contacts are accepted to 0.095 Ω, rejected beyond 0.105.
    [Theory]
    [InlineData(10, 6, 0.050, Verdict.Accepted, 0.017)]
    [InlineData(10, 6, 0.129, Verdict.NotProven, 0.096)]
    [InlineData(10, 6, 0.150, Verdict.Rejected, 0.117)]
    [InlineData(10, 1.5, 0.150, Verdict.Accepted, 0.017)]
    public void A_long_thin_conductor_may_have_what_a_short_thick_one_may_not(double metres, double mm2, double ohm, Verdict verdict, double contacts)
    {
        var result = Bonding(metres, mm2, ohm);
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(contacts, result.Value!.Value, 6);
        Assert.Equal(verdict == Verdict.Rejected, result.Next.Sentence.StartsWith("Take the connection at S-00 apart", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(0, 6, 0.05, "of 0 m")]
    [InlineData(10, 3, 0.05, "with 3 mm²")]
    [InlineData(10, 6, -0.05, "found -0.05 Ω")]
    public void A_conductor_that_no_table_has_gives_no_result(double metres, double mm2, double ohm, string because)
    {
        var result = Bonding(metres, mm2, ohm);
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
        Assert.Contains(because, string.Join(" ", result.Because), StringComparison.Ordinal);
    }

    private static EvaluationResult Bonding(double metres, double mm2, double ohm)
    {
        var stations = Line(2, 500);
        var tester = Instrument("resistance", "Ω", "absolute", new Amount(0.005m, "Ω"));
        var tape = Instrument("length", "m", "absolute", new Amount(0.01m, "m"));
        Source Of(string quantity, string column, RegisterEntry by, double value, double other) => Source(quantity, stations, null, 1, [Run(1, by, column, stations.Select(s => s.Id), [value, other])], column);
        return Evaluators.Evaluate(Input(
            "bonding", AtMost(0.1m, "Ω"), "flexible", null, ("resistance", Of("resistance", "ohm", tester, ohm, 0.01)), ("length", Of("length", "length", tape, metres, 2)),
            ("cross-section", Of("cross-section", "section", Instrument("cross-section", "mm²", "absolute", new Amount(1, "mm²")), mm2, 10)))).Result;
    }

    // By hand: 20 bar at 300 K are 21.01325 absolute; at 299 K the same gas has 20.9432, a gauge of 19.92995. One per cent less of it: 19.7205. U by gauge 0.02 bar and thermometer 0.2 K, each twice: 0.165 %.
    [Theory]
    [InlineData(19.92995, Verdict.Accepted, 0.0)]
    [InlineData(19.7205, Verdict.NotProven, 1.0)]
    [InlineData(19.5111, Verdict.Rejected, 2.0)]
    public void What_the_cold_takes_is_no_leak(double after, Verdict verdict, double percent)
    {
        var result = Leak(20, after, 26.85, 25.85);
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(percent, result.Value!.Value, 0.001);
        Assert.Equal(percent == 2.0, result.Next.Sentence.StartsWith("Vent oxygen before a joint is opened", StringComparison.Ordinal));
        Assert.InRange(result.ExpandedUncertainty!.Value, 0.160, 0.170);
    }

    [Theory]
    [InlineData(20, 20.5, 20, 20, "rose by 2.4 % more")]
    [InlineData(0.2, 0.2, 20, 20, "found 0.2 bar")]
    [InlineData(20, 20, 20, 293, "20 bar at 293 °C")]
    public void A_line_that_gains_gas_or_cannot_be_gives_no_result(double before, double after, double warm, double cold, string because)
    {
        var result = Leak(before, after, warm, cold);
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
        Assert.Contains(because, string.Join(" ", result.Because), StringComparison.Ordinal);
    }

    private static EvaluationResult Leak(double before, double after, double warm, double cold)
    {
        var (gauge, thermometer) = (Instrument("pressure", "bar", "absolute", new Amount(0.02m, "bar")), Instrument("temperature", "°C", "absolute", new Amount(0.2m, "°C")));
        return Evaluators.Evaluate(Input(
            "leak-test", AtMost(1, "%"), null, null, ("before/oxygen", One("pressure", gauge, "before", before, "oxygen")), ("after/oxygen", One("pressure", gauge, "after", after, "oxygen")),
            ("temperature-before/oxygen", One("temperature", thermometer, "t-before", warm, "oxygen")), ("temperature-after/oxygen", One("temperature", thermometer, "t-after", cold, "oxygen")))).Result;
    }

    // Trade notes 6.4: 28 °C and 60 % have a dew point of 19.5 °C.
    [Theory]
    [InlineData(24, Verdict.Accepted, 4.5)]
    [InlineData(21.5, Verdict.NotProven, 2.0)]
    [InlineData(20, Verdict.Rejected, 0.5)]
    public void The_coolant_stays_above_the_dew_point(double coolant, Verdict verdict, double margin)
    {
        var result = Coolant(28, 60, coolant);
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(margin, result.Value!.Value, 0.05);
        Assert.Equal(19.5, result.Figure("dew point"), 0.05);
    }

    [Fact]
    public void Humidity_beyond_saturation_gives_no_result()
    {
        var result = Coolant(28, 101, 24);
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
        Assert.Contains("28 °C and 101 %", string.Join(" ", result.Because), StringComparison.Ordinal);
    }

    private static EvaluationResult Coolant(double air, double humidity, double coolant)
    {
        var (thermometer, hygrometer) = (Instrument("temperature", "°C", "absolute", new Amount(0.2m, "°C")), Instrument("humidity", "%", "absolute", new Amount(2, "%")));
        return Evaluators.Evaluate(Input(
            "above-dew-point", AtLeast(2, "K"), null, null, ("air", One("temperature", thermometer, "air", air)), ("humidity", One("humidity", hygrometer, "humidity", humidity)),
            ("coolant", One("temperature", thermometer, "coolant", coolant)))).Result;
    }

    [Theory]
    [InlineData(401, 399, 402, Verdict.Accepted, "l3-l1")]
    [InlineData(401, 355, 402, Verdict.Rejected, "l2-l3")]
    [InlineData(401, 399, 439, Verdict.NotProven, "l3-l1")]
    public void Of_several_columns_under_one_limit_the_worst_is_named(double first, double second, double third, Verdict verdict, string worst)
    {
        var tester = Instrument("voltage", "V", "absolute", new Amount(2, "V"));
        var requirement = new Requirement(new Amount(440, "V"), new Amount(360, "V"), null, null, DecisionRule.Guarded, "standard", "A", null);
        var result = Evaluators.Evaluate(Input(
            "plain-value", requirement, null, null, ("values", One("voltage", tester, "l1-l2", first)), ("second", One("voltage", tester, "l2-l3", second)), ("third", One("voltage", tester, "l3-l1", third)))).Result;
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(worst, result.Contacts[0].Place);
        Assert.Equal(3, result.Deviations.Length);
    }

    // 400, 398 and 405 V: 1.040 % by the phasors. U = 2 V of each reading comes to 100 · 2/3 · √1.5 · 1/401 = 0.204 % at k = 1, 0.407 % at k = 2.
    [Theory]
    [InlineData(400, 398, 405, Verdict.Accepted, 1.040)]
    [InlineData(400, 392, 406, Verdict.NotProven, 2.029)]
    [InlineData(380, 400, 410, Verdict.Rejected, 4.424)]
    public void The_supply_may_be_a_little_unbalanced(double first, double second, double third, Verdict verdict, double percent)
    {
        var result = Unbalance(first, second, third);
        Assert.Equal((verdict, percent), (result.Verdict!.Value, Math.Round(result.Value!.Value, 3)));
        Assert.InRange(result.ExpandedUncertainty!.Value, 0.39, 0.42);
    }

    [Fact]
    public void Voltages_that_close_no_triangle_give_no_result()
    {
        var result = Unbalance(400, 200, 199);
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
        Assert.Contains("found 400 V, 200 V and 199 V", result.Because[0], StringComparison.Ordinal);
    }

    private static EvaluationResult Unbalance(double first, double second, double third)
    {
        var tester = Instrument("voltage", "V", "absolute", new Amount(2, "V"));
        return Evaluators.Evaluate(Input(
            "voltage-unbalance", AtMost(2, "%"), null, null, ("first", One("voltage", tester, "l1-l2", first)), ("second", One("voltage", tester, "l2-l3", second)), ("third", One("voltage", tester, "l3-l1", third)))).Result;
    }

    // By hand: twenty readings of 6000 W, then one of 6105 and one of 5895: the mean stays 6000, and 105 W are 1.75 %. With U = 20 W of the meter's random part (0.333 %, σ 0.167 %)
    // guarded acceptance ends at 1.667 %; the largest of 2 · 22 normal values exceeds 3.05 σ once in twenty, so one log alone rejects from about 2.5 %.
    [Theory]
    [InlineData(60, Verdict.Accepted, 1.0)]
    [InlineData(105, Verdict.NotProven, 1.75)]
    [InlineData(180, Verdict.Rejected, 3.0)]
    public void The_power_drifts_by_its_largest_departure_from_the_mean(double watts, Verdict verdict, double percent)
    {
        var result = Drift([.. Enumerable.Repeat(6000.0, 20), 6000 + watts, 6000 - watts]);
        Assert.Equal(verdict, result.Verdict);
        Assert.Equal(percent, result.Value!.Value, 9);
        Assert.Equal(6000, result.Figure("mean"), 9);
        Assert.Equal(watts * Math.Sqrt(2.0 / 21), result.Figure("standard deviation"), 9);
        Assert.Equal(200 * watts * Math.Sqrt(2.0 / 21) / 6000, result.Figure("relative fluctuation, 2 s"), 9);
        Assert.Equal(new[] { percent, -percent }, result.Deviations[^2..].Select(d => Math.Round(d.Value, 9)));
        Assert.Equal(verdict == Verdict.Rejected, result.Next.Sentence.StartsWith("Compare the log of the power with that of the coolant about M05", StringComparison.Ordinal));
    }

    // What the meter is off by as a whole leaves the quotient: the verdict is the same whether it reads 5 % high or not, and its common part of U counts in nothing.
    [Fact]
    public void A_meter_that_reads_high_drifts_no_less()
    {
        double[] log = [.. Enumerable.Range(0, 60).Select(i => 6000 + (40 * Math.Sin(i / 5.0)))];
        var (plain, high, doubtful) = (Drift(log), Drift([.. log.Select(p => 1.05 * p)]), Drift(log, common: 500));
        Assert.Equal(plain.Value!.Value, high.Value!.Value, 9);
        Assert.Equal((plain.Verdict, plain.AcceptBand), (doubtful.Verdict, doubtful.AcceptBand));
    }

    // σ of the random part is 10 W: a digit above twice of it is coarse. One of 30 W may hide 15 W of 6000 in each reading, so the truth may lie 0.25 % further above.
    [Fact]
    public void A_coarse_digit_is_in_every_departure()
    {
        double[] log = [.. Enumerable.Repeat(6000.0, 20), 6060, 5940];
        var (fine, coarse) = (Drift(log), Drift(log, digit: new Amount(30, "W")));
        Assert.Equal(fine.Value, coarse.Value);
        Assert.Equal(100 * 15 / 6000.0, coarse.ReachAbove!.Value - fine.ReachAbove!.Value, 9);
        Assert.True(coarse.AcceptBand > fine.AcceptBand);
    }

    [Fact]
    public void A_log_without_power_or_with_a_hole_gives_no_result()
    {
        var dark = Drift([0, 0, 0]);
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (dark.State, dark.Verdict));
        Assert.Contains("3 readings whose mean is 0 W", dark.Because[0], StringComparison.Ordinal);
        var negative = Drift([6000, -1, 6000]);
        Assert.Contains("found -1 W", negative.Because[0], StringComparison.Ordinal);
        Assert.Null(negative.Verdict);
        var hole = Drift([6000, 6000, 6000], holes: 1);
        Assert.Contains("M032", hole.Because[0], StringComparison.Ordinal);
        Assert.Null(hole.Verdict);
    }

    private static EvaluationResult Drift(double[] watts, decimal common = 0, int holes = 0, Amount? digit = null)
    {
        var meter = Instrument("power", "W", "absolute", new Amount(20 + common, "W"), new Amount(20, "W"), new Amount(common, "W")) with { Digit = digit };
        var minutes = new LayoutPlan("log", 1, [], LayoutShape.Times, watts.Length - 1, 30).StationsFor(new MachineModel("M", "B", "M", 4000, 1750, 600, null));
        Assert.Equal(watts.Length, minutes.Length);
        var source = Source("power", minutes, PlaceKind.At, 1, [Run(1, meter, "power", minutes.Select(s => s.Id), watts[..^holes])], "power");
        return Evaluators.Evaluate(Input("power-drift", AtMost(2, "%"), null, null, ("power", source))).Result;
    }
}
