using BuildTrack.Domain.InspectionPlans;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.People;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Surveys;
using BuildTrack.Records.Tests.Support;
using BuildTrack.Records.Witnessing;

namespace BuildTrack.Records.Tests.Witnessing;

/// <summary>The customer's part at hold points by contract: agreed, frozen when the order is reviewed, revised, and kept to, in both databases.</summary>
public sealed class CustomersPointActsTests
{
    private const string Serial = "P-1";
    private static readonly CustomersPoint Holds = new("J2", CustomersPart.Holds, 3);

    private static async Task<ActReceipt> Set(TestPlant plant, CustomersPoint[] points, Caller? who = null, Approval? approval = null, string agreedWith = "Ada Buyer, annex 4", string? key = null, long? version = null) =>
        await plant.Get<CustomersPointActs>().Set(
            who ?? TestPlant.Administrator, new SetCustomersPointsRequest(Serial, [.. points], agreedWith, version ?? (await plant.Machine(Serial)).Version, approval), key, default);

    private static Approval By(Caller second, string? reason = "annex 4, edition B") => new(second.Person, TestPlant.Password, reason);

    private static async Task<string> Refused(TestPlant plant, Func<Task> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule.Id;

    private static async Task<string> Where(TestPlant plant, params CustomersPoint[] points) => (await plant.LeavesNothing<BadInputException>(() => Set(plant, points))).Faults[0].Where;

    private static async Task Release(TestPlant plant, string hold) => await plant.Get<ReleaseActs>().Release(
        TestPlant.Inspector, new ReleaseRequest(Serial, hold, TestPlant.Password, (await plant.Machine(Serial)).SheetHash(hold)), null, default);

    private static Task<ActReceipt> Record(TestPlant plant, WitnessAct act, string? letter = null) =>
        plant.Get<WitnessActs>().Record(TestPlant.Inspector, new WitnessRequest(Serial, "J2", act, null, null, null, null, null, letter), null, default);

    [Theory, OnBoth]
    public async Task The_contract_gives_the_customer_a_part_that_the_plan_does_not_and_two_people_change_it_after_the_review(Database on)
    {
        await using var plant = await TestPlant.MakeWithAnsweredLists(on, Serial);
        Assert.Equal(CustomersPointRules.UnknownPoint, await Refused(plant, () => Set(plant, [Holds with { Hold = "S1" }, Holds with { Hold = "H9" }])));
        Assert.Equal(CustomersPointRules.SamePoints, await Refused(plant, () => Set(plant, [])));
        Assert.Equal(CustomersPointRules.SamePoints, await Refused(plant, () => Set(plant, [new("J1", CustomersPart.Nothing)])));
        await plant.LeavesNothing<NotAllowedException>(() => Set(plant, [Holds], TestPlant.Planner));
        await plant.LeavesNothing<ChangedMeanwhileException>(() => Set(plant, [Holds], version: 1));
        Assert.Equal("agreed with", (await plant.LeavesNothing<BadInputException>(() => Set(plant, [Holds], agreedWith: " "))).Faults.Single().Where);
        Assert.Equal("J2, notice", await Where(plant, Holds with { NoticeDays = 0 }));
        Assert.Equal("J2, notice", await Where(plant, Holds with { NoticeDays = 61 }));
        Assert.Equal("J1, notice", await Where(plant, new CustomersPoint("J1", CustomersPart.Reviews, 3)));
        Assert.Equal("hold points", await Where(plant, Holds, Holds with { Part = CustomersPart.Present }));
        Assert.Equal("J2, customer's part", await Where(plant, Holds with { Part = (CustomersPart)9 }));

        var plain = (await plant.Machine(Serial)).SheetHash("J1");
        var version = (await plant.Machine(Serial)).Version;
        var receipt = await Set(plant, [Holds with { Part = CustomersPart.Present }], key: "once", version: version);
        Assert.Equal(receipt, await Set(plant, [Holds with { Part = CustomersPart.Present }], key: "once", version: version));
        Assert.NotEqual(plain, (await plant.Machine(Serial)).SheetHash("J1"));
        await Release(plant, "J1");

        Assert.Equal(CustomersPointRules.Frozen, await Refused(plant, () => Set(plant, [Holds])));
        Assert.Equal(CustomersPointRules.SamePerson, await Refused(plant, () => Set(plant, [Holds], approval: By(TestPlant.Administrator))));
        Assert.Equal(CustomersPointRules.ApproverMayNot, await Refused(plant, () => Set(plant, [Holds], approval: By(TestPlant.Inspector))));
        Assert.Equal("reason", (await plant.LeavesNothing<BadInputException>(() => Set(plant, [Holds], approval: By(TestPlant.OtherAdministrator, " ")))).Faults.Single().Where);
        Assert.Equal(CustomersPointRules.PointReleased, await Refused(plant, () => Set(plant, [Holds, new("J1", CustomersPart.Reviews)], approval: By(TestPlant.OtherAdministrator))));
        await Set(plant, [Holds], approval: By(TestPlant.OtherAdministrator));

        var machine = await plant.Machine(Serial);
        Assert.Equal([1, 2], machine.CustomersPointsRevisions.Select(r => r.Revision));
        Assert.Equal((TestPlant.OtherAdministrator.Person, "annex 4, edition B"), (machine.CustomersPoints!.ApprovedBy, machine.CustomersPoints.Reason));
        Assert.Null(machine.Plan.Holds.Single(h => h.Id == "J2").Witness);
        Assert.Equal(machine.Plan.Hash, machine.Revision.Hash);
        Assert.Equal((PointType.Hold, "signed statement"), InspectionPlan.Of(machine).Where(l => l.Number == "J2-W").Select(l => (l.Customer!.Value, l.Record)).Single());
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task What_the_customer_holds_waits_also_where_nobody_came_and_passes_by_a_letter(Database on)
    {
        await using var plant = await TestPlant.MakeWithAnsweredLists(on, Serial);
        await Set(plant, [Holds]);
        await Release(plant, "J1");
        Assert.Equal(WitnessRules.WitnessOpen, await Refused(plant, () => Release(plant, "J2")));

        // Three working days after Monday 2 March is Thursday 5 March.
        await plant.Get<WitnessActs>().Invite(TestPlant.Planner, new InviteRequest(Serial, "J2", "Ada Buyer", "Buyers", "2026-03-05", null), null, default);
        plant.Clock.Advance(TimeSpan.FromDays(4));
        await Record(plant, WitnessAct.DidNotCome);
        var waits = await plant.LeavesNothing<RefusedException>(() => Release(plant, "J2"));
        Assert.Equal(WitnessRules.CustomersHold, waits.Rule.Id);
        Assert.Contains("Ada Buyer of Buyers did not come", waits.Rule.Sentence, StringComparison.Ordinal);

        await Record(plant, WitnessAct.Waived, "letter 12");
        await Release(plant, "J2");
        await plant.Sound();
    }
}
