using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Joints;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Joints;

/// <summary>No published example of a pitch at a joint was found; published are the height of a pin in a tooth space and its change with the width of the space. Beside them:
/// closed form, the factors worked in the trade notes, and a roller that is laid into the flanks.</summary>
public sealed class JointTests
{
    [Theory]
    [InlineData(20, 0, 0.728)]
    [InlineData(20, 19.0 + (31.0 / 60) + (42.0 / 3600), 0.772)]
    public void The_factors_of_straight_and_helical_racks_are_those_of_the_trade_notes(double pressure, double helix, double printed)
    {
        var racks = JointCalculation.Racks([new("J1", -1, 0), new("J1", 0, -10), new("J1", 1, 0)], pressure, helix);
        Assert.Equal(printed, Math.Round(racks.FactorUmPerUm, 3));
        Agreement.Near(2 * Math.Tan(pressure * Math.PI / 180) / Math.Cos(helix * Math.PI / 180), racks.FactorUmPerUm, 1e-14, "closed form");

        // The roller sinks by 10 µm: the gap is too wide.
        Agreement.Near(10 * racks.FactorUmPerUm, racks.Joints[0].PitchErrorUm, 1e-12, "pitch error");
        Agreement.Near(-10, racks.Joints[0].HeightUm, 1e-12, "height");
        Assert.Equal("J1", racks.LargestAt);
    }

    [Fact]
    public void A_pin_stands_in_its_space_as_published_and_sinks_as_published_where_the_space_is_wider()
    {
        var file = ReferenceFile.Load("rack-over-pin");
        var pressure = file.Number("pressure_angle_deg");
        foreach (var row in file.At("over_pin").EnumerateArray())
        {
            double Of(string name) => row.GetProperty(name).GetDouble();
            var laid = Laid(500 * Math.PI * Of("module_mm"), pressure, 0, 500 * Of("pin_mm")) / 1000;
            Agreement.Near(Of("over_pin_mm"), Of("pitch_line_mm") + laid + (Of("pin_mm") / 2), 0.001, file.Origin);
        }

        foreach (var row in file.At("wider_space_lowers_the_pin").EnumerateArray())
        {
            var lower = 1000 * row.GetProperty("lower_mm").GetDouble();
            var joint = JointCalculation.Racks([new("J", -1, 0), new("J", 0, -lower), new("J", 1, 0)], pressure).Joints[0];

            // Printed to 0.1 µm of height: 0.04 µm of width.
            Agreement.Near(1000 * row.GetProperty("wider_mm").GetDouble(), joint.PitchErrorUm, 0.04, file.Origin);
        }
    }

    [Fact]
    public void A_roller_laid_into_the_flanks_of_each_space_gives_back_the_pitch_error()
    {
        const ulong seed = 5601;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 100; trial++)
        {
            double pressure = 14.5 + (10 * source.NextUniform()), helix = trial % 2 == 0 ? 0 : 25 * source.NextUniform(), error = 30 * source.NextNormal(), step = 10 * source.NextNormal(), tilt = 2 * source.NextNormal();
            RollerReading[] readings = [.. Enumerable.Range(-3, 7).Select(s => new RollerReading("J", s, Laid(4000 + (s == 0 ? error : 0), pressure, helix, 3000) + (tilt * s) + (s == 0 ? step / 2 : s > 0 ? step : 0)))];
            var joint = Assert.Single(JointCalculation.Racks(readings, pressure, helix).Joints);
            Agreement.Near(error, joint.PitchErrorUm, 1e-9, $"seed {seed}, trial {trial}");
            Assert.Equal(3, joint.SpacesEachSide);

            // Behind the joint the heights are a step and four spaces of tilt higher in the mean.
            Agreement.Near(step + (4 * tilt), joint.StepUm, 1e-9, $"seed {seed}, trial {trial}, step");
        }
    }

    [Theory]
    [InlineData("", RackJointDefect.Empty, "no heights")]
    [InlineData("-1 1", RackJointDefect.NoJointSpace, "space 0")]
    [InlineData("0", RackJointDefect.Lopsided, "same spaces")]
    [InlineData("-2 -1 0 1", RackJointDefect.Lopsided, "-2, -1, 0, 1")]
    [InlineData("-1 0 2", RackJointDefect.Lopsided, "-1, 0, 2")]
    [InlineData("-1 0 1 1", RackJointDefect.RepeatedSpace, "space 1 stands twice")]
    public void Heights_that_leave_no_pitch_are_a_named_defect(string spaces, RackJointDefect defect, string words)
    {
        var racks = JointCalculation.Racks(
            [.. spaces.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(s => new RollerReading("J4", int.Parse(s, System.Globalization.CultureInfo.InvariantCulture), 0))], 20);
        Assert.Equal(defect, racks.Defect);
        Assert.True(racks.Joints.IsEmpty && racks.LargestAt is null);
        Assert.Contains(words, racks.DefectSentence, StringComparison.Ordinal);
    }

    [Fact]
    public void Steps_of_joints_are_told_by_their_mean_and_by_their_worst_run()
    {
        var steps = JointCalculation.Steps([new("J1", 1, 2), new("J2", 1, -3), new("J1", 2, 1), new("J2", 2, -5), new("J1", 3, 3), new("J2", 3, -1)]);
        Assert.Equal(["J1", "J2"], steps.Joints.Select(j => j.Joint));
        Assert.Equal(new JointStep("J1", 3, 2, 3, 2), steps.Joints[0]);
        Assert.Equal(new JointStep("J2", 3, -3, 5, 4), steps.Joints[1]);
        Assert.Equal((5, "J2"), (steps.LargestUm, steps.LargestAt));
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_with_their_place()
    {
        Assert.Contains("readings[0].StepUm is NaN", Assert.Throws<ArgumentException>(() => JointCalculation.Steps([new("J1", 1, double.NaN)])).Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => JointCalculation.Steps([]));
        Assert.Throws<ArgumentException>(() => JointCalculation.Steps([new(" ", 1, 0)]));
        Assert.Throws<ArgumentException>(() => JointCalculation.Steps([new("J1", 1, 0), new("J1", 1, 0)]));
        Assert.Throws<ArgumentOutOfRangeException>(() => JointCalculation.Steps([new("J1", 0, 0)]));
        Assert.Throws<ArgumentException>(() => JointCalculation.Racks([new("J1", 0, double.NaN)], 20));
        Assert.Throws<ArgumentException>(() => JointCalculation.Racks([new("", 0, 0)], 20));
        foreach (var angle in new[] { double.NaN, 0, 90, -20 })
            Assert.ThrowsAny<ArgumentException>(() => JointCalculation.Racks([new("J1", 0, 0)], angle));
        Assert.ThrowsAny<ArgumentException>(() => JointCalculation.Racks([new("J1", 0, 0)], 20, 61));
    }

    // Distance of the roller's axis from each flank is its radius: the flanks of the normal section stand at ±w/2 on the pitch line and lean by the pressure angle.
    private static double Laid(double spaceUm, double pressureDegrees, double helixDegrees, double radiusUm)
    {
        double angle = pressureDegrees * Math.PI / 180, normal = spaceUm * Math.Cos(helixDegrees * Math.PI / 180);
        double low = -1e5, high = 1e5;
        for (var i = 0; i < 200; i++)
        {
            var middle = (low + high) / 2;
            if (((normal / 2) + (middle * Math.Tan(angle))) * Math.Cos(angle) < radiusUm)
                low = middle;
            else
                high = middle;
        }

        return (low + high) / 2;
    }
}
