using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.PunchList;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Tests.Support;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Witnessing;

namespace BuildTrack.Records.Tests.Witnessing;

/// <summary>The customer's witness, in both databases; the plant stands on Monday, 2 March 2026.</summary>
public sealed class WitnessActsTests
{
    private const string Serial = "W-1";
    private static readonly byte[] Scan = [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 7];

    /// <summary>An edition in which H1 is released after a witness has signed; a machine measured and accepted in it.</summary>
    private static async Task<TestPlant> Measured(Database on)
    {
        var plant = await TestPlant.Make(on);
        var files = TestPlant.Files();
        files["route.yaml"] = files["route.yaml"].Replace("edition: T", "edition: W", StringComparison.Ordinal)
            .Replace("name: Published points}, ", "name: Published points, witness: statement, notice: 10}, ", StringComparison.Ordinal);
        Assert.Contains("notice: 10", files["route.yaml"], StringComparison.Ordinal);
        var loaded = await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, files, null, default);
        await plant.Get<ChecklistActs>().Approve(TestPlant.Administrator, loaded.Subject, null, default);
        await plant.Accepted(Serial);
        return plant;
    }

    private static Task<ActReceipt> Invite(TestPlant plant, string visit, string? letter = null, string hold = "H1") =>
        plant.Get<WitnessActs>().Invite(TestPlant.Planner, new InviteRequest(Serial, hold, "Hollis Brandt-Leigh", "Brackwater", visit, letter), null, default);

    private static Task<ActReceipt> Record(TestPlant plant, WitnessAct act, string? statement = null, string? file = null, string? remark = null, string? letter = null, string? witness = null) =>
        plant.Get<WitnessActs>().Record(TestPlant.Inspector, new WitnessRequest(Serial, "H1", act, witness, null, remark, statement, file, letter), null, default);

    private static async Task<string> Refused(TestPlant plant, Func<Task> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule.Id;

    private static async Task<string> Attached(TestPlant plant) =>
        (await plant.Get<StepFileActs>().Attach(TestPlant.Inspector, new AttachFileRequest(Serial, 100, null, "signed statement", "signed.png"), Scan, null, default)).Hash;

    private static async Task<string> Code(TestPlant plant)
    {
        var machine = await plant.Machine(Serial);
        return WitnessStatement.Code(machine, machine.Revision.Holds.Single(h => h.Id == "H1"));
    }

    [Theory, OnBoth]
    public async Task A_point_waits_for_its_witness_who_signs_and_whose_remark_stands_on_the_certificate(Database on)
    {
        await using var plant = await Measured(on);
        Assert.Equal(WitnessRules.WitnessOpen, await Refused(plant, () => plant.Release(TestPlant.Inspector, Serial)));
        Assert.Equal(WitnessRules.NotInvited, await Refused(plant, () => Record(plant, WitnessAct.Present)));

        // Ten working days after Monday 2 March are Monday 16 March.
        Assert.Equal(WitnessRules.NoticeTooShort, await Refused(plant, () => Invite(plant, "2026-03-13")));
        Assert.Equal(WitnessRules.BeforeVisit, await Refused(plant, () => Invite(plant, "2026-02-27", "letter 4")));
        Assert.Equal(WitnessRules.NoWitnessPoint, await Refused(plant, () => Invite(plant, "2026-03-16", hold: "S1")));
        await Invite(plant, "2026-03-16");
        Assert.Equal(WitnessRules.WitnessOpen, await Refused(plant, () => plant.Release(TestPlant.Inspector, Serial)));
        Assert.Equal(WitnessRules.BeforeVisit, await Refused(plant, () => Record(plant, WitnessAct.Present)));

        plant.Clock.Advance(TimeSpan.FromDays(14));
        Assert.Equal(WitnessRules.BeforeVisit, await Refused(plant, () => Record(plant, WitnessAct.DidNotCome)));
        var (code, file) = (await Code(plant), await Attached(plant));
        Assert.Equal(WitnessRules.OtherStatement, await Refused(plant, () => Record(plant, WitnessAct.Accepts, "000000000000", file)));
        Assert.Equal(WitnessRules.OtherStatement, await Refused(plant, () => Record(plant, WitnessAct.Accepts, null, file)));
        Assert.Equal(WitnessRules.NoScan, await Refused(plant, () => Record(plant, WitnessAct.Accepts, code, new string('0', 64))));
        Assert.Equal(WitnessRules.PunchListDiffers, await Refused(plant, () => Record(plant, WitnessAct.AcceptsWithPunchList, code, file)));

        await Record(plant, WitnessAct.Present);
        Assert.Equal(WitnessRules.NotAccepted, await Refused(plant, () => plant.Release(TestPlant.Inspector, Serial)));
        await plant.Get<PunchActs>().Add(TestPlant.Inspector, new AddPunchRequest(Serial, "label missing", PunchClass.C, "the painter", true, "2026-03-20"), null, default);
        Assert.Equal(WitnessRules.PunchListDiffers, await Refused(plant, () => Record(plant, WitnessAct.Accepts, code, file)));
        await Record(plant, WitnessAct.AcceptsWithPunchList, code.ToLowerInvariant(), file, "Edges better than asked; door seal rattles.");

        var released = await plant.Release(TestPlant.Inspector, Serial);
        var text = await plant.Get<CertificateReader>().RecordText(released.Certificate!, 1, default);
        var witness = Assert.Single(CanonicalJson.Read<CertificateRecord>(text!).Witnesses!.Value);
        Assert.Equal(
            ("H1", "Hollis Brandt-Leigh", "Brackwater", "accepts with punch list", "2026-03-16", 10, "Edges better than asked; door seal rattles.", code, file, TestPlant.Inspector.Person),
            (witness.Hold, witness.Witness, witness.Organisation, witness.Outcome, witness.Visit, witness.Notice, witness.Remark, witness.Statement, witness.FileHash, witness.AttestedBy));
        Assert.Equal(WitnessRules.ReleasedAlready, await Refused(plant, () => Invite(plant, "2026-04-16")));
    }

    [Theory, OnBoth]
    public async Task Who_does_not_accept_is_invited_again_who_does_not_come_stops_nothing_and_a_letter_gives_the_visit_up(Database on)
    {
        await using var plant = await Measured(on);
        await Invite(plant, "2026-03-02", "letter 4");
        var file = await Attached(plant);
        await Record(plant, WitnessAct.DoesNotAccept, await Code(plant), file, "The far corner is dented.");
        var no = await plant.LeavesNothing<RefusedException>(() => plant.Release(TestPlant.Inspector, Serial));
        Assert.Equal((WitnessRules.NotAccepted, true), (no.Rule.Id, no.Rule.Sentence.Contains("The far corner is dented.", StringComparison.Ordinal)));

        await Invite(plant, "2026-03-16");
        Assert.Equal(WitnessRules.WitnessOpen, await Refused(plant, () => plant.Release(TestPlant.Inspector, Serial)));
        plant.Clock.Advance(TimeSpan.FromDays(15));
        await Record(plant, WitnessAct.DidNotCome);
        Assert.Null(WitnessRules.WhyBlocked(await plant.Machine(Serial), (await plant.Machine(Serial)).Revision.Holds.Single(h => h.Id == "H1")));

        await Invite(plant, "2026-04-16");
        Assert.Equal(WitnessRules.NeedsLetter, await Refused(plant, () => Record(plant, WitnessAct.Waived)));
        await Record(plant, WitnessAct.Waived, letter: "letter 9");
        Assert.NotNull((await plant.Release(TestPlant.Inspector, Serial)).Certificate);
    }

    [Theory, OnBoth]
    public async Task What_was_signed_does_not_stand_for_what_was_measured_later(Database on)
    {
        await using var plant = await Measured(on);
        await Invite(plant, "2026-03-02", "letter 4");
        await Record(plant, WitnessAct.Accepts, await Code(plant), await Attached(plant));
        var run = (await plant.Machine(Serial)).Measurements.Single().Runs.Single();
        await plant.Get<SurveyActs>().Correct(TestPlant.Inspector, new CorrectRequest(Serial, run.Readings[0].Id, "-4.4", null, "typed wrongly"), null, default);

        Assert.Equal(WitnessRules.ResultsChanged, await Refused(plant, () => plant.Release(TestPlant.OtherInspector, Serial)));
    }

    [Theory, OnBoth]
    public async Task Nothing_is_recorded_of_what_is_no_day_no_name_or_no_point(Database on)
    {
        await using var plant = await Measured(on);
        var bad = await plant.LeavesNothing<BadInputException>(() => plant.Get<WitnessActs>().Invite(TestPlant.Planner, new InviteRequest(Serial, "H1", "", new string('x', 900), "16.3.2026", null), null, default));
        Assert.Equal(["witness", "organisation", "day of the visit"], bad.Faults.Select(f => f.Where));
        await plant.LeavesNothing<BadInputException>(() => Record(plant, WitnessAct.Invited));
        await plant.LeavesNothing<BadInputException>(() => Record(plant, WitnessAct.Waived, letter: "letter 9"));
        await plant.LeavesNothing<NotFoundException>(() => Invite(plant, "2026-03-16", hold: "H99"));
        await plant.LeavesNothing<NotAllowedException>(() => plant.Get<WitnessActs>().Invite(TestPlant.Technician, new InviteRequest(Serial, "H1", "a", "b", "2026-03-16", null), null, default));
    }

    [Theory, OnBoth]
    public async Task The_witness_invited_looks_on_until_a_day_or_until_it_is_ended(Database on)
    {
        await using var plant = await Measured(on);
        var acts = plant.Get<WitnessActs>();
        Task<LookOnReceipt> LetIn(string until, string hold = "H1") => acts.LetIn(TestPlant.Inspector, new LookOnRequest(Serial, hold, until), null, default);
        async Task<long?> Opens(string today)
        {
            var machine = await plant.Machine(Serial);
            return LookingOn.At(machine, machine.Revision.Holds.Single(h => h.Id == "H1"), today)?.Id;
        }

        Assert.Equal(WitnessRules.NotInvited, await Refused(plant, () => LetIn("2026-03-16")));
        await Invite(plant, "2026-03-16");
        Assert.Equal(WitnessRules.NoWitnessPoint, await Refused(plant, () => LetIn("2026-03-16", "S1")));
        Assert.Equal(LookingOn.TooLong, await Refused(plant, () => LetIn("2026-03-01")));
        Assert.Equal(LookingOn.TooLong, await Refused(plant, () => LetIn("2026-03-31")));
        Assert.Equal("last day", Assert.Single((await plant.LeavesNothing<BadInputException>(() => LetIn("in March"))).Faults).Where);
        Assert.Equal(LookingOn.NoLink, await Refused(plant, () => acts.EndLookingOn(TestPlant.Inspector, Serial, "H1", null, default)));

        var first = await LetIn("2026-03-30");
        Assert.Equal((first.Link, first.Link, null), (await Opens("2026-03-02"), await Opens("2026-03-30"), await Opens("2026-03-31")));
        var second = await LetIn("2026-03-16");
        Assert.Equal((second.Link, null), (await Opens("2026-03-16"), await Opens("2026-03-17")));
        await acts.EndLookingOn(TestPlant.Inspector, Serial, "H1", null, default);
        Assert.Null(await Opens("2026-03-02"));

        // Another person may be invited: the link of the first is not theirs.
        await LetIn("2026-03-16");
        Assert.NotNull(await Opens("2026-03-02"));
        await Invite(plant, "2026-03-20");
        Assert.Null(await Opens("2026-03-02"));

        // Looking on is no outcome: the point still waits for what came of the visit.
        Assert.Equal(WitnessRules.WitnessOpen, await Refused(plant, () => plant.Release(TestPlant.Inspector, Serial)));
        await plant.LeavesNothing<BadInputException>(() => Record(plant, WitnessAct.MayLookOn));
    }
}
