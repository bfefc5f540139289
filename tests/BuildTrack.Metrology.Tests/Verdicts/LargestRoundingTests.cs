using System.Collections.Immutable;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Tests.Verdicts;

/// <summary>What rounding can fake: against every choice of signs, one after the other.</summary>
public sealed class LargestRoundingTests
{
    private const double Digit = 5;

    private static readonly double[] X = [0, 900, 2100, 3000, 0, 1100, 2000, 3000];
    private static readonly double[] Y = [0, 0, 0, 0, 1500, 1500, 1500, 1500];

    [Fact]
    public void A_least_squares_range_of_eight_stations_is_moved_most_by_the_worst_of_all_signs()
    {
        var worst = Choices(X.Length).Max(e => FlatnessCalculation.Of(X, Y, e).LeastSquares!.FlatnessUm);

        Agreement.Near(worst, PlaneReach.LargestRoundingUm(X, Y, Digit, PlaneReference.LeastSquares), 1e-9, "least squares");
        Assert.True(worst > Digit, "the least-squares plane makes more of rounding than a digit");
    }

    [Fact]
    public void A_minimum_zone_is_moved_by_a_digit_at_most_and_by_no_less()
    {
        var worst = Choices(X.Length).Max(e => FlatnessCalculation.Of(X, Y, e).MinimumZone!.FlatnessUm);

        Agreement.Near(worst, PlaneReach.LargestRoundingUm(X, Y, Digit, PlaneReference.MinimumZone), 1e-6, "minimum zone");
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void Sums_are_moved_most_by_the_worst_of_all_signs(bool range)
    {
        var source = new SeededSource(41);
        ImmutableArray<SumLine> lines =
        [
            .. Enumerable.Range(0, 2).Select(_ => new SumLine(9,
                [.. Enumerable.Range(0, 2).Select(_ => new SumGroup([.. Enumerable.Range(0, 5).Select(_ => Normals(source, 9))], range))])),
        ];
        var worst = Choices(9).Max(e => SumsReach.Largest(lines, [e, e]).Value);

        Agreement.Near(worst, SumsReach.LargestRounding(lines, Digit), 1e-9, "sums");
    }

    [Theory]
    [InlineData(-1e-9)]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void A_digit_below_zero_or_no_number_is_refused(double digit)
    {
        SumLine[] lines = [new SumLine(1, [new SumGroup([[1]], false)])];
        Assert.ThrowsAny<ArgumentException>(() => SumsReach.LargestRounding(lines, digit));
        Assert.ThrowsAny<ArgumentException>(() => PlaneReach.LargestRoundingUm(X, Y, digit, PlaneReference.MinimumZone));
    }

    private static ImmutableArray<double> Normals(SeededSource source, int count) => [.. Enumerable.Range(0, count).Select(_ => source.NextNormal())];

    private static IEnumerable<double[]> Choices(int count) =>
        Enumerable.Range(0, 1 << count).Select(signs => Enumerable.Range(0, count).Select(i => ((signs >> i) & 1) == 0 ? -Digit / 2 : Digit / 2).ToArray());
}
