using BuildTrack.Metrology.Acceptance;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>Worked examples of the trade notes; a cut with the offset found has the size that was asked for.</summary>
public sealed class KerfTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("commissioning-worked");

    [Fact]
    public void The_worked_examples_come_out()
    {
        foreach (var row in File.At("kerf").EnumerateArray())
        {
            var hole = row.TryGetProperty("hole_nominal", out _);
            double N(string name) => row.GetProperty(name).GetDouble();
            var found = Kerf.Of(N(hole ? "hole_nominal" : "outside_nominal"), N(hole ? "hole_measured" : "outside_measured"), N("applied_offset"), hole)!;
            Agreement.Near(N("kerf"), found.KerfMm, 1e-12, $"{row}");
            Agreement.Near(N("new_offset_per_side"), found.OffsetMm, 1e-12, $"{row}");

            // Cut again with it, the part has its nominal size.
            var again = N(hole ? "hole_nominal" : "outside_nominal") + ((hole ? -1 : 1) * ((2 * found.OffsetMm) - found.KerfMm));
            Agreement.Near(N(hole ? "hole_nominal" : "outside_nominal"), again, 1e-12, "again");
        }
    }

    [Fact]
    public void Sizes_without_a_kerf_have_none_and_impossible_ones_are_refused()
    {
        Assert.Null(Kerf.Of(100, 100.3, 0, hole: false));
        Assert.Null(Kerf.Of(50, 50, 0, hole: true));
        Refused("above zero", () => Kerf.Of(0, 1, 0, false));
        Refused("infinite", () => Kerf.Of(1, double.PositiveInfinity, 0, false));
        Refused("from 0 to 100", () => Kerf.Of(1, 1, 101, false));
    }

    /// <summary>ISO 11554: relative fluctuation 2 s over the mean.</summary>
    [Fact]
    public void The_fluctuation_of_the_worked_power_readings_comes_out()
    {
        var worked = File.At("power");
        double[] readings = [.. worked.GetProperty("readings_w").EnumerateArray().Select(v => v.GetDouble())];
        var drift = LaserPower.Drift([.. readings.Select((_, i) => (double)i)], readings, 0)!;
        Assert.Equal(worked.GetProperty("mean_w").GetDouble(), drift.MeanW, 9);
        Assert.Equal(worked.GetProperty("s_w").GetDouble(), drift.StandardDeviationW, 2);
        Assert.Equal(worked.GetProperty("fluctuation_percent").GetDouble(), 200 * drift.StandardDeviationW / drift.MeanW, 3);
    }
}
