using BuildTrack.Domain.Checklists;
using BuildTrack.Records.ResultSeries;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.ResultSeries;

/// <summary>What was released once stays in the series of a machine when it is measured anew.</summary>
public sealed class SeriesReaderTests
{
    [Theory, OnBoth]
    public async Task A_released_result_stays_in_the_series_after_the_next_is_found(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("S-1");
        await plant.Release(TestPlant.Inspector, "S-1");
        await plant.ChangeBed("S-1");
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("S-1"), [.. TestPlant.Triangle.Select(t => t == "9" ? "8" : t)]);
        var machine = await plant.Machine("S-1");
        var line = machine.Agreed("H1").Single();
        var other = line.Characteristic with { Id = "other", Line = "100-99" };
        machine = machine with { Revision = machine.Revision with { Characteristics = [.. machine.Revision.Characteristics, other], Series = [new SeriesPlan("flatness", "Flatness", [line.Characteristic.Id, other.Id])] } };
        var points = (await plant.Get<SeriesReader>().Of(machine, default)).Single().Points.Where(p => p.Agreed.Characteristic.Id == line.Characteristic.Id).ToList();

        // 14.667 µm of the triangle; with its highest place a micrometre lower it is less.
        Assert.Equal(2, points.Count);
        Assert.Equal(14.667, points[0].Value, 1e-3);
        Assert.InRange(points[1].Value, 13.0, 14.5);
        Assert.Equal([true, false], points.Select(p => p.Released is not null));
        Assert.Equal(points[1].Value - points[0].Value, points[1].SinceBefore!.Difference, 1e-9);
        Assert.False(points[1].SinceBefore!.Proved);
    }
}
