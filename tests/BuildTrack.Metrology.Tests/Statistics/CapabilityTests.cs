using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Statistics;

/// <summary>NIST/SEMATECH e-Handbook 6.1.6.</summary>
public sealed class CapabilityTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("acc-spc");

    [Fact]
    public void The_handbooks_process_has_its_published_indices()
    {
        var (given, published, again) = (
            File.At("nist_6_1_6_capability"), File.At("nist_6_1_6_capability", "published"), File.At("nist_6_1_6_capability", "recomputed"));
        var result = Capability.Of(given.GetProperty("mean").GetDouble(), given.GetProperty("s").GetDouble(),
            new(given.GetProperty("USL").GetDouble(), given.GetProperty("LSL").GetDouble()));
        foreach (var (name, found) in new[] { ("Cp", result.Cp), ("Cpk", result.Cpk), ("Cpu", result.Cpu), ("Cpl", result.Cpl), ("k", result.K) })
        {
            Assert.Equal(published.GetProperty(name).GetDouble(), Math.Round(found!.Value, 4));
            File.Reaches(again.GetProperty(name).GetDouble(), found.Value, "recomputed", name);
        }

        Agreement.Near(again.GetProperty("Cpm_target_14").GetDouble(), result.Cpm!.Value, 5e-6, "Cpm");
        Assert.Equal(14, result.Target);

        // Cpk = (1 − k) Cp, as the handbook says.
        Agreement.Near((1 - result.K!.Value) * result.Cp!.Value, result.Cpk!.Value, 1e-12, "Cpk");
        Assert.Null(result.CpLow);
    }

    [Fact]
    public void One_limit_has_one_index_and_a_mean_beyond_it_a_negative_one()
    {
        var upper = Capability.Of(16, 2, new(20, null));
        Assert.Equal((upper.Cpu, null, null, null), (upper.Cpk, upper.Cp, upper.Cpm, upper.Cpl));
        Assert.Equal(1.0 / 3, Capability.Of(10, 2, new(null, 8)).Cpk!.Value, 12);
        Assert.True(Capability.Of(22, 2, new(20, null)).Cpk < 0);
        Assert.Equal(0.5, Capability.Of(14, 2, new(20, 8), 14 + Math.Sqrt(12)).Cpm!.Value, 12);
    }

    [Fact]
    public void Values_give_the_indices_of_their_mean_and_deviation_and_how_uncertain_they_are()
    {
        // Five whole numbers with mean 16 and s = 2: 14, 14, 16, 18, 18. χ² of 4 degrees: 0.4844 and 11.143 (standard tables, from memory).
        var result = Capability.OfValues([14, 14, 16, 18, 18], new(20, 8));
        Assert.Equal((16.0, 5), (result.Mean, result.Count!.Value));
        Assert.Equal(2, result.Sigma, 12);
        Assert.Equal(1, result.Cp!.Value, 12);
        Agreement.Near(Math.Sqrt(0.4844 / 4), result.CpLow!.Value, 5e-5, "low");
        Agreement.Near(Math.Sqrt(11.143 / 4), result.CpHigh!.Value, 5e-5, "high");
        var half = 1.96 * Math.Sqrt((1 / 45.0) + (4 / 9.0 / 8));
        Agreement.Near((2.0 / 3) - half, result.CpkLow!.Value, 1e-12, "Cpk low");
        Agreement.Near((2.0 / 3) + half, result.CpkHigh!.Value, 1e-12, "Cpk high");
    }

    [Fact]
    public void The_intervals_hold_the_true_index_in_ninety_five_of_a_hundred_productions()
    {
        const ulong seed = 7601;
        var source = new SeededSource(seed);
        const int productions = 3000;
        int cp = 0, cpk = 0;
        for (var p = 0; p < productions; p++)
        {
            double[] values = [.. Enumerable.Range(0, 50).Select(_ => 10.2 + (0.25 * source.NextNormal()))];
            var result = Capability.OfValues(values, new(11, 9));
            cp += result.CpLow <= 2 / 1.5 && result.CpHigh >= 2 / 1.5 ? 1 : 0;
            cpk += result.CpkLow <= 0.8 / 0.75 && result.CpkHigh >= 0.8 / 0.75 ? 1 : 0;
        }

        Agreement.Near(0.95, (double)cp / productions, 0.016, $"Cp, seed {seed}");
        Agreement.Near(0.95, (double)cpk / productions, 0.025, $"Cpk, approximate, seed {seed}");
    }

    [Fact]
    public void Many_values_have_a_narrow_interval_and_a_large_mean_costs_no_digits()
    {
        const ulong seed = 7602;
        var source = new SeededSource(seed);
        double[] values = [.. Enumerable.Range(0, 100_000).Select(_ => source.NextNormal())];
        var near = Capability.OfValues(values, new(4, -4));
        Assert.True(near.CpLow < near.Cp && near.Cp < near.CpHigh && near.CpHigh - near.CpLow < 0.02);
        var far = Capability.OfValues([.. values.Select(v => v + 1e6)], new(1e6 + 4, 1e6 - 4));
        Agreement.Near(near.Cpk!.Value, far.Cpk!.Value, 1e-9, "far from zero");
    }

    [Fact]
    public void Values_that_give_no_index_say_why_and_bad_ones_are_refused_by_name()
    {
        var limits = new Conformity.Limits(20, 8);
        Assert.Contains("Fewer than two", Capability.OfValues([1], limits).DefectSentence, StringComparison.Ordinal);
        Assert.Contains("all equal", Capability.OfValues([0.1, 0.1, 0.1], limits).DefectSentence, StringComparison.Ordinal);
        Refused("sigma", () => Capability.Of(1, 0, limits));
        Refused("sigma", () => Capability.Of(1, double.NaN, limits));
        Refused("mean", () => Capability.Of(double.NaN, 1, limits));
        Refused("no limit", () => Capability.Of(1, 1, new(null, null)));
        Refused("above the lower limit", () => Capability.Of(1, 1, new(8, 8)));
        Refused("below the lower limit", () => Capability.Of(1, 1, new(7, 8)));
        Refused("values[1]", () => Capability.OfValues([1, double.NaN], limits));
        Refused("target", () => Capability.Of(1, 1, limits, double.NaN));
        Refused("Cpm needs two", () => Capability.Of(1, 1, new(8, null), 5));
    }
}
