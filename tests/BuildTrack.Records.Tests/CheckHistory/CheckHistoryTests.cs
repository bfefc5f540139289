using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.CheckHistory;

/// <summary>One check over the machines. Values: reference-data constructed-minimum-zone-3x3.json, triangle 14.667 µm of 20 and crossing 15 µm of 13.</summary>
public sealed class CheckHistoryTests
{
    [Theory, OnBoth]
    public async Task The_first_result_of_each_machine_counts_whatever_is_measured_later(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("H-1");
        await plant.Order("H-2");
        // Twice as high: 29.3 µm of 20, not accepted; milled again it is as the first.
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("H-2"), "-8", "4", "-12", "2", "18", "6", "0", "-10", "2");
        await plant.ChangeBed("H-2");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("H-2"), TestPlant.Triangle);
        var of = await plant.Get<CheckHistoryReader>().Of("100-02", default);
        Assert.Equal(["H-1", "H-2"], of.Machines.Select(m => m.Serial));
        Assert.Equal(44.0 / 3 / 20, of.Machines[0].Share!.Value, 1e-6);
        Assert.Equal(2 * of.Machines[0].Share!.Value, of.Machines[1].Share!.Value, 1e-6);
        Assert.Equal((1, "accepted"), (of.FirstPass, of.Machines[1].Latest));
        Assert.NotEqual(Verdict.Accepted, of.Machines[1].Verdict);

        // Individuals chart of two values: mean, and one moving range over 1.128 (NIST/SEMATECH e-Handbook 6.3.2.2).
        Assert.Equal(1.5 * of.Machines[0].Share!.Value, of.Chart!.Centre, 1e-6);
        Assert.Equal(of.Machines[0].Share!.Value / 1.128, of.Chart.Sigma, 1e-6);
        Assert.Equal(("100-02", "H1", 1, 2), (await plant.Get<CheckHistoryReader>().FirstPass(default)).Where(l => l.Line == "100-02").Select(l => (l.Line, l.Hold, l.Accepted, l.Machines)).Single());
        await Assert.ThrowsAsync<NotFoundException>(() => plant.Get<CheckHistoryReader>().Of("999-99", default));
    }
}
