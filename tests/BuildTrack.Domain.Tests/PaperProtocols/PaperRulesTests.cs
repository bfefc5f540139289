using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.PaperProtocols;

/// <summary>A run from a signed protocol on paper: when it may be said to be one, who compares it, and what waits for that.</summary>
public sealed class PaperRulesTests
{
    private static readonly StepFile Scan = new(70, 100, null, "signed protocol", "p.pdf", FileContent.Pdf, 3, new string('a', 64), "tom", Make.Noon);

    // A plan without a step that leaves the plant prints what is not complete: the survey of step 100.
    private static readonly MachineRecord Machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2))) with { Files = [Scan] };

    private static readonly Run Run = Machine.Measurements[0].Runs[0];

    private static readonly Survey Survey = Machine.Revision.Surveys.Single();

    private static readonly HoldPoint Hold = Machine.Revision.Holds[0];

    private static string CodeOf(MachineRecord machine) => SitePack.Code(machine, SitePack.Of(machine).Surveys);

    private static MachineRecord Named(MachineRecord machine, params PaperComparison[] comparisons) =>
        machine with { Papers = [new PaperProtocol(80, Run.Id, Scan.Id, CodeOf(Machine), "tea", "tom", Make.Noon, [.. comparisons])] };

    private static PaperComparison Comparison(MachineRecord of, string? differs = null, string? remark = null, long id = 81) =>
        new(id, PaperStanding.Of(Named(of), of.Measurements[0].Runs[0])!.Sheet, differs, remark, "ina", Make.Noon);

    private static BrokenRule? WhyNotName(MachineRecord machine, StepFile? scan = null, string? code = null, string person = "tom", Run? run = null) =>
        PaperRules.WhyNotName(machine, Survey, run ?? Run, scan ?? Scan, code ?? CodeOf(machine), person);

    [Fact]
    public void A_run_is_from_a_paper_whose_code_is_that_of_the_protocol_now()
    {
        Assert.Null(WhyNotName(Machine));
        Assert.Null(WhyNotName(Machine, Scan with { MediaType = FileContent.Jpeg }));
        var code = CodeOf(Machine);
        var other = WhyNotName(Machine, code: "0123456789AB")!;
        Assert.Equal(
            (PaperRules.OtherCode, $"The paper bears 0123456789AB; under the plan and the requirements in force the protocol of X-1 bears {code}. Either the code was misread, or limits or places changed after it was printed: such a paper proves nothing for these. Print it anew and measure on it."),
            (other.Id, other.Sentence));

        // Another edition has another code: what was printed before proves nothing under it.
        var changed = Machine with { Revision = Machine.Revision with { Hash = new string('1', 64) } };
        Assert.NotEqual(code, CodeOf(changed));
        Assert.Equal(PaperRules.OtherCode, WhyNotName(changed, code: code)!.Id);
    }

    [Fact]
    public void Only_what_the_protocol_prints_is_from_paper()
    {
        RouteStep Step(int number, int after, bool leaves) => new(number, "Step", "bench", after == 0 ? [] : [after], ImmutableSortedDictionary<string, decimal>.Empty, [], leaves);
        var factory = Machine with { Revision = Machine.Revision with { Steps = [Step(100, 0, false), Step(270, 100, true)] } };
        var rule = WhyNotName(factory)!;
        Assert.Equal((PaperRules.NotOnProtocol, "Heights of step 100 is not on the protocol of work on site of X-1, which has nothing."), (rule.Id, rule.Sentence));
        Assert.False(PaperRules.IsOnProtocol(factory, Survey));
        var site = Machine with { Revision = Machine.Revision with { Steps = [Step(90, 0, true), Step(100, 90, false)] } };
        Assert.Null(WhyNotName(site));
        Assert.True(PaperRules.IsOnProtocol(site, Survey));
    }

    [Fact]
    public void Scan_person_and_run_must_be_the_right_ones()
    {
        Assert.Equal(PaperRules.OtherPerson, WhyNotName(Machine, person: "tea")!.Id);
        Assert.Equal(PaperRules.RunSetAside, WhyNotName(Machine, run: Run with { Discarded = new Discarded("ina", Make.Noon, "door open") })!.Id);
        Assert.Equal("'p.pdf' is a file of step 90; the scan of the signed protocol is a photo or PDF of step 100.", WhyNotName(Machine, Scan with { Step = 90 })!.Sentence);
        Assert.Equal("'p.pdf' is text; the scan of the signed protocol is a photo or PDF of step 100.", WhyNotName(Machine, Scan with { MediaType = FileContent.Text })!.Sentence);
        var aside = WhyNotName(Machine, Scan with { SetAside = new FileSetAside(71, "tom", Make.Noon, "wrong machine") })!;
        Assert.Equal((PaperRules.NoScan, "The scan 'p.pdf' was set aside by tom: wrong machine."), (aside.Id, aside.Sentence));
    }

    [Fact]
    public void Who_measured_entered_or_helped_does_not_compare()
    {
        var named = Named(Machine);
        BrokenRule? Why(string person, MachineRecord? machine = null, Run? run = null) => PaperRules.WhyNotCompare(machine ?? named, Survey, run ?? Run, person);
        Assert.Null(Why("ina"));
        Assert.All(new[] { "tom", "tea" }, person => Assert.Equal(
            (PaperRules.OwnReadings, $"{person} had a hand in run 1 of Heights: it was measured by tea and entered by tom. Somebody else compares it with the scan."), (Why(person)!.Id, Why(person)!.Sentence)));
        Assert.Equal(PaperRules.OwnReadings, Why("hal", run: Run with { Helpers = ["hal"] })!.Id);
        Assert.Equal(PaperRules.NotFromPaper, Why("ina", Machine)!.Id);
        Assert.Equal((PaperRules.NotFinished, "Run 1 of Heights is open, with 4 readings; it is compared once it is finished."), (Why("ina", run: Run with { Finished = null })!.Id, Why("ina", run: Run with { Finished = null })!.Sentence));
        Assert.Equal(PaperRules.RunSetAside, Why("ina", run: Run with { Discarded = new Discarded("ina", Make.Noon, "door open") })!.Id);
        Assert.Equal(PaperRules.NoScan, Why("ina", named with { Files = [Scan with { SetAside = new FileSetAside(71, "tom", Make.Noon, "wrong machine") }] })!.Id);
    }

    [Fact]
    public void A_point_waits_until_its_run_from_paper_is_confirmed()
    {
        Assert.Null(ReleaseRules.WhyNotRelease(Machine, Hold, "ina"));
        var named = Named(Machine);
        var rule = ReleaseRules.WhyNotRelease(named, Hold, "ina")!;
        Assert.Equal(
            (PaperRules.NotConfirmed, $"Run 1 of Heights, entered by tom from paper, is not confirmed. A second person, who neither measured nor entered, compares its 4 readings with 'p.pdf', code {CodeOf(Machine)}."),
            (rule.Id, rule.Sentence));
        var obstacle = Assert.Single(ReleaseObstacles.Of(named, Hold));
        Assert.Equal((rule, ObstacleAt.Run, "2", 100), (obstacle.Rule, obstacle.At, obstacle.Thing, obstacle.Step));
        Assert.False(named.StandingOfHold(Hold).Ready);

        var confirmed = Named(Machine, Comparison(Machine));
        Assert.Null(ReleaseRules.WhyNotRelease(confirmed, Hold, "ina"));
        Assert.Empty(ReleaseObstacles.Of(confirmed, Hold));
        Assert.Equal(ReleaseRules.OwnMeasurement, ReleaseRules.WhyNotRelease(confirmed, Hold, "tea")!.Id);
        Assert.Equal(3, new[] { Machine, named, confirmed }.Select(m => m.SheetHash(Hold.Id)).Distinct().Count());
    }

    [Fact]
    public void A_difference_a_correction_and_another_scan_each_leave_it_unconfirmed()
    {
        var differs = Named(Machine, Comparison(Machine), Comparison(Machine, "C3", "scan says 12", 82));
        Assert.Contains("ina found C3 otherwise on 'p.pdf' at ", PaperRules.WhyBlocked(differs, Hold)!.Sentence, StringComparison.Ordinal);
        Assert.Contains(": scan says 12. It is corrected, or the run is set aside.", PaperRules.WhyBlocked(differs, Hold)!.Sentence, StringComparison.Ordinal);
        Assert.Null(PaperRules.WhyBlocked(Named(Machine, Comparison(Machine, "C3", "scan says 12"), Comparison(Machine, null, "read 17 for 12", 82)), Hold));

        // A confirmation speaks for what was compared, not for what was corrected later, even to the same value.
        var corrected = Run with { Readings = Run.Readings.Add(Run.Readings[0] with { Id = 300, Supersedes = Run.Readings[0].Id, Reason = "read again" }) };
        var later = Named(Machine with { Measurements = [Machine.Measurements[0] with { Runs = [corrected] }] }, Comparison(Machine));
        Assert.Null(PaperStanding.Of(later, corrected)!.Compared);
        Assert.Equal(PaperRules.NotConfirmed, PaperRules.WhyBlocked(later, Hold)!.Id);

        var aside = Named(Machine with { Files = [Scan with { SetAside = new FileSetAside(71, "tom", Make.Noon, "wrong machine") }] }, Comparison(Machine));
        Assert.Contains("The scan 'p.pdf' was set aside: wrong machine.", PaperRules.WhyBlocked(aside, Hold)!.Sentence, StringComparison.Ordinal);

        // Of two papers named for a run the later one counts, and it is compared anew.
        var second = Named(Machine, Comparison(Machine));
        second = second with { Papers = second.Papers.Add(second.Papers[0] with { Id = 90, Comparisons = [] }) };
        Assert.Equal(PaperRules.NotConfirmed, PaperRules.WhyBlocked(second, Hold)!.Id);
    }

    [Fact]
    public void A_run_that_does_not_count_does_not_stand_in_the_way()
    {
        MachineRecord With(Run run) => Named(Machine with { Measurements = [Machine.Measurements[0] with { Runs = [run] }] });
        Assert.Null(PaperRules.WhyBlocked(With(Run with { Discarded = new Discarded("ina", Make.Noon, "door open") }), Hold));
        Assert.Null(PaperRules.WhyBlocked(With(Run with { Kind = RunKind.SpotCheck }), Hold));
        Assert.Null(PaperRules.WhyBlocked(With(Run with { Finished = null }), Hold));
        Assert.NotNull(PaperRules.WhyBlocked(With(Run), Hold));
    }

    [Fact]
    public void Who_confirmed_is_told_with_the_numbers()
    {
        var confirmed = Named(Machine, Comparison(Machine));
        Assert.Equal(
            $"INA found its 4 readings equal to 'p.pdf', code {CodeOf(Machine)}, at {Make.Noon.InWords}.",
            PaperStanding.Of(confirmed, Run)!.Sentence(p => p.ToUpperInvariant(), at => at.InWords));
        Assert.Null(PaperStanding.Of(Machine, Run));
    }
}
