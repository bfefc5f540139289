using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Flatness;

/// <summary>The fitting kernels against certified regressions (NIST StRD).</summary>
/// <remarks>A plane has two slopes and a level: Norris is a line, Pontius a plane over x and x². The sets without intercept or with five and six
/// regressors (NoInt, Longley, Wampler) ask for models that nothing here fits.</remarks>
public sealed class FittingKernelTests
{
    [Fact]
    public void A_line_of_certified_slope_and_level()
    {
        var file = ReferenceFile.Load("nist-strd-norris");
        var (y, x) = Columns(file);
        var points = PointSet.Of(x, new double[x.Length], y);
        var slope = points.Frame.Slopes(points.SlopeU, points.SlopeW).AlongX;
        file.Reaches(file.Number("published", "estimates", "B1"), slope, "slope", "B1");
        file.Reaches(file.Number("published", "estimates", "B0"), points.MeanZ - (slope * points.Frame.MeanX), "intercept", "B0");
        file.Reaches(file.Number("published", "residual_standard_deviation"), Math.Sqrt(points.Rest.Sum(r => r * r) / (x.Length - 2)), "residual_sd", "residual");
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_plane_over_x_and_its_square(bool onePass)
    {
        var file = ReferenceFile.Load("nist-strd-pontius");
        var (y, x) = Columns(file);
        double[] square = [.. x.Select(v => v * v)];
        double b1, b2, level;
        if (onePass)
        {
            var moments = PlaneMoments.Of(x, square, y);
            (b1, b2) = moments.Slopes();
            level = moments.MeanZ - (b1 * moments.MeanX) - (b2 * moments.MeanY);
        }
        else
        {
            var points = PointSet.Of(x, square, y);
            (b1, b2) = points.Frame.Slopes(points.SlopeU, points.SlopeW);
            level = points.MeanZ - (b1 * points.Frame.MeanX) - (b2 * points.Frame.MeanY);
            file.Reaches(file.Number("published", "residual_standard_deviation"), Math.Sqrt(points.Rest.Sum(r => r * r) / (x.Length - 3)), "residual_sd", "residual");
        }

        file.Reaches(file.Number("published", "estimates", "B0"), level, "B0", "B0");
        file.Reaches(file.Number("published", "estimates", "B1"), b1, "B1", "B1");
        file.Reaches(file.Number("published", "estimates", "B2"), b2, "B2", "B2");
    }

    /// <summary>Means and spreads under large offsets: what is taken off first keeps the digits.</summary>
    [Theory]
    [InlineData("nist-strd-numacc1")]
    [InlineData("nist-strd-numacc2")]
    [InlineData("nist-strd-numacc3")]
    [InlineData("nist-strd-numacc4")]
    public void Moments_of_certified_series(string name)
    {
        var file = ReferenceFile.Load(name);
        double[] values = [.. file.At("points").EnumerateArray().Select(v => v.GetDouble())];
        var places = values.Select((_, i) => (double)i).ToArray();
        var moments = PlaneMoments.Of(places, values, values);
        file.Reaches(file.Number("published", "mean"), moments.MeanZ, "mean", "mean");
        file.Reaches(file.Number("published", "standard_deviation_n_minus_1"), Math.Sqrt(moments.ZZ / (values.Length - 1)), "standard_deviation", "standard deviation");
        file.Reaches(file.Number("published", "standard_deviation_n_minus_1"), Math.Sqrt(moments.YY / (values.Length - 1)), "standard_deviation", "standard deviation along y");
    }

    private static (double[] First, double[] Second) Columns(ReferenceFile file)
    {
        var rows = file.At("points").EnumerateArray().ToList();
        return ([.. rows.Select(r => r[0].GetDouble())], [.. rows.Select(r => r[1].GetDouble())]);
    }
}
