using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Tests.Support;

namespace BuildTrack.Domain.Tests.Kits;

/// <summary>The kit of a machine: what counts, what is missing, what is refused. Expected words are worked out by hand.</summary>
public sealed class KitTests
{
    private static readonly ImmutableSortedDictionary<string, int> One = ImmutableSortedDictionary<string, int>.Empty.Add("B", 1);

    private static MachineRecord Machine(bool bought, params (string Part, KitAct Act, string? Due)[] entries)
    {
        var machine = Make.Machine() with { Measurements = [], Evaluations = [] };
        return machine with
        {
            Revision = machine.Revision with
            {
                Steps = [new RouteStep(30, "Buy", "bench", [], ImmutableSortedDictionary<string, decimal>.Empty, []), .. machine.Revision.Steps],
                Kit = new KitPlan(30, 100, [
                    new KitPart("laser", "Laser source", 180, One, 28, 49, 70, "test"), new KitPart("rails", "Rails", 160, One.SetItem("B", 4), 42, 63, 84, "test"),
                    new KitPart("big", "Only in class E", 160, ImmutableSortedDictionary<string, int>.Empty.Add("E", 1), 1, 2, 3, "test"),
                ]),
            },
            RouteCard = bought ? [new RouteEntry(1, 30, RouteAct.Start, "tilda", Make.Noon, null), new RouteEntry(2, 30, RouteAct.Finish, "tilda", Make.Noon, null)] : [],
            Kit = [.. entries.Select((e, i) => new KitEntry(i + 10, e.Part, e.Act, e.Due, null, "tilda", Make.Noon))],
        };
    }

    [Fact]
    public void A_kit_is_complete_when_every_part_of_the_class_is_here()
    {
        var time = new PlantTime("UTC");
        var none = KitStanding.Of(Machine(false));
        Assert.Equal(("0 of 2 parts here, 0 %", 4), (none.Sentence, none.Lines[1].Count));
        Assert.All(none.Lines, l => Assert.Equal("not ordered", l.Sentence(time)));
        var half = KitStanding.Of(Machine(false, ("laser", KitAct.Ordered, "2026-04-01"), ("rails", KitAct.Ordered, null), ("rails", KitAct.Received, null)));
        Assert.Equal("1 of 2 parts here, 50 %", half.Sentence);
        Assert.Equal(["ordered, promised for 2026-04-01", "received 2026-03-02"], half.Lines.Select(l => l.Sentence(time)));
        Assert.Equal("Laser source", Assert.Single(half.MissingAt(180)).Part.Name);
        Assert.Single(half.MissingAt(100));
        Assert.Empty(half.MissingAt(160));
    }

    /// <summary>Where nothing is recorded, a finished purchase says that the parts came; an order that was recorded says that one did not yet.</summary>
    [Fact]
    public void A_finished_purchase_speaks_for_parts_of_which_nothing_is_recorded()
    {
        var kit = KitStanding.Of(Machine(true, ("laser", KitAct.Ordered, "2026-04-01")));
        Assert.Equal([false, true], kit.Lines.Select(l => l.Here));
        Assert.Equal("nothing recorded; the purchase is complete", kit.Lines[1].Sentence(new PlantTime("UTC")));
        Assert.Equal("no kit planned", KitStanding.Of(Make.Machine()).Sentence);
    }

    [Fact]
    public void What_is_taken_back_uncovers_the_entry_before_it()
    {
        var kit = KitStanding.Of(Machine(false, ("laser", KitAct.Ordered, "2026-04-01"), ("laser", KitAct.Received, null), ("laser", KitAct.TakenBack, null)));
        Assert.Equal("2026-04-01", kit.Lines[0].Entry!.Due);
        Assert.Null(KitStanding.Of(Machine(false, ("laser", KitAct.Ordered, null), ("laser", KitAct.TakenBack, null))).Lines[0].Entry);
    }

    [Fact]
    public void Entries_are_refused_by_name()
    {
        var fresh = KitStanding.Of(Machine(false)).Lines[0];
        var here = KitStanding.Of(Machine(false, ("laser", KitAct.Received, null))).Lines[0];
        Assert.Equal(KitRules.NothingToTakeBack, KitRules.WhyNot(fresh, KitAct.TakenBack, null, "2026-03-02")!.Id);
        Assert.Equal(KitRules.DueIsPast, KitRules.WhyNot(fresh, KitAct.Ordered, "2026-03-01", "2026-03-02")!.Id);
        Assert.Null(KitRules.WhyNot(fresh, KitAct.Ordered, "2026-03-02", "2026-03-02"));
        Assert.Null(KitRules.WhyNot(fresh, KitAct.Received, null, "2026-03-02"));
        Assert.Equal(KitRules.ReceivedAlready, KitRules.WhyNot(here, KitAct.Received, null, "2026-03-02")!.Id);
        Assert.Equal(KitRules.ReceivedAlready, KitRules.WhyNot(here, KitAct.Ordered, null, "2026-03-02")!.Id);
        Assert.Null(KitRules.WhyNot(here, KitAct.TakenBack, null, "2026-03-02"));
    }

    /// <summary>What the plan takes from the record: the purchase awaits every missing part, a part's own step only one that is ordered.</summary>
    [Fact]
    public void The_plan_awaits_the_missing_parts()
    {
        var machine = Machine(false, ("laser", KitAct.Ordered, "2026-04-01"));
        machine = machine with { Revision = machine.Revision with { Steps = [.. machine.Revision.Steps, new RouteStep(160, "Rails", "bench", [30], One.ToImmutableSortedDictionary(p => p.Key, p => 8m), []) { }, new RouteStep(180, "Optics", "bench", [30], ImmutableSortedDictionary<string, decimal>.Empty, [])] } };
        var planned = PlannedMachine.Of(machine with { Promises = [new MachinePromise(1, "2026-06-01", "contract", "tilda", Make.Noon), new MachinePromise(2, "2026-06-08", "hall is late", "tilda", Make.Noon)] });
        Assert.Equal(["Laser source", "Rails"], planned.Of(30).Awaits.Select(a => a.Name));
        Assert.Equal("Laser source", Assert.Single(planned.Of(180).Awaits).Name);
        Assert.Empty(planned.Of(160).Awaits);
        Assert.Equal((8m, 8m, 8m), (planned.Of(160).Low, planned.Of(160).Likely, planned.Of(160).High));
        Assert.Equal("2026-06-08", planned.Promised);
    }
}
