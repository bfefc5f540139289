namespace BuildTrack.Metrology.Tests;

public sealed class GuardTests
{
    [Theory]
    [InlineData(double.NaN, "heightsUm[2] is NaN; every height must be finite.")]
    [InlineData(double.PositiveInfinity, "heightsUm[2] is infinite; every height must be finite.")]
    [InlineData(double.NegativeInfinity, "heightsUm[2] is minus infinite; every height must be finite.")]
    public void A_series_with_a_number_that_is_none_is_refused_with_its_place(double bad, string sentence)
    {
        double[] heightsUm = [1, 2, bad, double.NaN];
        var refusal = Assert.Throws<ArgumentException>(() => Guard.Finite(heightsUm, nameof(heightsUm)));
        Assert.StartsWith(sentence, refusal.Message, StringComparison.Ordinal);
        Assert.Equal("heightsUm", refusal.ParamName);
    }

    [Fact]
    public void The_word_for_one_value_of_a_series_fits_the_series()
    {
        Assert.StartsWith("xMm[0] is NaN; every x must be finite.", Sentence("xMm"), StringComparison.Ordinal);
        Assert.StartsWith("weights[0] is NaN; every weight must be finite.", Sentence("weights"), StringComparison.Ordinal);
        Assert.StartsWith("readingsUmPerM[0] is NaN; every reading must be finite.", Sentence("readingsUmPerM"), StringComparison.Ordinal);

        static string Sentence(string name) => Assert.Throws<ArgumentException>(() => Guard.Finite([double.NaN], name)).Message;
    }

    [Fact]
    public void A_finite_number_passes_unchanged() => Assert.Equal(-1.5, Guard.Finite(-1.5, "value"));

    [Fact]
    public void A_negative_uncertainty_is_refused_with_its_value()
    {
        var refusal = Assert.Throws<ArgumentOutOfRangeException>(() => Guard.FiniteNotNegative(-0.5, "sigmaUm"));
        Assert.StartsWith("sigmaUm is -0.5; it must be zero or more.", refusal.Message, StringComparison.Ordinal);
    }
}
