using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.PaperProtocols;
using BuildTrack.Records.Releases;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.PaperProtocols;

/// <summary>Runs from a signed protocol on paper, and their confirmation, on both databases.</summary>
public sealed class PaperActsTests
{
    private const string Serial = "P-1";

    [Theory, OnBoth]
    public async Task A_run_from_paper_is_released_once_a_second_person_confirmed_it(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var (run, file) = await Measured(plant);
        await Name(plant, run, file, key: "k-1");
        await Name(plant, run, file, key: "k-1");
        Assert.Equal(1, await plant.Count("PaperProtocols"));
        var refused = await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, Serial));
        Assert.Equal(PaperRules.NotConfirmed, refused.Rule.Id);
        Assert.Contains("its 9 readings with 'signed.pdf'", refused.Rule.Sentence, StringComparison.Ordinal);

        foreach (var own in new[] { TestPlant.Technician, TestPlant.OtherTechnician })
        {
            Assert.Equal(PaperRules.OwnReadings, (await plant.LeavesNothing<RefusedException>(() => Compare(plant, run, own))).Rule.Id);
        }

        await plant.LeavesNothing<NotAllowedException>(() => Compare(plant, run, TestPlant.Planner));
        await Compare(plant, run, TestPlant.OtherInspector);
        var standing = await Standing(plant);
        Assert.True(standing.Confirmed);
        Assert.Equal((TestPlant.OtherTechnician.Person, TestPlant.OtherInspector.Person), (standing.Paper.MeasuredBy, standing.Compared!.Person));
        await plant.Sound();
        var number = (await plant.Release(TestPlant.Inspector, Serial)).Certificate;
        Assert.NotNull(number);
        var record = CanonicalJson.Read<CertificateRecord>((await plant.Get<CertificateReader>().RecordText(number, 1, default))!);
        var paper = Assert.Single(record.Papers!.Value);
        Assert.Equal(
            (1, standing.Paper.Code, "signed.pdf", standing.Scan.Hash, TestPlant.OtherTechnician.Person, TestPlant.Technician.Person, TestPlant.OtherInspector.Person),
            (paper.Run, paper.Code, paper.Scan, paper.FileHash, paper.MeasuredBy, paper.EnteredBy, paper.ConfirmedBy));
        Assert.All([paper.MeasuredBy, paper.EnteredBy, paper.ConfirmedBy], p => Assert.Contains(p, record.People.Keys));

        // Nothing below a release is named or compared any more.
        Assert.Equal("R-RUN-01", (await plant.LeavesNothing<RefusedException>(() => Name(plant, run, file))).Rule.Id);
        Assert.Equal("R-RUN-01", (await plant.LeavesNothing<RefusedException>(() => Compare(plant, run, TestPlant.OtherInspector))).Rule.Id);
        await plant.Sound();

        // A scan that is set aside afterwards proves nothing: no further issue rests on it.
        await plant.Get<StepFileActs>().SetAside(TestPlant.Technician, new SetFileAsideRequest(Serial, file, "of another machine"), null, default);
        await plant.Get<CertificateActs>().Void(TestPlant.Inspector, new VoidRequest(number, 1, "wrong scan", TestPlant.Password), null, default);
        var blocked = await plant.LeavesNothing<RefusedException>(() => plant.Get<CertificateActs>().Issue(TestPlant.Inspector, new IssueRequest(Serial, "bed", TestPlant.Password), null, default));
        Assert.Contains("The scan 'signed.pdf' was set aside: of another machine.", blocked.Rule.Sentence, StringComparison.Ordinal);
    }

    [Theory, OnBoth]
    public async Task A_difference_is_corrected_and_compared_again(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var (run, file) = await Measured(plant);
        await Name(plant, run, file);
        await Compare(plant, run, TestPlant.OtherInspector, "P3", "the scan says -6.5");
        Assert.Contains("found P3 otherwise", (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, Serial))).Rule.Sentence, StringComparison.Ordinal);

        // Equal after all, with nothing corrected, says why.
        var bad = await plant.LeavesNothing<BadInputException>(() => Compare(plant, run, TestPlant.OtherInspector));
        Assert.Equal(("why it is equal after all", "a text: P3 was found to differ, and nothing was corrected since"), (bad.Faults.Single().Where, bad.Faults.Single().Expected));

        var before = (await Standing(plant)).Sheet;
        var reading = (await plant.Machine(Serial)).Measurements.Single().Runs.Single().Readings[2].Id;
        await plant.Get<SurveyActs>().Correct(TestPlant.OtherInspector, new CorrectRequest(Serial, reading, "-6.5", null, "typed wrongly from the paper"), null, default);
        var stale = await plant.LeavesNothing<ChangedMeanwhileException>(() => Compare(plant, run, TestPlant.Inspector, sheet: before));
        Assert.Equal((before, (await Standing(plant)).Sheet), (stale.Seen, stale.Current));

        // Who corrected has a hand in it now.
        Assert.Equal(PaperRules.OwnReadings, (await plant.LeavesNothing<RefusedException>(() => Compare(plant, run, TestPlant.OtherInspector))).Rule.Id);
        await Compare(plant, run, TestPlant.Inspector);
        Assert.True((await Standing(plant)).Confirmed);
        Assert.Equal(2, (await Standing(plant)).Paper.Comparisons.Length);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task What_is_not_the_paper_of_the_run_is_refused_and_leaves_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var (run, file) = await Measured(plant);
        var text = await Attach(plant, 100, "height;z\n1;2\n"u8.ToArray(), "notes.csv");
        var elsewhere = await Attach(plant, 90, [.. "%PDF-1.7 other"u8], "other.pdf");
        Assert.Equal(PaperRules.OtherCode, (await plant.LeavesNothing<RefusedException>(() => Name(plant, run, file, "0123456789AB"))).Rule.Id);
        Assert.Equal(PaperRules.NoScan, (await plant.LeavesNothing<RefusedException>(() => Name(plant, run, text))).Rule.Id);
        Assert.Equal(PaperRules.NoScan, (await plant.LeavesNothing<RefusedException>(() => Name(plant, run, elsewhere))).Rule.Id);
        Assert.Equal(PaperRules.OtherPerson, (await plant.LeavesNothing<RefusedException>(() => Name(plant, run, file, who: TestPlant.OtherTechnician))).Rule.Id);
        Assert.Equal(PaperRules.NotFromPaper, (await plant.LeavesNothing<RefusedException>(() => plant.Get<PaperActs>().Compare(TestPlant.Inspector, new ComparePaperRequest(Serial, run, "", null, null), null, default))).Rule.Id);
        var bad = await plant.LeavesNothing<BadInputException>(() => plant.Get<PaperActs>().Name(TestPlant.Technician, new NamePaperRequest(Serial, run, 9999, " ", "nobody"), null, default));
        Assert.Equal(["code on the paper", "scan", "measured by"], bad.Faults.Select(f => f.Where));
        await plant.LeavesNothing<NotFoundException>(() => Name(plant, 9999, file));

        // The code as it is read from the paper, in any case.
        var machine = await plant.Machine(Serial);
        await Name(plant, run, file, $" {SitePack.Code(machine, SitePack.Of(machine).Surveys).ToLowerInvariant()} ");
        bad = await plant.LeavesNothing<BadInputException>(() => Compare(plant, run, TestPlant.Inspector, "P99", null));
        Assert.Equal([("place that differs", "a place of run 1, P1 to P9"), ("what the scan says there", "a text")], bad.Faults.Select(f => (f.Where, f.Expected)));

        // A difference without its place must not end as a confirmation.
        bad = await plant.LeavesNothing<BadInputException>(() => Compare(plant, run, TestPlant.Inspector, " ", "something differs"));
        Assert.Equal("place that differs", bad.Faults.Single().Where);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task An_open_run_and_a_scan_that_was_set_aside_are_not_compared(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order(Serial);
        var run = (await plant.Begin(TestPlant.Technician, TestPlant.ToBegin(Serial))).Run;
        var file = await Attach(plant, 100, [.. "%PDF-1.7 signed"u8], "signed.pdf");
        await Name(plant, run, file);
        Assert.Equal(PaperRules.NotFinished, (await plant.LeavesNothing<RefusedException>(() => Compare(plant, run, TestPlant.Inspector))).Rule.Id);
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord(Serial, run, TestPlant.Heights(TestPlant.Triangle)));
        await plant.Finish(TestPlant.Technician, Serial, run);
        await Compare(plant, run, TestPlant.OtherInspector);
        await plant.Get<StepFileActs>().SetAside(TestPlant.Technician, new SetFileAsideRequest(Serial, file, "page 2 is missing"), null, default);
        Assert.Contains("The scan 'signed.pdf' was set aside: page 2 is missing.", (await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, Serial))).Rule.Sentence, StringComparison.Ordinal);
        Assert.Equal(PaperRules.NoScan, (await plant.LeavesNothing<RefusedException>(() => Compare(plant, run, TestPlant.OtherInspector))).Rule.Id);
        await Name(plant, run, await Attach(plant, 100, [.. "%PDF-1.7 whole"u8], "whole.pdf"));
        await Compare(plant, run, TestPlant.OtherInspector);
        Assert.NotNull((await plant.Release(TestPlant.Inspector, Serial)).Certificate);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_run_that_was_set_aside_is_neither_named_nor_compared(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var (run, file) = await Measured(plant);
        await Name(plant, run, file);
        await plant.Get<SurveyActs>().Discard(TestPlant.Inspector, new DiscardRequest(Serial, run, "door opened"), null, default);
        Assert.Equal(PaperRules.RunSetAside, (await plant.LeavesNothing<RefusedException>(() => Name(plant, run, file))).Rule.Id);
        Assert.Equal(PaperRules.RunSetAside, (await plant.LeavesNothing<RefusedException>(() => Compare(plant, run, TestPlant.OtherInspector))).Rule.Id);
    }

    [Theory, OnBoth]
    public async Task A_confirmation_that_no_act_wrote_is_named_by_the_check(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var (run, file) = await Measured(plant);
        await Name(plant, run, file);
        await Compare(plant, run, TestPlant.OtherInspector, "P3", "the scan says -6.5");
        await plant.Execute("UPDATE \"PaperComparisons\" SET \"Differs\" = NULL");
        Assert.Contains("PaperComparisons", (await plant.Verify()).Faults.Single(), StringComparison.Ordinal);
    }

    private static async Task<(long Run, long File)> Measured(TestPlant plant)
    {
        var run = (await plant.Accepted(Serial)).Run;
        return (run, await Attach(plant, 100, [.. "%PDF-1.7 signed"u8], "signed.pdf"));
    }

    private static async Task<long> Attach(TestPlant plant, int step, byte[] bytes, string name) =>
        (await plant.Get<StepFileActs>().Attach(TestPlant.Technician, new AttachFileRequest(Serial, step, null, "signed protocol", name), bytes, null, default)).File;

    private static async Task<ActReceipt> Name(TestPlant plant, long run, long file, string? code = null, Caller? who = null, string? key = null)
    {
        var machine = await plant.Machine(Serial);
        return await plant.Get<PaperActs>().Name(
            who ?? TestPlant.Technician, new NamePaperRequest(Serial, run, file, code ?? SitePack.Code(machine, SitePack.Of(machine).Surveys), TestPlant.OtherTechnician.Person), key, default);
    }

    private static async Task<ActReceipt> Compare(TestPlant plant, long run, Caller who, string? differs = null, string? remark = null, string? sheet = null) =>
        await plant.Get<PaperActs>().Compare(who, new ComparePaperRequest(Serial, run, sheet ?? (await Standing(plant)).Sheet, differs, remark), null, default);

    private static async Task<PaperStanding> Standing(TestPlant plant)
    {
        var machine = await plant.Machine(Serial);
        return PaperStanding.Of(machine, machine.Measurements.Single().Runs.Single())!;
    }
}
