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
}
