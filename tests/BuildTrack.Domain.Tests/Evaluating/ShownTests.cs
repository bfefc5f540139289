using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Evaluating;

public sealed class ShownTests
{
    [Theory]
    [InlineData(31.04, "µm", "31.0 µm")]
    [InlineData(31.05, "µm", "31.1 µm")]
    [InlineData(-61.34, "µm", "−61.3 µm")]
    [InlineData(-0.04, "µm", "0.0 µm")]
    [InlineData(-0.05, "µm", "−0.1 µm")]
    [InlineData(0, "µm", "0.0 µm")]
    [InlineData(17400, "mm", "17.400 mm")]
    [InlineData(-0.4, "mm", "0.000 mm")]
    [InlineData(12.3456, "µm/m", "12.35 µm/m")]
    [InlineData(12.3456, "mm/m", "0.012 mm/m")]
    [InlineData(40, "mm/m", "0.040 mm/m")]
    [InlineData(4.84813681, "arcsec", "1 arcsec")]
    [InlineData(5950, "kW", "5.95 kW")]
    [InlineData(-12.3456, "µm/m", "−12.35 µm/m")]
    public void A_number_is_shown_to_its_resolution_with_a_true_minus(double value, string unit, string expected) => Assert.Equal(expected, Shown.Text(value, unit));

    [Theory]
    [InlineData(52, 1, "+52.0")]
    [InlineData(-61.3, 1, "−61.3")]
    [InlineData(0.04, 1, "0.0")]
    [InlineData(-0.04, 1, "0.0")]
    [InlineData(0, 0, "0")]
    [InlineData(0.5, 0, "+1")]
    public void A_deviation_has_its_sign_unless_it_is_nothing(double value, int decimals, string expected) => Assert.Equal(expected, Shown.Signed(value, decimals));

    /// <summary>31.2 in the calculated unit: µm, µm/m or W. One second of arc is 4.848137 µm/m.</summary>
    [Theory]
    [InlineData("0.030", "mm", "0.031 mm")]
    [InlineData("30", "µm", "31.2 µm")]
    [InlineData("0.00003", "m", "0.000031 m")]
    [InlineData("0.030", "mm/m", "0.031 mm/m")]
    [InlineData("30", "µm/m", "31.2 µm/m")]
    [InlineData("6", "arcsec", "6.435 arcsec")]
    [InlineData("0.03", "kW", "0.0312 kW")]
    public void A_number_is_shown_in_the_unit_of_its_limit(string limit, string unit, string expected)
    {
        Assert.True(Amount.TryParse($"{limit} {unit}", out var upper));
        Assert.Equal(expected, Shown.InUnitOf(31.2, new Requirement(upper, null, null, null, DecisionRule.Guarded, "o", "A", null)));
    }

    [Fact]
    public void There_is_a_word_for_every_verdict_state_and_rule()
    {
        Assert.Equal(["accepted", "not proven", "rejected"], Enum.GetValues<Verdict>().Select(Shown.Word));
        Assert.Equal(["not measured", "incomplete", "calculated"], Enum.GetValues<ResultState>().Select(Shown.Word));
        Assert.All(Enum.GetValues<DecisionRule>(), r => Assert.NotEmpty(Shown.Word(r)));
        Assert.Throws<ArgumentOutOfRangeException>(() => Shown.Word((Verdict)9));
    }
}
