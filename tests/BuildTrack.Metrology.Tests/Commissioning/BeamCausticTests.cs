using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
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
        var beam = BeamCaustic.Of(Series("z_mm"), Series(diameters), File.Number("wavelength_um"));
        var expected = File.At(fit);
        foreach (var (name, found) in new[]
        {
            ("z0_mm", beam.WaistPositionMm), ("d0_um", beam.WaistDiameterUm), ("theta_mrad", beam.DivergenceMrad), ("zR_mm", beam.RayleighMm), ("M2", beam.TimesDiffractionLimit),
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
            var beam = BeamCaustic.Of(z, [.. z.Select(p => diameter * Math.Sqrt(1 + ((p - waist) * (p - waist) / (rayleigh * rayleigh))))], 1.07);
            Assert.Null(beam.DefectSentence);
            Agreement.Near(waist, beam.WaistPositionMm, 1e-6, "waist");
            Agreement.Near(diameter, beam.WaistDiameterUm, 1e-6 * diameter, "diameter");
            Agreement.Near(rayleigh, beam.RayleighMm, 1e-6 * rayleigh, "Rayleigh length");

            // d0 Θ/4 = M² λ/π, and Θ = d0/zR.
            Agreement.Near(diameter / rayleigh, beam.DivergenceMrad, 1e-6 * diameter, "divergence");
            Agreement.Near(beam.TimesDiffractionLimit * 1.07 / Math.PI, beam.BeamParameterMmMrad, 1e-9, "product");
        }
    }

    [Fact]
    public void What_is_no_caustic_gives_a_sentence_and_no_number()
    {
        double[] z = [.. Enumerable.Range(0, 12).Select(i => (double)i)];
        Assert.Contains("9 planes", BeamCaustic.Of(z.AsSpan(0, 9), z.AsSpan(1, 9), 1.07).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("no waist", BeamCaustic.Of(z, [.. z.Select(p => 100 + (20 * p) - (1.2 * p * p))], 1.07).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("one place", BeamCaustic.Of(new double[12], [.. z.Select(p => p + 1)], 1.07).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("fewer than three", BeamCaustic.Of([.. z.Select(p => p % 2)], [.. z.Select(p => p + 1)], 1.07).DefectSentence, StringComparison.Ordinal);
        Refused("diameterUm[0]", () => BeamCaustic.Of(z, z, 1.07));
        Refused("must be as many", () => BeamCaustic.Of(z, z.AsSpan(1), 1.07));
        Refused("zMm[0] is NaN", () => BeamCaustic.Of([double.NaN], [1], 1.07));
    }
}
