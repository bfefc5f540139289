using BuildTrack.Metrology.Squareness;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.TwoMethods;

namespace BuildTrack.Metrology.Tests.TwoMethods;

/// <summary>E_n = (x₁ − x₂)/√(U₁² + U₂²), from memory of ISO 13528 and ISO/IEC 17043; no published numbers at hand, so closed forms with whole answers.</summary>
public sealed class TwoMethodsTests
{
    [Theory]
    [InlineData(40, 3, 35, 4, 1, true)]
    [InlineData(35, 4, 40, 3, -1, true)]
    [InlineData(40, 3, 34.9, 4, 1.02, false)]
    [InlineData(12, 5, 12, 0, 0, true)]
    [InlineData(0, 0, 26, 13, -2, false)]
    public void Two_results_agree_where_their_difference_is_within_its_uncertainty(double first, double firstU, double second, double secondU, double en, bool agree)
    {
        var result = TwoMethodsCalculation.Of(first, firstU, second, secondU);
        Agreement.Near(en, result.En, 1e-12, "En");
        Assert.Equal(agree, result.Agree);
        Agreement.Near(first - second, result.Difference, 1e-12, "difference");
        Agreement.Near(Math.Sqrt((firstU * firstU) + (secondU * secondU)), result.DifferenceU, 1e-12, "U");
        Assert.Equal((first, firstU, second, secondU), (result.First, result.FirstU, result.Second, result.SecondU));
    }

    [Fact]
    public void Squareness_by_diagonals_and_by_a_square_is_put_beside_that_of_the_circular_test()
    {
        // The square alone: 0.03 and 0.01 mm over 500 mm, the indicator kept: 40 µm/m. The circle of the constructed test: 40 µm/m.
        var square = SquarenessCalculation.OfReversal(0.03, 0.01, 500, IndicatorSense.Kept).Angle.AngleUmPerM;
        Assert.True(TwoMethodsCalculation.Of(square, 10, 40.0, 4).Agree);
        Assert.False(TwoMethodsCalculation.Of(square, 10, 25.0, 4).Agree);
    }

    [Fact]
    public void Numbers_that_are_none_and_results_without_uncertainty_are_refused()
    {
        Assert.Throws<ArgumentException>(() => TwoMethodsCalculation.Of(double.NaN, 1, 0, 1));
        Assert.Throws<ArgumentException>(() => TwoMethodsCalculation.Of(0, 1, 0, double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => TwoMethodsCalculation.Of(0, -1, 0, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => TwoMethodsCalculation.Of(0, 0, 0, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => TwoMethodsCalculation.Of(1e300, 1, 0, 1));
    }
}
