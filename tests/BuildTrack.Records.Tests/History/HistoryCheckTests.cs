using BuildTrack.Domain.Canonical;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.History;
using BuildTrack.Records.LongWork;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.History;

/// <summary>The check of the whole record as a long work: it tells how far it is, and sees one moment.</summary>
public sealed class HistoryCheckTests
{
    /// <summary>Without a snapshot the readings of an act that comes after the acts were read are told as slipped in.</summary>
    [Theory, OnBoth]
    public async Task Acts_that_come_while_the_record_is_checked_are_not_held_up_and_not_seen(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("H-1");
        var before = await plant.Verify();
        List<string> stages = [];
        var check = await plant.Get<HistoryReader>().Verify(
            async progress =>
            {
                if (progress.Done == 0)
                {
                    stages.Add(progress.What);
                    await plant.Accepted($"H-1{progress.Stage}");
                    await plant.Release(TestPlant.Inspector, $"H-1{progress.Stage}");
                }
            },
            default);
        Assert.Equal(["acts", "readings", "calculations", "kept files", "other rows"], stages);
        Assert.Equal(CanonicalJson.Of(before), CanonicalJson.Of(check));
        var after = await plant.Verify();
        Assert.Empty(after.Faults);
        Assert.Equal(before.Readings + (5 * 9), after.Readings);
    }

    [Theory, OnBoth]
    public async Task Every_stage_counts_from_nothing_to_all_of_it(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("H-2");
        await plant.Release(TestPlant.Inspector, "H-2");
        await plant.Get<OutboxWorker>().Drain(default);
        List<Progress> told = [];
        var check = await plant.Get<HistoryReader>().Verify(p => { told.Add(p); return Task.CompletedTask; }, default);
        foreach (var stage in told.GroupBy(p => p.Stage))
        {
            Assert.Equal(Enumerable.Range(0, (int)stage.First().Total + 1).Select(n => (long)n), stage.Select(p => p.Done));
        }

        Assert.Equal([check.Acts, check.Readings, check.Evaluations, check.Files], told.GroupBy(p => p.Stage).OrderBy(s => s.Key).Take(4).Select(s => s.Last().Done));
        Assert.Equal(1, check.Files);
    }

    [Theory, OnBoth]
    public async Task A_document_of_a_certificate_that_was_changed_on_disk_is_named(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("H-3");
        await plant.Release(TestPlant.Inspector, "H-3");
        await plant.Get<OutboxWorker>().Drain(default);
        await plant.Sound();
        var line = (await plant.Get<CertificateReader>().List(default)).Single();
        var file = Path.Combine(plant.Settings.FilesFolder, line.FileHash![..2], line.FileHash);
        await File.AppendAllTextAsync(file, "x");
        Assert.StartsWith($"certificate {line.Number}, issue 1: File {line.FileHash[..12]}… was changed on disk", Assert.Single((await plant.Verify()).Faults), StringComparison.Ordinal);
        File.Delete(file);
        Assert.Equal($"certificate {line.Number}, issue 1: file {line.FileHash[..12]}… is missing", Assert.Single((await plant.Verify()).Faults));
    }

    [Theory, OnBoth]
    public async Task As_a_long_work_it_keeps_what_it_found(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("H-4");
        await plant.Execute("UPDATE \"Readings\" SET \"Typed\" = '0' WHERE \"Id\" = (SELECT max(\"Id\") FROM \"Readings\")");
        var asked = await plant.Get<LongWorkBook>().Ask(TestPlant.Technician, HistoryReader.Check, default);
        Assert.Equal(1, await plant.Get<LongWorker>().Drain(default));
        var done = (await plant.Get<LongWorkBook>().List(HistoryReader.Check, 5, default)).Single();
        Assert.Equal((asked.Work, LongWorkState.Done, "other rows"), (done.Work, done.State, done.Progress.What));
        var kept = CanonicalJson.Read<HistoryCheck>(done.Outcome!);
        Assert.Equal(CanonicalJson.Of(await plant.Verify()), CanonicalJson.Of(kept));
        Assert.StartsWith("reading ", Assert.Single(kept.Faults), StringComparison.Ordinal);
    }
}
