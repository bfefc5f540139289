using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.AsBuilt;

/// <summary>Components fitted and swapped, in both databases.</summary>
public sealed class ComponentActsTests
{
    private static ScannedComponent Rail(int no, string serial) => new(FormattableString.Invariant($"rail-r1/{no}"), serial, null, "H-7", null, null);

    private static Task<ActReceipt> Fit(TestPlant plant, string serial, ScannedComponent component, string? key = null) =>
        plant.Get<ComponentActs>().Fit(TestPlant.Technician, new FitComponentRequest(serial, component), key, default);

    private static Task<ActReceipt> Swap(TestPlant plant, string serial, string old, ScannedComponent component, string reason = "worn") =>
        plant.Get<ComponentActs>().Swap(TestPlant.Technician, new SwapComponentRequest(serial, old, component, reason), null, default);

    private static async Task<string> Refused(TestPlant plant, Func<Task<ActReceipt>> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule.Id;

    [Theory, OnBoth]
    public async Task A_component_is_in_one_place_at_a_time_and_the_refusal_names_it(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-1");
        await plant.Order("C-2");
        var first = await Fit(plant, "C-1", Rail(1, " S-1 "), "scan-1");
        Assert.Equal(first, await Fit(plant, "C-1", Rail(1, " S-1 "), "scan-1"));
        Assert.Equal("S-1", Assert.Single((await plant.Machine("C-1")).Components).Serial);

        var twice = await plant.LeavesNothing<RefusedException>(() => Fit(plant, "C-2", Rail(2, "S-1")));
        Assert.Equal(ComponentRules.FittedElsewhere, twice.Rule.Id);
        Assert.Contains("C-1 at rail-r1/1", twice.Rule.Sentence, StringComparison.Ordinal);
        Assert.Equal(ComponentRules.PlaceFilled, await Refused(plant, () => Fit(plant, "C-1", Rail(1, "S-2"))));
        Assert.Equal("serial number", (await plant.LeavesNothing<BadInputException>(() => Fit(plant, "C-1", Rail(2, "  ")))).Faults.Single().Where);

        // Another kind has serial numbers of its own.
        await Fit(plant, "C-2", new ScannedComponent("chiller/1", "S-1", null, null, null, null));
        await plant.Sound();
    }

    [Theory, OnBoth]
    public async Task A_swap_wants_the_old_one_scanned_keeps_both_and_makes_the_results_of_the_plan_void(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Accepted("C-3");
        await Fit(plant, "C-3", Rail(1, "S-1"));
        await Fit(plant, "C-3", Rail(2, "S-2"));
        Assert.Equal(ComponentRules.OtherOld, await Refused(plant, () => Swap(plant, "C-3", "S-2", Rail(1, "S-3"))));
        Assert.Equal(ComponentRules.FittedElsewhere, await Refused(plant, () => Swap(plant, "C-3", "S-1", Rail(1, "S-2"))));
        Assert.Equal("reason", (await plant.LeavesNothing<BadInputException>(() => Swap(plant, "C-3", "S-1", Rail(1, "S-3"), ""))).Faults.Single().Where);

        await Swap(plant, "C-3", "S-1", Rail(1, "S-3"), "dent");
        var machine = await plant.Machine("C-3");
        var place = AsBuiltList.Of(machine).Find("rail-r1/1")!;
        Assert.Equal(("S-3", "dent"), (place.Fitted!.Serial, place.Fitted.Reason));
        Assert.Equal(["S-1"], place.TakenOut.Select(t => t.Old.Serial));
        Assert.Equal("Rail R1, segment 1 of 2: S-1 swapped for S-3", machine.Changes.Single().Note);
        Assert.Equal(Standing.ToBeRepeated, machine.StandingOf(machine.AgreedAt("100-02")).Standing);

        // What was taken out may go elsewhere, and both places are told.
        await plant.Order("C-4");
        await Fit(plant, "C-4", Rail(1, "S-1"));
        var where = await plant.Get<ComponentReader>().WithSerial("S-1", default);
        Assert.Equal([("C-4", false), ("C-3", true)], where.Select(w => (w.Component.Machine, w.Removed is not null)));
        Assert.Equal(
            ["component S-1 rail, taken out of C-3 at rail-r1/1", "component S-1 rail, fitted on C-4 at rail-r1/1"],
            (await plant.Get<Finder>().Find("s-1", default)).Select(t => $"{t.Kind.ToString().ToLowerInvariant()} {t.Id} {t.Says}"));
        await plant.Sound();
    }
}
