using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Releases;

/// <summary>Several hold points of one machine released on one sheet, with one password.</summary>
public sealed class ReleaseSheetTests
{
    [Theory, OnBoth]
    public async Task All_points_are_released_in_the_order_of_the_route_and_the_last_takes_the_number(Database on)
    {
        await using var plant = await Answered(on);
        var receipt = await Release(plant, TestPlant.Inspector, ["J2", "J1"]);
        Assert.Equal(["J1", "J2"], receipt.Points.Select(p => p.Hold));
        Assert.Equal([null, "TST-2026-0001"], receipt.Points.Select(p => p.Certificate));
        Assert.All(receipt.Points, p => Assert.Equal(receipt.Sequence, p.Sequence));
        var machine = await plant.Machine("L-1");
        Assert.Equal([("J1", machine.EvaluationOf("90-01")!.Hash), ("J2", machine.EvaluationOf("90-02")!.Hash)], machine.Decisions.Select(d => (d.Hold, d.Evaluations.Single())));
        Assert.Equal(1L, await plant.Count("Outbox"));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task One_point_that_does_not_pass_leaves_all_of_them(Database on)
    {
        await using var plant = await Answered(on, second: "no");
        var refused = await plant.LeavesNothing<RefusedException>(() => Release(plant, TestPlant.Inspector, ["J1", "J2"]));
        Assert.Equal(ReleaseRules.NotAccepted, refused.Rule.Id);
        Assert.StartsWith("J2 needs every result accepted", refused.Rule.Sentence, StringComparison.Ordinal);
        Assert.Equal(["J1"], ReleaseRules.Together(await plant.Machine("L-1"), TestPlant.Inspector.Person).Select(p => p.Hold.Hold.Id));
    }

    [Fact]
    public async Task A_later_point_alone_waits_for_the_earlier_one()
    {
        await using var plant = await Answered(Database.Sqlite);
        Assert.Equal(ReleaseRules.EarlierPoint, (await plant.LeavesNothing<RefusedException>(() => Release(plant, TestPlant.Inspector, ["J2"]))).Rule.Id);
        Assert.Equal([null, null], ReleaseRules.Together(await plant.Machine("L-1"), TestPlant.Inspector.Person).Select(p => p.WhyNot));
        Assert.Equal([ReleaseRules.OwnMeasurement, ReleaseRules.EarlierPoint], ReleaseRules.Together(await plant.Machine("L-1"), TestPlant.Technician.Person).Select(p => p.WhyNot!.Id));
    }

    [Fact]
    public async Task A_point_that_changed_since_it_was_seen_leaves_all_of_them()
    {
        await using var plant = await Answered(Database.Sqlite);
        var machine = await plant.Machine("L-1");
        ImmutableArray<SeenPoint> seen = [new("J1", machine.SheetHash("J1")), new("J2", machine.SheetHash("J2"))];
        await Answer(plant, "second-list", "yes");
        var changed = await plant.LeavesNothing<ChangedMeanwhileException>(() => Sheet(plant, TestPlant.Inspector, seen));
        Assert.Contains("J2", changed.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_same_request_twice_releases_once()
    {
        await using var plant = await Answered(Database.Sqlite);
        var first = await Release(plant, TestPlant.Inspector, ["J1", "J2"], key: "tap");
        var machine = await plant.Machine("L-1");
        var again = await Sheet(plant, TestPlant.Inspector, [.. first.Points.Select(p => new SeenPoint(p.Hold, machine.Decisions.Single(d => d.Hold == p.Hold).Sheet)).OrderBy(p => p.Hold, StringComparer.Ordinal)], "tap");
        Assert.Equal(first.Sequence, again.Sequence);
        Assert.Equal(2, (await plant.Machine("L-1")).Decisions.Length);
    }

    [Fact]
    public async Task Bad_points_a_wrong_password_and_a_wrong_role_are_refused()
    {
        await using var plant = await Answered(Database.Sqlite);
        var none = await plant.LeavesNothing<BadInputException>(() => Sheet(plant, TestPlant.Inspector, []));
        Assert.Equal(("points", "none"), (none.Faults.Single().Where, none.Faults.Single().Found));
        var twice = await plant.LeavesNothing<BadInputException>(() => Release(plant, TestPlant.Inspector, ["J1", "J1"]));
        Assert.Equal("J1 2 times", twice.Faults.Single().Found);
        var gaps = await plant.LeavesNothing<BadInputException>(() => Sheet(plant, TestPlant.Inspector, [null!, new("", "x"), new("J1", "")]));
        Assert.Equal(["points[0]", "points[1]", "points[2]"], gaps.Faults.Select(f => f.Where));
        await plant.LeavesNothing<NotFoundException>(() => Sheet(plant, TestPlant.Inspector, [new("J9", "x")]));
        Assert.Equal(ReleaseRules.WrongPassword, (await plant.LeavesNothing<RefusedException>(() => Release(plant, TestPlant.Inspector, ["J1"], "wrong"))).Rule.Id);
        await plant.LeavesNothing<NotAllowedException>(() => Release(plant, TestPlant.Planner, ["J1"]));
    }

    private static async Task<TestPlant> Answered(Database on, string second = "yes")
    {
        var plant = await TestPlant.Make(on);
        await plant.Order("L-1", "SHAPES");
        await Answer(plant, "first-list", "yes");
        await Answer(plant, "second-list", second);
        return plant;
    }

    private static async Task Answer(TestPlant plant, string survey, string answer)
    {
        var begun = await plant.Begin(TestPlant.Technician, new BeginRunRequest("L-1", survey, null, RunKind.Pass, null, null, null, [], [], null, []));
        await plant.Record(TestPlant.Technician, TestPlant.ToRecord("L-1", begun.Run, [("whole", "q1", answer)]));
        await plant.Finish(TestPlant.Technician, "L-1", begun.Run);
    }

    private static async Task<ReleaseSheetReceipt> Release(TestPlant plant, Caller who, string[] holds, string password = TestPlant.Password, string? key = null)
    {
        var machine = await plant.Machine("L-1");
        return await Sheet(plant, who, [.. holds.Select(h => new SeenPoint(h, machine.SheetHash(h)))], key, password);
    }

    private static Task<ReleaseSheetReceipt> Sheet(TestPlant plant, Caller who, ImmutableArray<SeenPoint> points, string? key = null, string password = TestPlant.Password) =>
        plant.Get<ReleaseActs>().ReleaseSheet(who, new ReleaseSheetRequest("L-1", points, password), key, default);
}
