namespace BuildTrack.Metrology.Tests.Quantities;

public sealed class QuantityTests
{
    [Fact]
    public void A_length_speaks_micrometres_millimetres_and_nanometres()
    {
        Assert.Equal(0.0116, Length.FromMicrometres(11.6).Millimetres, 15);
        Assert.Equal(11600, Length.FromMicrometres(11.6).Nanometres);
        Assert.Equal(6_500_000.0, Length.FromMillimetres(6500).Micrometres);
        Assert.Equal(11.6, Length.FromNanometres(11600).Micrometres);
    }

    [Theory]
    [InlineData(0.0005, 0)]
    [InlineData(0.0015, 2)]
    [InlineData(0.0025, 2)]
    [InlineData(-0.0015, -2)]
    public void Half_a_nanometre_goes_to_the_even_neighbour(double micrometres, long nanometres) =>
        Assert.Equal(nanometres, Length.FromMicrometres(micrometres).Nanometres);

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(-123456789)]
    [InlineData(6_500_000_000_001)]
    [InlineData(4_000_000_000_000_000)]
    public void Whole_nanometres_come_back_unchanged(long nanometres) =>
        Assert.Equal(nanometres, Length.FromNanometres(nanometres).Nanometres);

    [Fact]
    public void A_length_is_never_made_of_a_number_that_is_none()
    {
        Assert.Throws<ArgumentException>(() => Length.FromMicrometres(double.NaN));
        Assert.Throws<ArgumentException>(() => Length.FromMillimetres(double.PositiveInfinity));
        Assert.Throws<ArgumentException>(() => Length.FromMillimetres(1e306));
    }

    [Fact]
    public void Temperature_minus_temperature_is_a_difference_and_a_point_plus_a_difference_is_a_point()
    {
        TemperatureDifference warmer = Temperature.FromDegreesCelsius(22.5) - Temperature.Reference;
        Assert.Equal(2.5, warmer.Kelvins);
        Assert.Equal(Temperature.FromDegreesCelsius(22.5), Temperature.Reference + warmer);
    }

    [Fact]
    public void Below_absolute_zero_there_is_no_temperature() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Temperature.FromDegreesCelsius(-273.16));

    [Fact]
    public void Quantities_write_a_point_also_where_the_culture_has_a_comma()
    {
        var before = System.Globalization.CultureInfo.CurrentCulture;
        try
        {
            System.Globalization.CultureInfo.CurrentCulture = System.Globalization.CultureInfo.GetCultureInfo("de-DE");
            Assert.Equal("11.6 µm", Length.FromMicrometres(11.6).ToString());
            Assert.Equal("20 °C", Temperature.Reference.ToString());
        }
        finally
        {
            System.Globalization.CultureInfo.CurrentCulture = before;
        }
    }
}
