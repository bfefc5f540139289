using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using MathNet.Numerics.LinearAlgebra;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>A constructed caustic with weighted fits of an independent program; exact hyperbolas come back. No published one with answers was found.</summary>
public sealed class BeamCausticTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("beam-caustic");

    private static double[] Series(string name) => [.. File.At(name).EnumerateArray().Select(v => v.GetDouble())];

    [Theory]
    [InlineData("d_um_clean", "fit_clean_weighted")]
    [InlineData("d_um_noisy_0.5pct", "fit_noisy_weighted")]
    public void The_fits_of_another_program_come_out(string diameters, string fit)
    {
        var beam = BeamCaustic.Of(Series("z_mm"), Series(diameters));
        var expected = File.At(fit);
        foreach (var (name, found) in new[]
        {
            ("z0_mm", beam.WaistPositionMm), ("d0_um", beam.WaistDiameterUm), ("theta_mrad", beam.DivergenceMrad), ("zR_mm", beam.RayleighMm), ("M2", beam.TimesDiffractionLimit(File.Number("wavelength_um"))),
            ("BPP_mm_mrad", beam.BeamParameterMmMrad),
        })
        {
            File.Reaches(expected.GetProperty(name).GetDouble(), found, "fit", name);
        }

        Assert.Equal((12, 6), (beam.Planes, beam.WithinRayleigh));
    }

    [Fact]
    public void Exact_hyperbolas_come_back_wherever_they_lie()
    {
        var random = new SeededSource(23);
        for (var trial = 0; trial < 300; trial++)
        {
            var (waist, diameter, rayleigh) = (-50 + (100 * random.NextUniform()), 50 + (400 * random.NextUniform()), 1 + (9 * random.NextUniform()));
            double[] z = [.. Enumerable.Range(0, 14).Select(i => waist + (rayleigh * ((i - 6.3) / 2.5)))];
            var beam = BeamCaustic.Of(z, [.. z.Select(p => diameter * Math.Sqrt(1 + ((p - waist) * (p - waist) / (rayleigh * rayleigh))))]);
            Assert.Null(beam.DefectSentence);
            Agreement.Near(waist, beam.WaistPositionMm, 1e-6, "waist");
            Agreement.Near(diameter, beam.WaistDiameterUm, 1e-6 * diameter, "diameter");
            Agreement.Near(rayleigh, beam.RayleighMm, 1e-6 * rayleigh, "Rayleigh length");

            // d0 Θ/4 = M² λ/π, and Θ = d0/zR.
            Agreement.Near(diameter / rayleigh, beam.DivergenceMrad, 1e-6 * diameter, "divergence");
            Agreement.Near(beam.TimesDiffractionLimit(1.07) * 1.07 / Math.PI, beam.BeamParameterMmMrad, 1e-9, "product");
        }
    }

    [Fact]
    public void What_is_no_caustic_gives_a_sentence_and_no_number()
    {
        double[] z = [.. Enumerable.Range(0, 12).Select(i => (double)i)];
        Assert.Contains("9 planes", BeamCaustic.Of(z.AsSpan(0, 9), z.AsSpan(1, 9)).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("no waist", BeamCaustic.Of(z, [.. z.Select(p => 100 + (20 * p) - (1.2 * p * p))]).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("one place", BeamCaustic.Of(new double[12], [.. z.Select(p => p + 1)]).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("fewer than three", BeamCaustic.Of([.. z.Select(p => p % 2)], [.. z.Select(p => p + 1)]).DefectSentence, StringComparison.Ordinal);
        Refused("diameterUm[0]", () => BeamCaustic.Of(z, z));
        Refused("must be as many", () => BeamCaustic.Of(z, z.AsSpan(1)));
        Refused("zMm[0] is NaN", () => BeamCaustic.Of([double.NaN], [1]));
        Refused("diameterUm[3]", () => BeamCaustic.Of(z, [100, 100, 100, -100, 100, 100, 100, 100, 100, 100, 100, 100]));
        Refused("wavelengthUm", () => Hyperbola(Planes, 0, 150, 2).TimesDiffractionLimit(0));
        Refused("planeShares[1]", () => Hyperbola(Planes, 0, 150, 2).WaistShare([0.01, -0.01, .. new double[10]]));
        Refused("must be as many", () => Hyperbola(Planes, 0, 150, 2).WaistShare([0.01]));
    }

    /// <summary>Twin: the normal equations as they stand, unscaled, by MathNet, and small steps of every plane.</summary>
    [Fact]
    public void The_fit_and_its_weights_are_those_of_the_normal_equations_and_of_small_steps()
    {
        var random = new SeededSource(29);
        for (var trial = 0; trial < 100; trial++)
        {
            var (waist, diameter, rayleigh) = (-3 + (6 * random.NextUniform()), 80 + (200 * random.NextUniform()), 1 + (4 * random.NextUniform()));
            double[] z = [.. Enumerable.Range(0, 14).Select(i => waist + (rayleigh * ((i - 6.7) / 2.2)))];
            double[] d = [.. z.Select(p => At(p, waist, diameter, rayleigh) * (1 + (0.01 * random.NextNormal())))];
            var beam = BeamCaustic.Of(z, d);
            var (d0, spread) = Slow(z, d, d);
            Agreement.Near(d0, beam.WaistDiameterUm, 1e-9 * d0, "diameter");
            Agreement.Near(Math.Sqrt(spread / (z.Length - 3)), beam.ScatterShare, 1e-9, "scatter");
            Agreement.Near(1, beam.Weights.Sum(), 1e-9, "a profiler that shows all planes too wide by a share shows the waist too wide by it");
            for (var i = 0; i < z.Length; i++)
            {
                double[] up = [.. d], down = [.. d];
                (up[i], down[i]) = (d[i] * 1.0001, d[i] * 0.9999);
                Agreement.Near((Slow(z, up, d).Diameter - Slow(z, down, d).Diameter) / (0.0002 * d0), beam.Weights[i], 1e-5, $"weight {i}");
            }
        }

        // The weights of the residuals stay those of the planes as they were read.
        static (double Diameter, double Spread) Slow(double[] z, double[] d, double[] weighted)
        {
            var rows = Matrix<double>.Build.Dense(z.Length, 3, (i, c) => Math.Pow(z[i], c) / (weighted[i] * weighted[i]));
            var squares = Vector<double>.Build.Dense(z.Length, i => d[i] * d[i] / (weighted[i] * weighted[i]));
            var abc = (rows.Transpose() * rows).Inverse() * (rows.Transpose() * squares);
            return (Math.Sqrt((4 * abc[0] * abc[2]) - (abc[1] * abc[1])) / (2 * Math.Sqrt(abc[2])), (squares - (rows * abc)).Sum(r => r * r / 4));
        }
    }

    /// <summary>Twin by many trials: the scatter of the waist about its mean is what the weights say, and its mean is the true one.</summary>
    [Theory]
    [InlineData(0.0)]
    [InlineData(0.8)]
    public void The_uncertainty_of_the_waist_is_that_of_many_beams_read_with_noise(double waist)
    {
        const int trials = 4000;
        const double share = 0.0075;
        var random = new SeededSource(31);
        var exact = Hyperbola(Planes, waist, 150, 1.6);
        var expected = exact.WaistShare([.. Planes.Select(_ => share)]);
        Agreement.Near(share * Math.Sqrt(exact.Weights.Sum(w => w * w)), expected, 1e-15, "equal planes");
        double sum = 0, squares = 0, scatter = 0;
        for (var trial = 0; trial < trials; trial++)
        {
            var beam = BeamCaustic.Of(Planes, [.. Planes.Select(p => At(p, waist, 150, 1.6) * (1 + (share * random.NextNormal())))]);
            var off = (beam.WaistDiameterUm / 150) - 1;
            (sum, squares, scatter) = (sum + off, squares + (off * off), scatter + (beam.ScatterShare * beam.ScatterShare));
        }

        // A standard deviation of 4,000 trials is known to 1.1 %; the mean to a sixtieth of it.
        Assert.InRange(Math.Sqrt((squares / trials) - Math.Pow(sum / trials, 2)) / expected, 0.96, 1.04);
        Assert.InRange(sum / trials, -0.1 * expected, 0.1 * expected);
        Assert.InRange(Math.Sqrt(scatter / trials) / share, 0.97, 1.03);
    }

    [Fact]
    public void Planes_are_counted_on_both_sides_of_the_waist()
    {
        var beam = Hyperbola(Planes, 0.3, 150, 1.6);
        Assert.Equal((6, 3, 3, 12), (beam.WithinRayleigh, beam.BeforeRayleigh, beam.BeyondRayleigh, beam.Planes));
        Assert.All(beam.Departures, d => Agreement.Near(0, d, 1e-9, "departure"));
    }

    private static readonly double[] Planes = [-8, -7, -6, -1.2, -0.8, -0.4, 0.4, 0.8, 1.2, 6, 7, 8];

    private static double At(double z, double waist, double diameter, double rayleigh) => diameter * Math.Sqrt(1 + ((z - waist) * (z - waist) / (rayleigh * rayleigh)));

    private static CausticResult Hyperbola(double[] z, double waist, double diameter, double rayleigh) => BeamCaustic.Of(z, [.. z.Select(p => At(p, waist, diameter, rayleigh))]);
}
