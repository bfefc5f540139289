using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Joints;
using BuildTrack.Metrology.Squareness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>Offset of a drive against the table of the trade notes, section 4.3; joints by their rules (common practice, no source).</summary>
public sealed class GantryAndJointTests
{
    [Fact]
    public void Offsets_of_the_table_come_out()
    {
        var file = ReferenceFile.Load("squareness-diagonals");
        double length = file.Number("rectangle", "length_mm"), width = file.Number("rectangle", "width_mm"),
            diagonal = Math.Sqrt((length * length) + (width * width));
        foreach (var row in file.At("differences").EnumerateArray())
        {
            var half = row.GetProperty("d1_less_d2_mm").GetDouble() / 2;
            var angle = SquarenessCalculation.OfDiagonals(diagonal + half, diagonal - half, length, width).Angle!.AngleUmPerM;
            var offset = DriveOffset.Of(angle, 10, angle, 5, file.Number("rectangle", "gauge_mm"));
            Assert.Equal(row.GetProperty("drive_offset_mm").GetDouble(), Math.Round(offset.OffsetUm / 1000, 3));
            Agreement.Near(0, offset.PredictedUmPerM, 1e-12, "squareness afterwards");
            Assert.Equal(DriveOffsetRefusal.None, offset.Refusal);
        }
    }

    [Fact]
    public void The_offset_follows_the_better_method_and_its_uncertainty()
    {
        // Weights as 1/16 to 1/4: the mean is 40/5 + 4 · 45/5 = 44; U = √(16 · 4/20).
        var offset = DriveOffset.Of(40, 4, 45, 2, 1750);
        Agreement.Near(44, offset.AngleUmPerM, 1e-12, "mean of least variance");
        Agreement.Near(Math.Sqrt(3.2), offset.AngleUUmPerM, 1e-12, "its U");
        Agreement.Near(77, offset.OffsetUm, 1e-12, "offset");
        Agreement.Near(1.75 * Math.Sqrt(3.2), offset.OffsetUUm, 1e-12, "its U");
        Agreement.Near(4, offset.PredictedUmPerM, 1e-12, "what one method still shows");
        Agreement.Near(new SquarenessAngle(44).DriveOffsetUm(1750), offset.OffsetUm, 0, "sign and size of the squareness calculation");
        Agreement.Near(45, DriveOffset.Of(40, 10, 45, 0, 1750).AngleUmPerM, 0, "a result without uncertainty");
    }

    [Fact]
    public void Methods_that_disagree_and_racked_mechanics_are_refused_with_numbers()
    {
        var disagree = DriveOffset.Of(40, 3, 46, 4, 1750);
        Assert.Equal(DriveOffsetRefusal.MethodsDisagree, disagree.Refusal);
        Assert.Contains("differ by 6 µm/m, more than their uncertainty of 5 µm/m", disagree.RefusalSentence, StringComparison.Ordinal);
        Assert.Equal(DriveOffsetRefusal.None, DriveOffset.Of(40, 3, 45, 4, 1750).Refusal);
        var racked = DriveOffset.Of(40, 4, 40, 4, 1750, 250);
        Assert.Equal((DriveOffsetRefusal.MechanicsFirst, 320.0), (racked.Refusal, racked.WholeUm));
        Assert.Contains("0.320 mm", racked.RefusalSentence, StringComparison.Ordinal);
        Assert.Throws<ArgumentException>(() => DriveOffset.Of(double.NaN, 1, 1, 1, 1750));
        Assert.Throws<ArgumentOutOfRangeException>(() => DriveOffset.Of(1, 0, 1, 0, 1750));
        Assert.Throws<ArgumentOutOfRangeException>(() => DriveOffset.Of(1, 1, 1, 1, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => DriveOffset.Of(1e6, 1, 1, 1, 1000));
    }

    [Fact]
    public void A_segment_is_set_by_its_mean_step_where_the_runs_agree()
    {
        StepReading[] readings =
        [
            new("J1", 1, 8), new("J1", 2, 9), new("J1", 3, 7), new("J2", 1, -2), new("J2", 2, -4), new("J3", 1, -3), new("J3", 2, 11),
        ];
        var moves = JointRealign.Of(readings, 5);
        Assert.Equal([JointAdvice.Realign, JointAdvice.Leave, JointAdvice.MeasureAgain], moves.Select(m => m.Advice));
        Assert.Equal([-8.0, 0, 0], moves.Select(m => m.MoveUm));
        Assert.Equal([1.0, 4, 11], moves.Select(m => m.PredictedLargestUm));
        Assert.Contains("0.008 mm lower; do not grind", moves[0].Sentence, StringComparison.Ordinal);
        Assert.Contains("differ by 0.014 mm", moves[2].Sentence, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => JointRealign.Of(readings, 0));
        Assert.Throws<ArgumentException>(() => JointRealign.Of([], 5));
    }
}
