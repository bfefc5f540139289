using BuildTrack.Domain.Revisions;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.History;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Checklists;

/// <summary>An edition with another limit: what the approver sees, what the approval keeps, and what stays on machines as it is.</summary>
public sealed class RevisionComparisonTests
{
    /// <summary>The triangle's least squares of 14.667 µm with U = 2 µm keeps 20 µm, and does not prove 16 µm.</summary>
    private static async Task<(string From, string To)> Tightened(TestPlant plant, string limit = "upper: 16 µm")
    {
        var files = TestPlant.Files().ToDictionary();
        files["route.yaml"] = files["route.yaml"].Replace("edition: T", "edition: U", StringComparison.Ordinal);
        files["limits/class-b.yaml"] = files["limits/class-b.yaml"].Replace("upper: 20 µm", limit, StringComparison.Ordinal);
        var from = (await plant.Get<ChecklistReader>().Approved(default))!;
        return (from, (await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, files, null, default)).Subject);
    }

    [Theory, OnBoth]
    public async Task The_approver_sees_the_limit_the_machines_and_what_their_readings_would_give(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-1");
        await plant.Order("C-2");
        await plant.Order("C-3", "TST-10");
        var (from, to) = await Tightened(plant);
        var before = await plant.Dump();
        var found = await plant.Get<RevisionComparer>().Compare(from, to, default);

        Assert.Equal(("T", "U"), (found.From.Edition, found.To.Edition));
        Assert.Equal(new RevisionChange(RevisionPart.Limit, "class B triangle-flatness", "upper limit", "20 µm", "16 µm", LimitDirection.Tighter), Assert.Single(found.Changes));
        Assert.Equal(["C-1", "C-2"], found.Machines.Select(m => m.Serial));
        Assert.All(found.Machines, m => Assert.Equal("Corvane Rail Parts", m.Customer));
        var measured = found.Effects[0];
        Assert.Equal(14.667, measured.Value!.Value, 3);
        Assert.Equal((2.0, Verdict.Accepted, Verdict.NotProven, true), (measured.ExpandedUncertainty, measured.Verdict, measured.WouldBe, measured.Differs));
        Assert.Equal(("C-2", "not measured", null), (found.Effects[1].Serial, found.Effects[1].Standing, found.Effects[1].WouldBe));
        Assert.Equal(0, found.Elsewhere);
        Assert.Equal(before, await plant.Dump());
    }

    [Theory, OnBoth]
    public async Task A_changed_limit_is_approved_with_a_reason_and_the_history_keeps_the_machines(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-1");
        var acts = plant.Get<ChecklistActs>();
        var (from, to) = await Tightened(plant);
        var nothing = await plant.LeavesNothing<BadInputException>(() => acts.Approve(TestPlant.OtherAdministrator, new ApproveChecklistsRequest(to, from, ""), null, default));
        Assert.Equal("reason", Assert.Single(nothing.Faults).Where);
        var unstated = await plant.LeavesNothing<RefusedException>(() => acts.Approve(TestPlant.OtherAdministrator, to, null, default));
        Assert.Equal("R-CHECKLIST-03", unstated.Rule.Id);
        Assert.Contains("edition T, 1 in all", unstated.Rule.Sentence, StringComparison.Ordinal);
        await plant.LeavesNothing<ChangedMeanwhileException>(() => acts.Approve(TestPlant.OtherAdministrator, new ApproveChecklistsRequest(to, new string('0', 64), "why"), null, default));

        await acts.Approve(TestPlant.OtherAdministrator, new ApproveChecklistsRequest(to, from, "cutting at 16 µm is asked for"), null, default);
        var act = (await plant.Get<HistoryReader>().Page(long.MaxValue, 1, null, default))[0];
        Assert.Contains("\"reason\":\"cutting at 16 µm is asked for\"", act.Payload, StringComparison.Ordinal);
        Assert.Contains("\"touched\":[\"C-1\"]", act.Payload, StringComparison.Ordinal);
        Assert.Contains($"\"against\":\"{from}\"", act.Payload, StringComparison.Ordinal);

        // The machine keeps its edition and its result; the next one has the new limit.
        var kept = await plant.Machine("C-1");
        Assert.Equal((from, 20, "accepted"), (kept.Revision.Hash, kept.Agreed().Single().Requirement.Upper!.Value, kept.StandingOf(kept.Agreed().Single()).Word));
        await plant.Release(TestPlant.Inspector, "C-1");
        await plant.Order("C-9");
        Assert.Equal(16, (await plant.Machine("C-9")).Agreed().Single().Requirement.Upper!.Value);
        await plant.Sound();
    }

    [Fact]
    public async Task Without_a_changed_limit_no_reason_is_asked_for()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        await plant.Accepted("C-1");
        var (from, to) = await Tightened(plant, "upper: 0.020 mm");
        var found = await plant.Get<RevisionComparer>().Compare(from, to, default);
        Assert.Equal(("20 µm", "0.020 mm", null), (found.Changes[0].Was, found.Changes[0].Becomes, found.Changes[0].Direction));
        Assert.Empty(found.Effects);

        var same = TestPlant.Files().ToDictionary();
        same["route.yaml"] = "# Another comment.\n" + same["route.yaml"];
        var loaded = await plant.Get<ChecklistActs>().Load(TestPlant.Administrator, same, null, default);
        Assert.Empty((await plant.Get<RevisionComparer>().Compare(from, loaded.Subject, default)).Changes);
        await plant.Get<ChecklistActs>().Approve(TestPlant.OtherAdministrator, loaded.Subject, null, default);
        Assert.Equal(loaded.Subject, await plant.Get<ChecklistReader>().Approved(default));
        Assert.Equal(1, (await plant.Get<RevisionComparer>().Compare(to, loaded.Subject, default)).Elsewhere);
    }

    [Fact]
    public async Task An_edition_that_is_not_there_is_named()
    {
        await using var plant = await TestPlant.Make(Database.Sqlite);
        var from = (await plant.Get<ChecklistReader>().Approved(default))!;
        Assert.Contains("0000", (await Assert.ThrowsAsync<NotFoundException>(() => plant.Get<RevisionComparer>().Compare(from, "0000", default))).Message, StringComparison.Ordinal);
        var itself = await plant.Get<RevisionComparer>().Compare(from, from, default);
        Assert.Empty(itself.Changes);
        Assert.Empty(itself.Effects);
    }
}
