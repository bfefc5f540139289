using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Corrections;

/// <summary>Rails, joints and the gantry's drive among the corrections; numbers by hand.</summary>
public sealed class RailCorrectionsTests
{
    private static CorrectionOption First(MachineRecord machine)
    {
        Assert.Null(CorrectionPlan.WhyNot(machine, Beds.Standing(machine)));
        var options = CorrectionPlan.Of(machine, Beds.Standing(machine), null);
        Assert.Equal([options[0].Kind, CorrectionKind.Concession], options.Select(o => o.Kind));
        return options[0];
    }

    /// <summary>A parabola of 40 µm is taken out whole: nothing is left, and each push is its height.</summary>
    [Fact]
    public void A_bowed_rail_is_pushed_from_the_middle_outward()
    {
        var push = First(Beds.Along("straightness", "line", "end-point", "deviation", "µm", 30, "rail-torque", [0, 30, 40, 30, 0]));
        Assert.Equal((CorrectionKind.RailPush, "rail-torque", 0.0, Verdict.Accepted, 4.0), (push.Kind, push.Change, Math.Round(push.PredictedUm!.Value, 6), push.PredictedVerdict, push.Hours));
        Assert.Equal(["R1-3 0.040 mm down", "R1-2 0.030 mm down", "R1-4 0.030 mm down"], push.Places.Select(p => $"{p.Place} {p.Amount}"));
        Assert.Equal(["100-01 Flatness"], push.Repeats);
    }

    /// <summary>What no smooth curve follows stays: 40 µm at every second station.</summary>
    [Fact]
    public void A_rail_that_jumps_is_not_pushed()
    {
        var push = First(Beds.Along("straightness", "line", "end-point", "deviation", "µm", 30, "rail-torque", [0, 40, 0, 40, 0, 40, 0, 40, 0]));
        Assert.Contains("more than half of the limit of 0.030 mm", push.Refusal, StringComparison.Ordinal);
        Assert.Null(push.PredictedVerdict);
    }

    /// <summary>A gauge that widens by 10 µm a metre: R2 follows the mean, 20 µm at the ends, and nothing is left.</summary>
    [Fact]
    public void The_gauge_is_set_by_the_second_rail()
    {
        var push = First(Beds.Along("range", "values", null, "indicator", "µm", 30, "rail-torque", [0, 10, 20, 30, 40]));
        Assert.Equal((CorrectionKind.RailPush, 0.0, Verdict.Accepted), (push.Kind, Math.Round(push.PredictedUm!.Value, 6), push.PredictedVerdict));
        Assert.Equal(["R1-2 0.010 mm away from R1", "R1-4 0.010 mm toward R1", "R1-1 0.020 mm away from R1", "R1-5 0.020 mm toward R1"], push.Places.Select(p => $"{p.Place} {p.Amount}"));
        Assert.Contains("R1 is the master and stays", push.Steps[0], StringComparison.Ordinal);
        var jumps = First(Beds.Along("range", "values", null, "indicator", "µm", 30, "rail-torque", [0, 40, 0, 40, 0, 40, 0, 40, 0]));
        Assert.StartsWith("No smooth push", jumps.Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void A_joint_is_set_by_its_mean_step_and_the_others_are_left()
    {
        var joints = First(Beds.Along("plain-value", "values", null, "step", "µm", 5, "rail-torque", [8, 2], [9, 2], [10, 2]));
        Assert.Equal((CorrectionKind.JointRealign, 2.0, 1.5), (joints.Kind, joints.PredictedUm, joints.Hours));
        Assert.Equal(["R1-1 set by 9.0 µm, 1.0 µm of step at most"], joints.Places.Select(p => $"{p.Place} {p.Amount}, {p.Left}"));
        var apart = First(Beds.Along("plain-value", "values", null, "step", "µm", 5, "rail-torque", [1, 2], [9, 2], [20, 2]));
        Assert.Contains("Measure again", apart.Refusal, StringComparison.Ordinal);
    }

    /// <summary>60 µm/m over a gauge of 1.75 m: 0.105 mm; above 0.3 mm the mechanics come first. The longer first diagonal ends at the far end of R2: that end is ahead.</summary>
    [Fact]
    public void A_racked_gantry_has_one_drive_offset_after_a_second_method()
    {
        var offset = First(Beds.Leaning(60));
        Assert.Equal((CorrectionKind.DriveOffset, "gantry-shift", 0.0, Verdict.Accepted, 2.0), (offset.Kind, offset.Change, offset.PredictedUm, offset.PredictedVerdict, offset.Hours));
        Assert.Equal("drive on R2 back 0.105 mm", $"{offset.Places[0].Place} {offset.Places[0].Amount}");
        Assert.Contains("second method", offset.Steps[0], StringComparison.Ordinal);
        Assert.Equal("drive on R2 forward 0.105 mm", $"{First(Beds.Leaning(-60)).Places[0].Place} {First(Beds.Leaning(-60)).Places[0].Amount}");
        Assert.Contains("the mechanics are put right first", First(Beds.Leaning(400)).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void A_line_that_no_work_on_the_rails_makes_void_has_no_push_and_a_plan_without_figures_none_at_all()
    {
        var seat = Beds.Along("straightness", "line", "end-point", "deviation", "µm", 30, "re-coat", [0, 30, 40, 30, 0]);
        Assert.Equal(CorrectionPlan.NothingToCorrect, CorrectionPlan.WhyNot(seat, Beds.Standing(seat))!.Id);
        var rail = Beds.Along("straightness", "line", "end-point", "deviation", "µm", 30, "rail-torque", [0, 30, 40, 30, 0]);
        var old = rail with { Revision = rail.Revision with { Corrections = [.. rail.Revision.Corrections.Where(c => c.Id != CorrectionFigure.PushHours)] } };
        Assert.Equal(CorrectionPlan.NoFigures, CorrectionPlan.WhyNot(old, Beds.Standing(old))!.Id);
    }
}
