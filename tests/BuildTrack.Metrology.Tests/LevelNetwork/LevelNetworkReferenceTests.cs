using System.Globalization;
using System.Text.Json;
using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.LevelNetwork;

public sealed class LevelNetworkReferenceTests
{
    private static readonly Dictionary<string, double> Nothing = [];

    [Fact]
    public void Six_lines_with_standard_uncertainties_have_the_published_heights()
    {
        var file = ReferenceFile.Load("network-ghilani-12-6lines-sigma");
        var values = Adjust(file, 1e6, r => r.GetProperty("sigma").GetDouble() * 1e6, null);
        foreach (var point in file.At("published").EnumerateObject())
            file.Reaches(point.Value.GetDouble(), Height(values, point.Name) / 1e6, "published", point.Name);
        Same(file, file.At("recomputed"), values, 1e6, "residuals_mm", 1e3);
    }

    [Fact]
    public void Seven_lines_have_the_published_heights_without_weights_and_with_weights_by_length()
    {
        // The file is in feet; here one foot is 1 µm.
        var file = ReferenceFile.Load("network-ghilani-12-7lines");
        var equal = Adjust(file, 1, null, _ => 1);
        var weighted = Adjust(file, 1, null, r => 12 / r.GetProperty("length_miles").GetDouble());
        foreach (var (values, name) in new[] { (equal, "unweighted"), (weighted, "weighted") })
        {
            var published = file.At("published", name == "weighted" ? "weighted_12_over_length" : name);
            foreach (var point in published.EnumerateObject().Where(p => p.Name != "S0"))
                file.Reaches(point.Value.GetDouble(), Height(values, point.Name), "published", point.Name);
            Agreement.Near(published.GetProperty("S0").GetDouble(), values.Sigma0!.Value, 0.0005, name);
            Same(file, file.At("recomputed", name), values, 1, "residuals_thousandths_of_a_foot", 1e-3);
        }
    }

    [Fact]
    public void Five_lines_between_three_fixed_heights_have_the_published_sum_of_squares()
    {
        var file = ReferenceFile.Load("network-strang-borre-5lines");
        var values = Adjust(file, 1e6, r => 6000 * Math.Sqrt(r.GetProperty("length_m").GetDouble() / 1000), null);
        Assert.Equal(file.At("published", "dof").GetInt32(), values.DegreesOfFreedom);
        file.Reaches(file.Number("published", "sum_of_squares_of_standardised_residuals"), values.SumOfSquares, "published", "sum of squares");
        file.Reaches(file.Number("published", "error_factor"), values.Sigma0!.Value, "published", "sigma0");
        Same(file, file.At("recomputed", "adjustment"), values, 1e6, "residuals_mm", 1e3);
        Assert.Equal(3, values.Loops.Length);
        Assert.Empty(values.Doubtful);
        var bounds = file.At("published", "chi_square_5_percent_bounds_on_error_factor");
        Agreement.Near(bounds[0].GetDouble(), values.Global!.Lower, 0.0005, "lower bound, published");
        Agreement.Near(bounds[1].GetDouble(), values.Global.Upper, 0.0005, "upper bound, published");
        Agreement.Near(file.At("recomputed", "chi_square_bounds")[0].GetDouble(), values.Global.Lower, 5e-7, "lower bound");
        Agreement.Near(file.At("recomputed", "chi_square_bounds")[1].GetDouble(), values.Global.Upper, 5e-6, "upper bound");
        Assert.True(values.Global.Agrees);
    }

    [Fact]
    public void Six_lines_from_one_datum_have_the_published_heights_residuals_and_cofactors()
    {
        var file = ReferenceFile.Load("network-wuhan-9-7-free-net");
        var values = Adjust(file, 1e3, null, r => 10 / r.GetProperty("length_km").GetDouble());
        foreach (var point in file.At("published", "heights").EnumerateObject())
            Agreement.Near(point.Value.GetDouble(), Height(values, point.Name) / 1e3, 0.00005, point.Name);
        file.Reaches(file.Number("recomputed", "pvv_mm2"), values.SumOfSquares, "sums", "pvv");
        file.Reaches(390.0 / 11, values.SumOfSquares, "sums", "pvv exact");
        Agreement.Near(file.Number("published", "sigma0_mm"), values.Sigma0!.Value, 0.05, "sigma0");
        Assert.All(values.Heights.Where(h => h.Id != "D"), h =>
        {
            Agreement.Near(file.Number("published", "cofactors", "diagonal"), h.Cofactor, 0.0005, "q, published");
            Agreement.Near(7.0 / 55, h.Cofactor, 1e-14, "q");
            Agreement.Near(file.Number("published", "sd_heights_mm"), h.SigmaUm!.Value, 0.05, "sigma");
        });
        var published = file.At("published", "residuals_mm").EnumerateArray().Select(v => v.GetDouble()).ToArray();
        for (var i = 0; i < published.Length; i++)
            Agreement.Near(published[i], values.ResidualsUm[i], 0.05, $"residual {i}");
    }

    [Fact]
    public void The_constructed_grid_has_its_exact_heights_residuals_and_the_closures_of_its_cells()
    {
        var file = ReferenceFile.Load("constructed-grid-level-network-3x4");
        var step = file.Number("step_mm") / 1000;
        List<LevelObservation> observations = [];
        foreach (var (row, i) in file.At("readings", "rows").EnumerateArray().Select((r, i) => (r, i)))
            observations.AddRange(row.EnumerateArray().Select((v, j) => new LevelObservation($"{i},{j}", $"{i},{j + 1}", v.GetDouble() * step, 1)));
        foreach (var (column, j) in file.At("readings", "columns").EnumerateArray().Select((c, j) => (c, j)))
            observations.AddRange(column.EnumerateArray().Select((v, i) => new LevelObservation($"{i},{j}", $"{i + 1},{j}", v.GetDouble() * step, 1)));

        var values = LevelNetworkCalculation.Adjust(observations, new Dictionary<string, double> { ["0,0"] = 0 }, false).Values!;

        foreach (var node in file.At("recomputed", "heights_um_exact").EnumerateObject())
            Agreement.Near(Fraction(node.Value), Height(values, node.Name), 1e-13, node.Name);
        foreach (var (expected, i) in file.At("recomputed", "residuals_um_exact").EnumerateArray().Select((e, i) => (e, i)))
            Agreement.Near(Fraction(expected), values.ResidualsUm[i], 1e-13, $"residual {i}");
        file.Reaches(Fraction(file.At("recomputed", "vv_exact")), values.SumOfSquares, "sums", "vv");
        file.Reaches(file.Number("recomputed", "sigma0_um"), values.Sigma0!.Value, "sums", "sigma0");
        Assert.Equal(file.At("recomputed", "dof").GetInt32(), values.DegreesOfFreedom);

        var cells = file.At("recomputed", "cell_closures_um").EnumerateArray().ToArray();
        Assert.Equal(cells.Length, values.Loops.Length);
        foreach (var cell in cells)
        {
            var (i, j) = (cell.GetProperty("cell")[0].GetInt32(), cell.GetProperty("cell")[1].GetInt32());
            var loop = Assert.Single(values.Loops, l => l.Points.SequenceEqual([$"{i},{j}", $"{i},{j + 1}", $"{i + 1},{j + 1}", $"{i + 1},{j}"]));
            Agreement.Near(Fraction(cell.GetProperty("closure_um")), loop.ClosureUm, 1e-12, $"cell {i},{j}");
        }
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Eight_lines_with_a_slope_each_give_the_constructed_surface(bool perturbed)
    {
        var file = ReferenceFile.Load("constructed-union-jack-5x5");
        List<LevelObservation> observations = [];
        foreach (var line in file.At("readings", "lines").EnumerateObject())
        {
            var nodes = line.Value.GetProperty("nodes").EnumerateArray().Select(n => $"{n[0].GetInt32()},{n[1].GetInt32()}").ToArray();
            foreach (var (rise, k) in line.Value.GetProperty("height_increments_um").EnumerateArray().Select((r, k) => (r.GetDouble(), k)))
            {
                var change = perturbed && line.Name == "mid NS" && k == 1 ? 2 : perturbed && line.Name == "mid EW" && k == 0 ? -1 : 0;
                observations.Add(new LevelObservation(nodes[k], nodes[k + 1], rise + change, 1, line.Name));
            }
        }

        var values = LevelNetworkCalculation.Adjust(observations, Nothing, false).Values!;
        Assert.Equal(2, values.DegreesOfFreedom);
        Assert.Equal(8, values.Lines.Length);
        Agreement.Near(0, values.Heights.Sum(h => h.HeightUm), 1e-12, "sum of the heights");
        if (perturbed)
        {
            file.Reaches(file.Number("perturbed", "least_squares", "vv"), values.SumOfSquares, "sums", "vv");
            file.Reaches(file.Number("perturbed", "least_squares", "sigma0_um"), values.Sigma0!.Value, "sums", "sigma0");
            foreach (var node in file.At("perturbed", "least_squares", "heights_um_plane_removed").EnumerateObject())
                Agreement.Near(node.Value.GetDouble(), Height(values, node.Name), 1e-12, node.Name);
        }
        else
        {
            Agreement.Near(0, values.SumOfSquares, 1e-24, "vv");
            var mean = file.At("recomputed", "moody_heights_um").EnumerateObject().Average(n => n.Value.GetDouble());
            foreach (var node in file.At("recomputed", "moody_heights_um").EnumerateObject())
                Agreement.Near(node.Value.GetDouble() - mean, Height(values, node.Name), 1e-12, node.Name);
            Assert.All(values.Loops, l => Agreement.Near(0, l.ClosureUm, 1e-12, "closure"));
        }
    }

    [Fact]
    public void The_closures_of_twenty_two_loops_give_the_published_error_per_kilometre()
    {
        var file = ReferenceFile.Load("network-closures-baden-22-loops");
        var rows = file.At("points").EnumerateArray().ToArray();
        double[] closures = [.. rows.Select(r => r[0].GetDouble())], lengths = [.. rows.Select(r => r[1].GetDouble())];
        var sigma = ClosureStatistic.SigmaPerRootLength(closures, lengths);
        file.Reaches(file.Number("published", "sd_per_km_mm"), sigma, "published", "published");
        file.Reaches(file.Number("recomputed", "sd_per_km_mm"), sigma, "recomputed", "recomputed");
        Assert.Throws<ArgumentException>(() => ClosureStatistic.SigmaPerRootLength([], []));
        Assert.Throws<ArgumentOutOfRangeException>(() => ClosureStatistic.SigmaPerRootLength([1], [0]));
    }

    [Fact]
    public void The_critical_values_are_those_of_Baarda_and_Pope()
    {
        var file = ReferenceFile.Load("statistics-baarda-pope");
        Agreement.Near(file.Number("published", "alpha_0_001_power_80", "w_critical"), DoubtfulTest.CriticalW, 0, "w");
        Agreement.Near(file.Number("published", "alpha_0_001_power_80", "delta0"), DoubtfulTest.Detected, 0.005, "delta0, published");
        var found = file.At("recomputed", "w_test").EnumerateArray().Single(r => r.GetProperty("alpha").GetDouble() == 0.001 && r.GetProperty("power").GetDouble() == 0.8);
        Agreement.Near(found.GetProperty("delta0").GetDouble(), DoubtfulTest.Detected, 0, "delta0");
        foreach (var row in file.At("recomputed", "tau_test").EnumerateArray())
        {
            var alpha = row.GetProperty("alpha").GetDouble();
            Agreement.Near(row.GetProperty("tau_critical").GetDouble(), DoubtfulTest.CriticalTau(row.GetProperty("dof").GetInt32(), alpha), 0.00006, row.GetRawText());
        }

        Assert.Throws<ArgumentOutOfRangeException>(() => DoubtfulTest.CriticalTau(1));
        Assert.Throws<ArgumentOutOfRangeException>(() => DoubtfulTest.CriticalTau(3, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => DoubtfulTest.Global(1, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => DoubtfulTest.Global(-1, 1));
    }

    private static LevelNetworkValues Adjust(ReferenceFile file, double umPerUnit, Func<JsonElement, double>? sigmaUm, Func<JsonElement, double>? weight)
    {
        LevelObservation[] observations =
        [
            .. file.At("readings").EnumerateArray().Select(r =>
            {
                var (from, to, rise) = (r.GetProperty("frm").GetString()!, r.GetProperty("to").GetString()!, r.GetProperty("dh").GetDouble() * umPerUnit);
                return sigmaUm is not null ? LevelObservation.WithSigma(from, to, rise, sigmaUm(r)) : new LevelObservation(from, to, rise, weight!(r));
            }),
        ];
        var known = file.At("fixed").EnumerateObject().ToDictionary(f => f.Name, f => f.Value.GetDouble() * umPerUnit);
        return LevelNetworkCalculation.Adjust(observations, known, sigmaUm is not null).Values!;
    }

    private static double Height(LevelNetworkValues values, string id) => Assert.Single(values.Heights, h => h.Id == id).HeightUm;

    /// <summary>Heights, residuals, sums, standard deviations and redundancy numbers against the recomputed block of a file.</summary>
    private static void Same(ReferenceFile file, JsonElement expected, LevelNetworkValues values, double umPerUnit, string residuals, double umPerResidual)
    {
        foreach (var point in expected.GetProperty("heights").EnumerateObject())
            file.Reaches(point.Value.GetDouble(), Height(values, point.Name) / umPerUnit, "heights", point.Name);
        foreach (var point in expected.GetProperty("sd_heights").EnumerateObject())
            file.Reaches(point.Value.GetDouble(), values.Heights.Single(h => h.Id == point.Name).SigmaUm!.Value / umPerUnit, "sd", "sigma " + point.Name);
        file.Reaches(expected.GetProperty("vPv").GetDouble(), values.SumOfSquares, "sums", "vPv");
        file.Reaches(expected.GetProperty("sigma0").GetDouble(), values.Sigma0!.Value, "sums", "sigma0");
        Assert.Equal(expected.GetProperty("dof").GetInt32(), values.DegreesOfFreedom);
        foreach (var (number, i) in expected.GetProperty("redundancy_numbers").EnumerateArray().Select((n, i) => (n.GetDouble(), i)))
            Agreement.Near(number, values.Redundancy[i], 6e-7, $"redundancy {i}");
        foreach (var (number, i) in expected.GetProperty(residuals).EnumerateArray().Select((n, i) => (n.GetDouble(), i)))
            Agreement.Near(number, values.ResidualsUm[i] / umPerResidual, 6e-5, $"residual {i}");
    }

    private static double Fraction(JsonElement text)
    {
        var parts = text.GetString()!.Split('/');
        return double.Parse(parts[0], CultureInfo.InvariantCulture) / (parts.Length > 1 ? double.Parse(parts[1], CultureInfo.InvariantCulture) : 1);
    }
}
