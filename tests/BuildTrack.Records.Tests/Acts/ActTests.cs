using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.History;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Acts;

/// <summary>Every act: one transaction, one row, the same answer for the same key.</summary>
public sealed class ActTests
{
    /// <summary>What cannot follow the state that AllActs prepares: the set-up has approved the only checklists, and nothing is blocked.</summary>
    private static readonly string[] RefusedHere = [ActKind.ApproveChecklists, ActKind.IssueCertificate];

    [Theory, OnBoth]
    public async Task Each_act_leaves_one_row_that_names_who_when_and_what_and_the_chain_holds(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        foreach (var (kind, act) in await AllActs.On(plant))
        {
            // Releasing and returning need the sheet as it was: both on a plant of their own below.
            if (RefusedHere.Contains(kind) || kind is ActKind.Release or ActKind.Return)
            {
                continue;
            }

            plant.Clock.Advance(TimeSpan.FromMinutes(1));
            var before = await plant.Count("Acts");
            await act(AllActs.Who(kind), null);
            Assert.Equal(before + 1, await plant.Count("Acts"));
            var line = (await plant.Get<HistoryReader>().Page(long.MaxValue, 1, null, default)).Single();
            Assert.Equal((before + 1, kind, AllActs.Who(kind).Person, plant.Clock.Now), (line.Sequence, line.Kind, line.Person, line.At.Utc));
            Assert.Equal(before + 1, Convert.ToInt64(await plant.Scalar("SELECT \"Sequence\" FROM \"Head\""), CultureInfo.InvariantCulture));
        }

        await plant.Sound();
    }

    /// <summary>A record whole, as a digest of it: whatever an act changes of a machine shows here.</summary>
    private sealed record Whole(string Serial, string Hash);

    private static Whole WholeOf(MachineRecord machine, PlantTime time) => new(machine.Serial, CanonicalJson.Hash(CanonicalJson.Of(machine with { Version = 0 })));

    /// <summary>What lists keep of a machine is as good as its record after every act: no act changes a machine without raising its version.</summary>
    [Fact]
    public async Task What_lists_keep_of_a_machine_follows_every_act()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        var acts = await AllActs.On(plant);
        var changed = 0;
        foreach (var (kind, act) in acts.Where(a => !RefusedHere.Contains(a.Key)))
        {
            var before = await plant.Get<MachineDigests>().Of(WholeOf, default);
            if (await Record.ExceptionAsync(() => act(AllActs.Who(kind), null)) is not null)
            {
                // An earlier act of this loop took its ground away.
                continue;
            }

            var kept = await plant.Get<MachineDigests>().Of(WholeOf, default);
            var fresh = (await plant.Get<MachineReader>().LoadAll(default)).Select(m => WholeOf(m, null!));
            Assert.True(kept.SequenceEqual(fresh), $"after {kind} a list shows {string.Join(", ", kept.Except(fresh).Select(w => w.Serial))} as it was");
            changed += kept.SequenceEqual(before) ? 0 : 1;
        }

        Assert.True(changed > 25, $"only {changed} of {acts.Count} acts changed a machine");
    }

    [Theory, OnBoth(ActKind.Release, ActKind.Return)]
    public async Task A_decision_at_a_hold_point_leaves_one_row(Database on, string kind)
    {
        await using var plant = await TestPlant.Make(on);
        var act = (await AllActs.On(plant))[kind];
        var before = await plant.Count("Acts");
        await act(TestPlant.Inspector, null);
        Assert.Equal(before + 1, await plant.Count("Acts"));
        Assert.Equal(kind, (await plant.Get<HistoryReader>().Page(long.MaxValue, 1, null, default)).Single().Kind);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task Each_act_sent_again_with_its_key_gives_the_same_answer_and_changes_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        foreach (var (kind, act) in await AllActs.On(plant))
        {
            // A secret is given once, so its act has no key; nor has the one that is asked with a password.
            if (RefusedHere.Contains(kind) || kind is ActKind.IssueToken or ActKind.EnrolTablet or ActKind.IssueBadge or ActKind.SetPin or ActKind.Release or ActKind.Return)
            {
                continue;
            }

            var first = await act(AllActs.Who(kind), $"key of {kind}");
            var after = await plant.Dump();
            var second = await act(AllActs.Who(kind), $"key of {kind}");
            Assert.Equal(Domain.Canonical.CanonicalJson.Of(first), Domain.Canonical.CanonicalJson.Of(second));
            Assert.Equal(after, await plant.Dump());
        }
    }

    [Theory, OnBoth(ActKind.Release, ActKind.Return)]
    public async Task A_decision_sent_again_with_its_key_gives_the_same_answer_and_changes_nothing(Database on, string kind)
    {
        await using var plant = await TestPlant.Make(on);
        var act = (await AllActs.On(plant))[kind];
        var first = await act(TestPlant.Inspector, "a key");
        var after = await plant.Dump();
        Assert.Equal(first, await act(TestPlant.Inspector, "a key"));
        Assert.Equal(after, await plant.Dump());
    }

    [Theory, OnBoth]
    public async Task Twenty_times_the_same_request_at_once_from_two_servers_is_one_act(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("TWENTY");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("TWENTY"));
        var before = await plant.Count("Acts");
        var request = TestPlant.ToRecord("TWENTY", begun.Run, TestPlant.Heights(TestPlant.Triangle));
        var servers = new[] { plant.Services, plant.Server() };
        var answers = await Task.WhenAll(Enumerable.Range(0, 20).Select(i => Task.Run(() =>
            ((Surveys.SurveyActs)servers[i % 2].GetService(typeof(Surveys.SurveyActs))!).Record(TestPlant.Technician, request, "one key", default))));

        Assert.Single(answers.Select(Domain.Canonical.CanonicalJson.Of).Distinct());
        Assert.Equal(before + 1, await plant.Count("Acts"));
        Assert.Equal(9, await plant.Count("Readings"));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_key_that_comes_with_another_request_or_from_another_person_is_refused(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("KEY-1", key: "k");
        await plant.LeavesNothing<KeyReusedException>(() => plant.Order("KEY-2", key: "k"));
        await plant.LeavesNothing<KeyReusedException>(() =>
            plant.Get<MachineActs>().Order(TestPlant.Administrator, new OrderMachineRequest("KEY-1", "TST-3T", "Corvane Rail Parts", []), "k", default));
        await plant.LeavesNothing<KeyReusedException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("KEY-1"), "k"));
    }

    [Theory, OnBoth]
    public async Task Keys_that_differ_in_case_or_accents_are_different_keys(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("CASE-1", key: "key-e");
        await plant.Order("CASE-2", key: "KEY-E");
        await plant.Order("CASE-3", key: "key-é");
        Assert.Equal(3, await plant.Count("Machines"));
    }

    [Theory, OnBoth]
    public async Task A_refused_act_leaves_sequence_ids_and_rows_as_they_were_and_the_next_act_follows_without_gap(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("REF-1");
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("REF-1"));
        var bad = await plant.LeavesNothing<BadInputException>(() => plant.Record(
            TestPlant.Technician, TestPlant.ToRecord("REF-1", begun.Run, ("P1", "z", "4"), ("P2", "z", "four"), ("P77", "z", "1"), ("P3", "w", "1"))));
        Assert.Equal(3, bad.Faults.Count);
        await plant.LeavesNothing<RefusedException>(() => plant.Finish(TestPlant.Technician, "REF-1", begun.Run));
        await plant.LeavesNothing<NotFoundException>(() => plant.Finish(TestPlant.Technician, "REF-1", 999_999));
        await plant.LeavesNothing<NotFoundException>(() => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("REF-2")));
        await plant.LeavesNothing<RefusedException>(() => plant.Order("REF-1"));
        await plant.LeavesNothing<ChangedMeanwhileException>(() => plant.Get<MachineActs>().ChangeOrder(TestPlant.Administrator, new ChangeOrderRequest("REF-1", [], 1), null, default));
        var before = await plant.Count("Acts");
        var readings = await plant.Record(TestPlant.Technician, TestPlant.ToRecord("REF-1", begun.Run, ("P1", "z", "4")));
        Assert.Equal(before + 1, readings.Sequence);
        Assert.Equal(begun.Run + 1, readings.Ids.Single());
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task The_last_administrator_stays(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Get<PeopleActs>().DisablePerson(TestPlant.Administrator, new DisablePersonRequest(TestPlant.OtherAdministrator.Person, "left"), null, default);
        var disabled = await plant.LeavesNothing<RefusedException>(() =>
            plant.Get<PeopleActs>().DisablePerson(TestPlant.Administrator, new DisablePersonRequest(TestPlant.Administrator.Person, "left"), null, default));
        var demoted = await plant.LeavesNothing<RefusedException>(() =>
            plant.Get<PeopleActs>().ChangeRoles(TestPlant.Administrator, new ChangeRolesRequest(TestPlant.Administrator.Person, [Roles.Planner]), null, default));
        Assert.Equal(("R-PERSON-02", "R-PERSON-02"), (disabled.Rule.Id, demoted.Rule.Id));
    }

    [Theory, OnBoth]
    public async Task A_list_is_in_the_same_ordinal_order_on_both_databases(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        string[] serials = ["b-1", "B-1", "a-2", "A-10", "a-10", "Z9"];
        foreach (var serial in serials)
        {
            await plant.Order(serial);
        }

        Assert.Equal(serials.Order(StringComparer.Ordinal), (await plant.Get<MachineReader>().List(default)).Select(m => m.Serial));
    }

    [Fact]
    public async Task The_same_acts_under_the_same_clock_leave_the_same_rows_and_the_same_chain_on_both_databases()
    {
        await using var sqlite = await TestPlant.Make(Database.Sqlite);
        await using var postgres = await TestPlant.Make(Database.Postgres);
        foreach (var plant in new[] { sqlite, postgres })
        {
            plant.Clock.Now = TestPlant.Beginning.AddDays(1).AddTicks(1_234_567);
            foreach (var (kind, act) in await AllActs.On(plant))
            {
                plant.Clock.Advance(TimeSpan.FromTicks(987_654_321));
                if (!RefusedHere.Contains(kind) && kind is not (ActKind.Release or ActKind.Return or ActKind.IssueToken))
                {
                    await act(AllActs.Who(kind), $"key {kind}");
                }
            }

            await plant.Get<OutboxWorker>().Drain(default);
        }

        Assert.Equal(await sqlite.Dump("PasswordHash", "SecretHash", "PinHash"), await postgres.Dump("PasswordHash", "SecretHash", "PinHash"));
        Assert.Equal(await sqlite.Scalar("SELECT \"Hash\" FROM \"Head\""), await postgres.Scalar("SELECT \"Hash\" FROM \"Head\""));
    }

    [Theory, OnBoth]
    public async Task Moments_are_cut_to_microseconds_before_they_are_hashed_and_stored(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        plant.Clock.Now = new DateTimeOffset(2026, 7, 1, 12, 0, 0, TimeSpan.Zero).AddTicks(1_234_569);
        await plant.Order("CUT-1");
        Assert.Equal("2026-07-01T12:00:00.123456Z", (await plant.Machine("CUT-1")).Ordered.ToString());
        Assert.Equal("2026-07-01T12:00:00.123456Z", (await plant.Get<HistoryReader>().Page(long.MaxValue, 1, null, default)).Single().At.ToString());
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_clock_set_back_changes_nothing_about_what_came_first(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("BACK-1");
        plant.Clock.Advance(TimeSpan.FromHours(-2));
        await plant.ChangeBed("BACK-1");
        var machine = await plant.Machine("BACK-1");
        Assert.Equal(Standing.ToBeRepeated, machine.StandingOfHold(machine.Revision.Holds.Single(h => h.Id == TestPlant.H1)).Characteristics.Single().Standing);
        Assert.Equal(ReleaseRules.NotAccepted, (await Assert.ThrowsAsync<RefusedException>(() => plant.Release(TestPlant.Inspector, "BACK-1"))).Rule.Id);
        var (again, _) = await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("BACK-1"), TestPlant.Triangle);
        Assert.Equal(2, again.MeasurementNo);
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "BACK-1")).Certificate);
    }

    [Theory, OnBoth]
    public async Task After_a_return_work_done_under_a_clock_set_back_counts_as_work(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("BACK-2");
        await plant.Get<ReleaseActs>().Return(TestPlant.Inspector, new ReturnRequest("BACK-2", TestPlant.H1, "check pad 4", (await plant.Machine("BACK-2")).SheetHash(TestPlant.H1)), null, default);
        plant.Clock.Advance(TimeSpan.FromHours(-2));
        await plant.Pass(TestPlant.Technician, TestPlant.ToBegin("BACK-2"), TestPlant.Triangle);
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "BACK-2")).Certificate);
    }
}
