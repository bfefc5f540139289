using BuildTrack.Domain.Rules;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Repeats;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Repeats;

/// <summary>What must be repeated: surveys of the act's rule in TestChecklists/invalidation.yaml, in the order of its route.</summary>
public sealed class RepeatListTests
{
    private static async Task<System.Collections.Immutable.ImmutableArray<Domain.Repeats.RepeatLine>> Of(TestPlant plant, string serial) => (await plant.Get<RepeatReader>().Of(serial, default)).Lines;

    [Theory, OnBoth]
    public async Task After_an_act_on_the_bed_its_surveys_stand_in_the_list_until_they_are_measured_anew(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("R-1");
        await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("R-1"));
        var run = (await plant.Machine("R-1")).Measurements.Single().Runs.Single();
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("R-1", run.Id, TestPlant.Heights(TestPlant.Triangle)));
        plant.Clock.Advance(TimeSpan.FromMinutes(30));
        await plant.Finish(TestPlant.Technician, "R-1", run.Id);
        Assert.Empty(await Of(plant, "R-1"));

        await plant.ChangeBed("R-1");
        var line = Assert.Single(await Of(plant, "R-1"));
        Assert.Equal((100, "triangle-heights", null, "Surface milled again: 0.17 mm off"), (line.Step.Number, line.Survey.Id, line.Feature, line.Because));
        Assert.Equal(["100-02"], line.Lines.Select(c => c.Line));
        Assert.Equal(0.5, line.HoursBefore!.Value, 1e-9);
        // HGT-01 and HGT-02 prove it alike: the one of before comes first. HGT-OLD expired.
        Assert.Equal(("height", "HGT-01"), (line.Instruments.Single().Quantity, line.Instruments.Single().Instrument));
        Assert.True(line.Instruments.Single().Proves);

        await plant.Get<InstrumentRecordActs>().Check(TestPlant.Technician, new CheckInstrumentRequest("HGT-01", "block", "9 µm", "2 µm"), null, default);
        Assert.Equal("HGT-02", (await Of(plant, "R-1")).Single().Instruments.Single().Instrument);
        await plant.Get<InstrumentRecordActs>().Check(TestPlant.Technician, new CheckInstrumentRequest("HGT-02", "block", "9 µm", "2 µm"), null, default);
        var none = (await Of(plant, "R-1")).Single().Instruments.Single();
        Assert.Equal((null, "no instrument for height is valid on 2026-03-02"), (none.Instrument, none.Note));

        await plant.Get<InstrumentRecordActs>().Check(TestPlant.Technician, new CheckInstrumentRequest("HGT-01", "block", "0", "2 µm"), null, default);
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("R-1"), TestPlant.Triangle);
        Assert.Empty(await Of(plant, "R-1"));
        await Assert.ThrowsAsync<NotFoundException>(() => plant.Get<RepeatReader>().Of("R-99", default));
        await plant.Sound();
    }
}
