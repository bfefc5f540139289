using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.People;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Route;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Qualifications;

/// <summary>Lists for special work, in both databases; the plant stands on 2 March 2026.</summary>
public sealed class QualificationActsTests
{
    /// <summary>An edition in which step 90, hold point H1 and the heights of the triangle are painters' work.</summary>
    private static async Task Painted(TestPlant plant)
    {
        var files = TestPlant.Files();
        void Change(string path, string old, string now)
        {
            Assert.Contains(old, files[path], StringComparison.Ordinal);
            files[path] = files[path].Replace(old, now, StringComparison.Ordinal);
        }

        Change("route.yaml", "edition: T", "edition: P");
        Change("route.yaml", "name: Finish, ", "name: Finish, qualified: painter, ");
        Change("route.yaml", "name: Published points}, ", "name: Published points, qualified: painter}, ");
        Change(files.Keys.Single(k => k.StartsWith("surveys/", StringComparison.Ordinal) && files[k].Contains("triangle-heights", StringComparison.Ordinal)), "id: triangle-heights", "qualified: painter, id: triangle-heights");
        var loaded = await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, files, null, default);
        await plant.Get<ChecklistActs>().Approve(TestPlant.Administrator, loaded.Subject, null, default);
    }

    private static Task<ListReceipt> PutOn(TestPlant plant, Caller whom, string from = "2026-01-01", string to = "2026-12-31", string evidence = "certificate 7", string? key = null, string list = "painter") =>
        plant.Get<QualificationActs>().PutOn(TestPlant.Administrator, new PutOnListRequest(list, whom.Person, from, to, evidence), key, default);

    private static Task<ListReceipt> TakeOff(TestPlant plant, long entry, string reason = "left the trade") =>
        plant.Get<QualificationActs>().TakeOff(TestPlant.Administrator, new TakeOffListRequest(entry, reason), null, default);

    private static async Task<BrokenRule> Refused(TestPlant plant, Func<Task> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule;

    private static Task<ActReceipt> Work(TestPlant plant, Caller who, RouteAct act, string? reason = null) =>
        plant.Get<RouteActs>().Do(who, new RouteRequest("Q-1", 90, act, reason), null, default);

    [Theory, OnBoth]
    public async Task Work_readings_and_release_are_refused_to_who_is_not_on_the_list_and_done_by_who_is(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await Painted(plant);
        await plant.Order("Q-1");
        var unlisted = await Refused(plant, () => Work(plant, TestPlant.Technician, RouteAct.Start));
        Assert.Equal((QualificationRules.NotOnList, "The work of step 90 Finish of Q-1 is begun and finished by somebody on the list \"Painter\"; tom.tech is not on it."), (unlisted.Id, unlisted.Sentence));
        Assert.Equal(QualificationRules.NotOnList, (await Refused(plant, () => plant.Begin(TestPlant.Technician, TestPlant.ToBegin("Q-1")))).Id);

        await PutOn(plant, TestPlant.Technician, to: "2026-03-02");
        await Work(plant, TestPlant.Technician, RouteAct.Start);
        var begun = await plant.Begin(TestPlant.Technician, TestPlant.ToBegin("Q-1"));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("Q-1", begun.Run, TestPlant.Heights(TestPlant.Triangle).Take(3)));

        // Midnight in plant time passes: the certificate has run out, and work that is under way stops.
        plant.Clock.Advance(TimeSpan.FromDays(1));
        var expired = await Refused(plant, () => plant.Record(TestPlant.Technician, TestPlant.ToRecord("Q-1", begun.Run, TestPlant.Heights(TestPlant.Triangle).Skip(3))));
        Assert.Contains("tom.tech was on it from 2026-01-01 until 2026-03-02", expired.Sentence, StringComparison.Ordinal);
        Assert.Equal(QualificationRules.NotOnList, (await Refused(plant, () => Work(plant, TestPlant.Technician, RouteAct.Finish))).Id);
        await Work(plant, TestPlant.Technician, RouteAct.Pause, "certificate run out");
        await PutOn(plant, TestPlant.Technician);
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("Q-1", begun.Run, TestPlant.Heights(TestPlant.Triangle).Skip(3)));
        await plant.Finish(TestPlant.Technician, "Q-1", begun.Run);
        await Work(plant, TestPlant.Technician, RouteAct.Finish);

        Assert.Equal(QualificationRules.NotOnList, (await Refused(plant, () => plant.Release(TestPlant.Inspector, "Q-1"))).Id);
        var entry = await PutOn(plant, TestPlant.Inspector);
        await TakeOff(plant, entry.Entry, "eyes not tested");
        Assert.Contains("ina.inspect was taken off it on 2026-03-03 by ada.admin: eyes not tested", (await Refused(plant, () => plant.Release(TestPlant.Inspector, "Q-1"))).Sentence, StringComparison.Ordinal);
        await PutOn(plant, TestPlant.OtherInspector);
        Assert.NotNull((await plant.Release(TestPlant.OtherInspector, "Q-1")).Certificate);
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task An_entry_is_kept_with_both_its_ends(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var first = await PutOn(plant, TestPlant.Technician, key: "on-1");
        Assert.Equal(first, await PutOn(plant, TestPlant.Technician, key: "on-1"));
        Assert.Equal(QualificationRules.OnListAlready, (await Refused(plant, () => PutOn(plant, TestPlant.Technician, "2026-02-01"))).Id);
        await PutOn(plant, TestPlant.Technician, "2026-06-01", "2027-06-01");
        await TakeOff(plant, first.Entry, " eyes not tested ");
        Assert.Equal(QualificationRules.TakenOffAlready, (await Refused(plant, () => TakeOff(plant, first.Entry))).Id);

        var people = await plant.Get<QualificationReader>().Today(default);
        Assert.Equal("2026-03-02", people.Day);
        Assert.Equal([("2026-12-31", "eyes not tested", "2026-03-02"), ("2027-06-01", null, null)], people.Entries.Select(e => (e.To, e.TakenOff?.Reason, e.TakenOff?.Day)));
        Assert.False(people.Has("painter", TestPlant.Technician.Person));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task What_is_typed_wrongly_is_told_with_where_found_and_expected(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        async Task<string> Fault(Func<Task> act) => string.Join("; ", (await plant.LeavesNothing<BadInputException>(act)).Faults);
        Assert.Equal("list: found 'welder', expected one of painter", await Fault(() => PutOn(plant, TestPlant.Technician, list: "welder")));
        Assert.Equal("from: found '2.3.2026', expected a day, as in 2026-11-28", await Fault(() => PutOn(plant, TestPlant.Technician, "2.3.2026")));
        Assert.Equal("to: found nothing, expected a day, as in 2026-11-28", await Fault(() => PutOn(plant, TestPlant.Technician, to: "")));
        Assert.Equal("to: found 2025-12-31, expected 2026-01-01 or a later day", await Fault(() => PutOn(plant, TestPlant.Technician, to: "2025-12-31")));
        Assert.Equal("evidence: found nothing, expected a text", await Fault(() => PutOn(plant, TestPlant.Technician, evidence: " ")));
        await plant.LeavesNothing<NotFoundException>(() => PutOn(plant, TestPlant.Technician with { Person = "nobody" }));
        await plant.LeavesNothing<NotFoundException>(() => TakeOff(plant, 4711));
        await plant.Get<PeopleActs>().DisablePerson(TestPlant.Administrator, new DisablePersonRequest(TestPlant.OtherTechnician.Person, "left"), null, default);
        Assert.Equal(QualificationRules.NoAccess, (await Refused(plant, () => PutOn(plant, TestPlant.OtherTechnician))).Id);
    }

    /// <summary>The lists of an edition are filled before it is approved; a machine under an edition without them goes on as before.</summary>
    [Theory, OnBoth]
    public async Task Lists_of_the_edition_loaded_last_are_there_before_its_approval(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("Q-2");
        var files = TestPlant.Files();
        files["qualifications.yaml"] += "  - {id: diver, name: Diver, why: Dives, origin: test}\n";
        await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, files, null, default);
        await PutOn(plant, TestPlant.Technician, list: "diver");
        Assert.Equal(["painter", "diver"], (await plant.Get<QualificationReader>().Lists(default)).Select(l => l.Id));
        Assert.NotNull((await plant.Release(TestPlant.Inspector, "Q-2")).Certificate);
    }
}
