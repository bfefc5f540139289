using BuildTrack.Records.Tests.Support;
using BuildTrack.Records.Trends;

namespace BuildTrack.Records.Tests.Trends;

/// <summary>Trends read from the record: the first result counts. Values: reference-data constructed-minimum-zone-3x3.json.</summary>
public sealed class TrendReaderTests
{
    [Theory, OnBoth]
    public async Task The_first_result_of_each_machine_counts_whatever_is_measured_later(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        Assert.Equal(0, (await plant.Get<TrendReader>().Read(default)).Machines);
        await plant.Accepted("T-1");
        await plant.Order("T-2");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("T-2"), "-8", "4", "-12", "2", "18", "6", "0", "-10", "2");
        await plant.ChangeBed("T-2");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("T-2"), TestPlant.Triangle);
        var report = await plant.Get<TrendReader>().Read(default);
        Assert.Equal(2, report.Machines);
        var step = report.Steps.Single(s => s.Step == 100);
        Assert.Equal((1, 2), (step.FirstPass!.Count, step.FirstPass.Of));
        Assert.All(report.Months, m => Assert.Equal((0, 0), (m.Raised, m.Closed)));
    }
}
