using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Route;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Tests.Checklists;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.StepFiles;

/// <summary>Photos and files of steps on both databases.</summary>
public sealed class StepFileActsTests
{
    private static readonly byte[] Png = Photo(1);

    [Theory, OnBoth]
    public async Task A_photo_is_kept_by_its_content_and_shown_as_it_was_sent(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("F-1");
        var version = (await plant.Machine("F-1")).Version;
        var receipt = await Attach(plant, "F-1", 90, Png, @"..\..\x.png");
        Assert.Equal((CanonicalJson.Hash(Png), FileContent.Png, "x.png"), (receipt.Hash, receipt.MediaType, receipt.Name));

        var machine = await plant.Machine("F-1");
        var file = machine.Files.Single();
        Assert.Equal((90, null, "dent at the far end", "x.png", (long)Png.Length, TestPlant.Technician.Person), (file.Step, file.Subject, file.Shows, file.Name, file.Size, file.Person));
        Assert.Equal(version + 1, machine.Version);
        Assert.Equal(Png, (await plant.Get<StepFileReader>().Open("F-1", receipt.Hash, default)).Bytes);
        Assert.Equal([$"{receipt.Hash[..2]}/{receipt.Hash}"], OnDisk(plant));
        await Assert.ThrowsAsync<NotFoundException>(() => plant.Get<StepFileReader>().Open("F-2", receipt.Hash, default));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task The_same_content_is_kept_once_and_the_same_key_acts_once(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("F-1");
        await plant.Order("F-2");
        var first = await Attach(plant, "F-1", 90, Png, key: "k-1");
        var state = await plant.Dump();
        Assert.Equal(first, await Attach(plant, "F-1", 90, Png, key: "k-1"));
        Assert.Equal(state, await plant.Dump());
        await plant.LeavesNothing<KeyReusedException>(() => Attach(plant, "F-1", 90, Photo(2), key: "k-1"));
        await plant.LeavesNothing<KeyReusedException>(() => Attach(plant, "F-1", 90, Png, name: "other.png", key: "k-1"));

        Assert.Equal(first.Hash, (await Attach(plant, "F-1", 100, Png)).Hash);
        Assert.Equal(first.Hash, (await Attach(plant, "F-2", 90, Png, "copy.png")).Hash);
        Assert.Equal((3L, 1L), (await plant.Count("StepFiles"), await plant.Count("Files")));
        Assert.Single(OnDisk(plant), f => f.EndsWith(first.Hash, StringComparison.Ordinal));
        Assert.Equal(1, (await plant.Verify()).Files);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task What_is_no_photo_PDF_or_text_is_refused_and_leaves_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("F-1");
        foreach (var (bytes, rule) in new (byte[], string)[]
        {
            ([], FileRules.Empty), ([0x4D, 0x5A, 0x90, 0x00], FileRules.OtherKind), ([0xB5, 0x6D], FileRules.OtherKind),
            ([.. Png, .. new byte[FileContent.LongestPhoto]], FileRules.TooLong),
        })
        {
            Assert.Equal(rule, (await plant.LeavesNothing<RefusedException>(() => Attach(plant, "F-1", 90, bytes, "nice.png"))).Rule.Id);
        }

        await plant.LeavesNothing<NotFoundException>(() => Attach(plant, "F-1", 95, Png));
        await plant.LeavesNothing<NotFoundException>(() => Attach(plant, "F-9", 90, Png));
        await plant.LeavesNothing<NotAllowedException>(() => Attach(plant, "F-1", 90, Png, who: TestPlant.Planner));
        var bad = await plant.LeavesNothing<BadInputException>(() => Attach(plant, "F-1", 90, Png, subject: "clamps", shows: " "));
        Assert.Equal([("subject", "none: step 90 asks for no photos"), ("what it shows", "a text")], bad.Faults.Select(f => (f.Where, f.Expected)));
        Assert.Empty(OnDisk(plant));
        await Attach(plant, "F-1", 90, "t;W\n0;3000\n"u8.ToArray(), "power.csv");
        await Attach(plant, "F-1", 90, "%PDF-1.7\n"u8.ToArray(), "chart.pdf", who: TestPlant.Inspector);
        Assert.Equal([FileContent.Text, FileContent.Pdf], (await plant.Machine("F-1")).Files.Select(f => f.MediaType));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_step_is_finished_with_its_photos_and_after_rework_with_new_ones(Database on)
    {
        await using var plant = await WithRequired(on);
        await plant.Order("F-1");
        await Work(plant, RouteAct.Start);
        var refused = await plant.LeavesNothing<RefusedException>(() => Work(plant, RouteAct.Finish));
        Assert.Equal((FileRules.PhotoMissing, "Step 90 of F-1 is finished with its photos; missing: Clamp pattern; Marks of the cutter."), (refused.Rule.Id, refused.Rule.Sentence));
        Assert.Equal(FileRules.NoPhoto, (await plant.LeavesNothing<RefusedException>(() => Attach(plant, "F-1", 90, "text"u8.ToArray(), subject: "clamps"))).Rule.Id);
        await Attach(plant, "F-1", 90, Photo(1), subject: "clamps", shows: "");
        await Attach(plant, "F-1", 90, Photo(2));
        Assert.EndsWith("missing: Marks of the cutter.", (await plant.LeavesNothing<RefusedException>(() => Work(plant, RouteAct.Finish))).Rule.Sentence, StringComparison.Ordinal);
        var marks = await Attach(plant, "F-1", 90, Photo(3), subject: "marks");
        Assert.Equal("Clamp pattern", (await plant.Machine("F-1")).Files[0].Shows);
        await Work(plant, RouteAct.Finish);

        // A finished step keeps what it was finished with, until the right one is there.
        Assert.Equal(FileRules.StillNeeded, (await plant.LeavesNothing<RefusedException>(() => Aside(plant, marks.File))).Rule.Id);
        var right = await Attach(plant, "F-1", 90, Photo(4), subject: "marks");
        await Aside(plant, marks.File);
        Assert.Equal(FileRules.SetAsideAlready, (await plant.LeavesNothing<RefusedException>(() => Aside(plant, marks.File))).Rule.Id);
        Assert.Equal(FileRules.StillNeeded, (await plant.LeavesNothing<RefusedException>(() => Aside(plant, right.File))).Rule.Id);
        var aside = (await plant.Machine("F-1")).Files.Single(f => f.Id == marks.File).SetAside!;
        Assert.Equal((TestPlant.Technician.Person, "wrong machine"), (aside.Person, aside.Reason));

        await plant.Get<RouteActs>().Do(TestPlant.Inspector, new RouteRequest("F-1", 90, RouteAct.Reopen, "burrs"), null, default);
        await Work(plant, RouteAct.Start);
        Assert.EndsWith("missing: Clamp pattern; Marks of the cutter.", (await plant.LeavesNothing<RefusedException>(() => Work(plant, RouteAct.Finish))).Rule.Sentence, StringComparison.Ordinal);
        await Attach(plant, "F-1", 90, Photo(1), subject: "clamps");
        await Attach(plant, "F-1", 90, Photo(5), subject: "marks");
        await Work(plant, RouteAct.Finish);
        Assert.Equal(StepState.Released, (await plant.Machine("F-1")).Route.Of(90).State);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_hold_point_is_not_released_while_a_photo_of_its_step_is_missing(Database on)
    {
        await using var plant = await WithRequired(on);
        await plant.Accepted("F-1");
        Assert.Equal(FileRules.PhotoMissing, (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, "F-1"))).Rule.Id);
        Assert.Contains("Level as set up", (await plant.Get<MachineReader>().List(default)).Single().Next, StringComparison.Ordinal);
        await Attach(plant, "F-1", 100, Png, subject: "level");
        Assert.Equal("release of H1", (await plant.Get<MachineReader>().List(default)).Single().Next);
        Assert.Equal("H1", (await plant.Release(TestPlant.Inspector, "F-1")).Hold);
    }

    [Theory, OnBoth("changed", "missing")]
    public async Task A_file_changed_or_lost_on_disk_is_not_shown_named_by_the_check_and_blocks_the_certificate(Database on, string how)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("F-1");
        var hash = (await Attach(plant, "F-1", 100, Png, "level.png")).Hash;
        var path = Path.Combine(plant.Settings.FilesFolder, hash[..2], hash);
        if (how == "changed")
        {
            await File.WriteAllBytesAsync(path, [.. Png, 0]);
        }
        else
        {
            File.Delete(path);
        }

        var error = await Assert.ThrowsAsync<FileNotSoundException>(() => plant.Get<StepFileReader>().Open("F-1", hash, default));
        Assert.StartsWith($"The photo 'level.png' at step 100, dent at the far end is not shown: {(how == "changed" ? "its content on disk was changed" : "it is missing")}.", error.Message, StringComparison.Ordinal);
        Assert.StartsWith("photo 'level.png' at step 100, dent at the far end, of F-1: ", (await plant.Verify()).Faults.Single(), StringComparison.OrdinalIgnoreCase);
        var blocked = (await plant.Release(TestPlant.Inspector, "F-1")).Blocked;
        Assert.Contains("photo 'level.png' at step 100", blocked, StringComparison.Ordinal);
        await File.WriteAllBytesAsync(path, Png);
        await plant.Sound();
        Assert.NotNull((await plant.Get<CertificateActs>().Issue(TestPlant.Inspector, new IssueRequest("F-1", "bed", TestPlant.Password), null, default)).Certificate);

        // After the certificate a photo may still come: it adds to the record and changes nothing that was certified.
        await Attach(plant, "F-1", 100, Photo(7));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_row_that_was_altered_or_taken_away_is_named_by_the_check(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("F-1");
        var receipt = await Attach(plant, "F-1", 90, Png);
        await plant.Execute("UPDATE \"StepFiles\" SET \"Shows\" = 'nothing to see'");
        Assert.Contains($"act {receipt.Sequence} attached it to F-1, step 90, with other words", (await plant.Verify()).Faults.Single(), StringComparison.Ordinal);
        await plant.Execute("DELETE FROM \"StepFiles\"");
        Assert.Equal($"file {receipt.File} of F-1: written by act {receipt.Sequence}, missing now", (await plant.Verify()).Faults.Single());
    }

    [Theory, OnBoth]
    public async Task A_file_belongs_to_a_run_a_place_or_a_nonconformance_of_its_step(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var run = (await plant.Accepted("F-1")).Run;
        await plant.Order("F-2");
        var raised = await plant.Get<NonconformanceActs>().Raise(
            TestPlant.Technician, new RaiseRequest("F-1", 100, null, null, new SeenFault("no scratch", "scratch of 40 mm", "company standard", false), Severity.Minor, null), null, default);
        FileOf[] all = [new(run, null, null), new(run, "P3", null), new(null, null, raised.Number)];
        foreach (var of in all)
        {
            await Attach(plant, "F-1", 100, Png, of: of);
        }

        await Attach(plant, "F-1", 100, Png);
        Assert.Equal([.. all, null], (await plant.Machine("F-1")).Files.Select(f => f.Of));
        await plant.Sound();

        foreach (var (serial, step, of, where) in new (string, int, FileOf, string)[]
        {
            ("F-2", 100, all[0], "run"), ("F-1", 90, all[0], "run"), ("F-1", 100, new(run, "P99", null), "place"), ("F-1", 100, new(null, "P3", null), "place"),
            ("F-2", 100, all[2], "nonconformance"), ("F-1", 90, all[2], "nonconformance"), ("F-1", 100, new(run, null, raised.Number), "run and nonconformance"),
        })
        {
            var bad = await plant.LeavesNothing<BadInputException>(() => Attach(plant, serial, step, Png, of: of));
            Assert.Equal(where, bad.Faults.Single().Where);
        }

        // The same key with another place is another request.
        await Attach(plant, "F-1", 100, Png, of: all[1], key: "k-1");
        await plant.LeavesNothing<KeyReusedException>(() => Attach(plant, "F-1", 100, Png, of: all[0], key: "k-1"));

        foreach (var column in new[] { "\"Place\" = 'P4'", "\"Place\" = 'P3 '", "\"RunId\" = NULL", "\"Nonconformance\" = 1" })
        {
            var id = (await plant.Machine("F-1")).Files[1].Id;
            await plant.Execute($"UPDATE \"StepFiles\" SET {column} WHERE \"Id\" = {id}");
            Assert.Contains("with other words or another content", (await plant.Verify()).Faults.Single(), StringComparison.Ordinal);
            await plant.Execute($"UPDATE \"StepFiles\" SET \"RunId\" = {run}, \"Place\" = 'P3', \"Nonconformance\" = NULL WHERE \"Id\" = {id}");
        }

        await plant.Sound();
    }

    private static string[] OnDisk(TestPlant plant) => !Directory.Exists(plant.Settings.FilesFolder) ? []
        : [.. Directory.EnumerateFiles(plant.Settings.FilesFolder, "*", SearchOption.AllDirectories).Select(f => Path.GetRelativePath(plant.Settings.FilesFolder, f).Replace('\\', '/'))];

    private static byte[] Photo(byte number) => [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, .. Encoding.ASCII.GetBytes("test"), number];

    private static async Task<TestPlant> WithRequired(Database on)
    {
        var plant = await TestPlant.Make(on);
        var files = new SortedDictionary<string, string>(ChecklistFiles.ForTests.ToDictionary());
        files["route.yaml"] = files["route.yaml"]
            .Replace("name: Finish,", "name: Finish, photos: [{id: clamps, text: Clamp pattern}, {id: marks, text: Marks of the cutter}],", StringComparison.Ordinal)
            .Replace("name: Verify,", "name: Verify, photos: [{id: level, text: Level as set up}],", StringComparison.Ordinal);
        var loaded = await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, files, null, default);
        await plant.Get<ChecklistActs>().Approve(TestPlant.OtherAdministrator, new ApproveChecklistsRequest(loaded.Subject, null, "photos"), null, default);
        return plant;
    }

    private static Task<AttachReceipt> Attach(
        TestPlant plant, string serial, int step, byte[] bytes, string name = "photo.png", string? subject = null, string shows = "dent at the far end", Caller? who = null, string? key = null,
        FileOf? of = null) =>
        plant.Get<StepFileActs>().Attach(who ?? TestPlant.Technician, new AttachFileRequest(serial, step, subject, shows, name, of), bytes, key, default);

    private static Task<ActReceipt> Aside(TestPlant plant, long file) =>
        plant.Get<StepFileActs>().SetAside(TestPlant.Technician, new SetFileAsideRequest("F-1", file, "wrong machine"), null, default);

    private static Task<ActReceipt> Work(TestPlant plant, RouteAct act) => plant.Get<RouteActs>().Do(TestPlant.Technician, new RouteRequest("F-1", 90, act, null), null, default);
}
