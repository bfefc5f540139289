using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Files;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Certificates;

/// <summary>Rendering what was promised, voiding, and evidence that changed on disk.</summary>
public sealed class CertificateTests
{
    [Theory, OnBoth]
    public async Task The_outbox_drained_again_renders_nothing_more(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-1");
        await plant.Release(TestPlant.Inspector, "C-1");
        var worker = plant.Get<OutboxWorker>();
        Assert.Equal(1, await worker.Drain(default));
        Assert.Equal(0, await worker.Drain(default));
        Assert.Single(plant.Renderer.Rendered);
        var line = (await plant.Get<CertificateReader>().List(default)).Single();
        Assert.Equal(CertificateStage.Issued, line.Stage);
        Assert.Equal(line.FileHash, CanonicalJson.Hash((await plant.Get<CertificateReader>().Pdf(line.Number, line.Issue, default))!));
        Assert.Equal(line.RecordHash, CanonicalJson.Hash(plant.Renderer.Rendered.Single()));
    }

    [Theory, OnBoth]
    public async Task Two_workers_at_once_on_two_servers_issue_one_document(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-2");
        await plant.Release(TestPlant.Inspector, "C-2");

        // Both render before either may keep its document.
        using var together = new Barrier(2);
        plant.Renderer.Before = () => together.SignalAndWait(TimeSpan.FromSeconds(20));
        var servers = new IServiceProvider[] { plant.Services, plant.Server() };
        var kept = await Task.WhenAll(servers.Select(s => Task.Run(() => ((OutboxWorker)s.GetService(typeof(OutboxWorker))!).Drain(default))));
        Assert.Equal(2, plant.Renderer.Rendered.Count);
        Assert.Equal(1, kept.Sum());
        var line = (await plant.Get<CertificateReader>().List(default)).Single();
        Assert.Equal(CertificateStage.Issued, line.Stage);
        Assert.NotNull(await plant.Get<CertificateReader>().Pdf(line.Number, line.Issue, default));
        Assert.Equal(0L, Convert.ToInt64(await plant.Scalar("SELECT count(*) FROM \"Outbox\" WHERE \"DoneUs\" IS NULL"), null));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_renderer_that_fails_is_tried_again_later_with_its_error_kept_and_the_number_stays(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-3");
        await plant.Release(TestPlant.Inspector, "C-3");
        plant.Renderer.Before = () => throw new InvalidOperationException("no font");
        Assert.Equal(0, await plant.Get<OutboxWorker>().Drain(default));
        Assert.Equal("no font", await plant.Scalar("SELECT \"LastError\" FROM \"Outbox\""));
        plant.Renderer.Before = null;
        Assert.Equal(0, await plant.Get<OutboxWorker>().Drain(default));
        plant.Clock.Advance(TimeSpan.FromSeconds(3));
        Assert.Equal(1, await plant.Get<OutboxWorker>().Drain(default));
        Assert.Equal(("TST-2026-0001", CertificateStage.Issued), ((await plant.Get<CertificateReader>().List(default)).Single().Number, (await plant.Get<CertificateReader>().List(default)).Single().Stage));
    }

    [Theory, OnBoth]
    public async Task After_twenty_failures_a_promise_is_marked_dead_and_left_alone(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-4");
        await plant.Release(TestPlant.Inspector, "C-4");
        plant.Renderer.Before = () => throw new InvalidOperationException("no font");
        for (var i = 0; i < 25; i++)
        {
            plant.Clock.Advance(TimeSpan.FromMinutes(11));
            await plant.Get<OutboxWorker>().Drain(default);
        }

        Assert.Equal(20, plant.Renderer.Rendered.Count);
        Assert.Equal(1L, Convert.ToInt64(await plant.Scalar("SELECT count(*) FROM \"Outbox\" WHERE \"Dead\""), null));
    }

    [Theory, OnBoth]
    public async Task A_void_certificate_stays_listed_with_who_and_why(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-5");
        await plant.Release(TestPlant.Inspector, "C-5");
        await plant.Get<OutboxWorker>().Drain(default);
        var acts = plant.Get<CertificateActs>();
        await plant.LeavesNothing<BadInputException>(() => acts.Void(TestPlant.Inspector, new VoidRequest("TST-2026-0001", 1, "", TestPlant.Password), null, default));
        await plant.LeavesNothing<NotFoundException>(() => acts.Void(TestPlant.Inspector, new VoidRequest("TST-2026-0001", 2, "why", TestPlant.Password), null, default));
        Assert.Equal(ReleaseRules.WrongPassword, (await plant.LeavesNothing<RefusedException>(() => acts.Void(TestPlant.Inspector, new VoidRequest("TST-2026-0001", 1, "why", "wrong password"), null, default))).Rule.Id);
        await acts.Void(TestPlant.OtherInspector, new VoidRequest("TST-2026-0001", 1, "customer's name misspelt", TestPlant.Password), null, default);

        var line = (await plant.Get<CertificateReader>().List(default)).Single();
        Assert.Equal((CertificateStage.Void, "customer's name misspelt", TestPlant.OtherInspector.Person), (line.Stage, line.VoidReason, line.VoidedBy));
        Assert.NotNull(await plant.Get<CertificateReader>().Pdf("TST-2026-0001", 1, default));
        Assert.Equal("R-CERTIFICATE-02", (await plant.LeavesNothing<RefusedException>(() => acts.Void(TestPlant.Inspector, new VoidRequest("TST-2026-0001", 1, "again", TestPlant.Password), null, default))).Rule.Id);

        // Issued anew: same number, next issue, the reason in its record.
        var anew = await acts.Issue(TestPlant.Inspector, new IssueRequest("C-5", "bed", TestPlant.Password), null, default);
        Assert.Equal(("TST-2026-0001", 2), (anew.Certificate, anew.Issue!.Value));
        Assert.Contains("void: customer's name misspelt", await plant.Get<CertificateReader>().RecordText("TST-2026-0001", 2, default), StringComparison.Ordinal);
        Assert.Equal(1, await plant.Get<OutboxWorker>().Drain(default));
        Assert.Equal([CertificateStage.Issued, CertificateStage.Void], (await plant.Get<CertificateReader>().List(default)).Select(c => c.Stage));
    }

    [Theory, OnBoth]
    public async Task A_certificate_made_void_before_it_was_rendered_is_never_rendered(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-6");
        await plant.Release(TestPlant.Inspector, "C-6");
        await plant.Get<CertificateActs>().Void(TestPlant.Inspector, new VoidRequest("TST-2026-0001", 1, "too early", TestPlant.Password), null, default);
        Assert.Equal(0, await plant.Get<OutboxWorker>().Drain(default));
        Assert.Empty(plant.Renderer.Rendered);
        Assert.Equal(CertificateStage.Void, (await plant.Get<CertificateReader>().List(default)).Single().Stage);
    }

    [Theory, OnBoth("changed", "missing")]
    public async Task Evidence_changed_or_lost_on_disk_blocks_the_certificate_until_it_is_restored(Database on, string how)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-7");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("C-7"));
        var bytes = System.Text.Encoding.UTF8.GetBytes("station,z_um\n" + string.Join('\n', TestPlant.Triangle.Select((h, i) => $"P{i + 1},{h}")) + "\n");
        var preview = await plant.Get<SurveyActs>().Preview(TestPlant.Technician, "C-7", begun.Run, "triangle.csv", bytes, default);
        Assert.Equal(9, preview.Rows.Length);
        await plant.Get<SurveyActs>().RecordFile(TestPlant.Technician, new RecordFileRequest("C-7", begun.Run, preview.FileHash, "triangle.csv"), null, default);
        await plant.Finish(TestPlant.Technician, "C-7", begun.Run);

        var path = Path.Combine(plant.Settings.FilesFolder, preview.FileHash[..2], preview.FileHash);
        if (how == "changed")
        {
            await File.WriteAllBytesAsync(path, [.. bytes[..^2], (byte)'2', (byte)'\n']);
            await Assert.ThrowsAsync<InvalidDataException>(() => plant.Get<FileStore>().Get(preview.FileHash, default));
        }
        else
        {
            File.Delete(path);
        }

        var receipt = await plant.Release(TestPlant.Inspector, "C-7");
        Assert.Null(receipt.Certificate);
        Assert.Contains($"file {preview.FileHash[..12]}", receipt.Blocked, StringComparison.OrdinalIgnoreCase);
        Assert.Equal(0L, await plant.Count("Certificates"));
        var issue = new IssueRequest("C-7", "bed", TestPlant.Password);
        Assert.Equal("R-CERTIFICATE-01", (await plant.LeavesNothing<RefusedException>(() => plant.Get<CertificateActs>().Issue(TestPlant.Inspector, issue, null, default))).Rule.Id);

        await File.WriteAllBytesAsync(path, bytes);
        Assert.Equal("TST-2026-0001", (await plant.Get<CertificateActs>().Issue(TestPlant.Inspector, issue, null, default)).Certificate);
        Assert.Equal(1, await plant.Get<OutboxWorker>().Drain(default));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task The_record_of_a_certificate_is_calculated_again_to_the_same_answer_from_its_own_text(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-8");
        await plant.Release(TestPlant.Inspector, "C-8");
        var text = (await plant.Get<CertificateReader>().RecordText("TST-2026-0001", 1, default))!;
        var record = CanonicalJson.Read<Domain.Certificates.CertificateRecord>(text);
        Assert.Equal(text, CanonicalJson.Of(record));
        foreach (var result in record.Results)
        {
            Assert.Equal(result.EvaluationHash, result.Evaluation.Hash);
            Assert.Equal(result.EvaluationHash, Domain.Evaluating.Evaluators.Evaluate(result.Evaluation.Input).Hash);
        }
    }
}
