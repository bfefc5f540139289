using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.AsBuilt;

/// <summary>What was scanned for a component that is fitted.</summary>
public sealed record ScannedComponent(string Place, string Serial, string? Firmware, string? Certificate, string? Begins, string? Ends);

/// <summary>When a component may be listed as fitted, and when one may be swapped for another.</summary>
public static class ComponentRules
{
    public const string UnknownPlace = "R-PART-01";
    public const string FittedElsewhere = "R-PART-02";
    public const string PlaceFilled = "R-PART-03";
    public const string OtherOld = "R-PART-04";
    public const string Needed = "R-PART-05";
    public const string JointLetters = "R-PART-06";
    public const string PlaceEmpty = "R-PART-07";
    public const string ListIncomplete = "R-PART-08";

    // More names than this are counted.
    private const int MostNamed = 6;

    /// <summary>The rule that keeps a hold point waiting for the as-built list; null where it does not ask for the list, or every place carries a component.</summary>
    public static BrokenRule? WhyBlocked(MachineRecord machine, HoldPoint hold)
    {
        if (!hold.AsBuilt || AsBuiltList.Of(machine) is not { } list || !list.Missing.Any())
        {
            return null;
        }

        string[] missing = [.. list.Missing.Select(p => p.Name)];
        var more = missing.Length > MostNamed ? FormattableString.Invariant($" and {missing.Length - MostNamed} more") : "";
        return new BrokenRule(ListIncomplete, $"{hold.Id} waits for the as-built list, {list.Sentence}: {string.Join(", ", missing.Take(MostNamed))}{more} {(missing.Length == 1 ? "is" : "are")} missing.");
    }

    /// <summary>The rule that forbids listing a component at an empty place; null when none does.</summary>
    /// <param name="elsewhere">Where a component of the kind with this serial number is fitted now, on any machine; null for nowhere.</param>
    public static BrokenRule? WhyNotFit(AsBuiltList list, ScannedComponent scanned, FittedComponent? elsewhere) =>
        WhyUnknown(list, scanned.Place)
        ?? (list.Find(scanned.Place) is { Fitted: { } fitted } place
            ? new BrokenRule(PlaceFilled, $"{place.Name} carries {fitted.Serial} already. Swap it: scan what comes out and what goes in.") : null)
        ?? WhyNot(list, scanned, elsewhere);

    /// <summary>The rule that forbids a swap; null when none does.</summary>
    /// <param name="old">Serial number scanned from what comes out.</param>
    public static BrokenRule? WhyNotSwap(AsBuiltList list, string old, ScannedComponent scanned, FittedComponent? elsewhere) =>
        WhyUnknown(list, scanned.Place)
        ?? (list.Find(scanned.Place)! is { Fitted: null } empty ? new BrokenRule(PlaceEmpty, $"{empty.Name} carries nothing yet; there is nothing to swap. Fit the component instead.") : null)
        ?? (list.Find(scanned.Place)! is { Fitted: { } fitted } place && fitted.Serial != old
            ? new BrokenRule(OtherOld, $"Found {old}, expected {fitted.Serial}, which is listed for {place.Name}. Look whether this is the right place, and scan what really comes out.") : null)
        ?? WhyNot(list, scanned, elsewhere);

    private static BrokenRule? WhyUnknown(AsBuiltList list, string place) => list.Find(place) is not null ? null
        : new BrokenRule(UnknownPlace, $"This machine has no place '{(place.Length > 40 ? place[..40] + "…" : place)}'. {(list.Places.IsEmpty ? "Its inspection and test plan names no components." : $"It has {string.Join(", ", list.Places.Select(p => p.Id))}.")}");

    private static BrokenRule? WhyNot(AsBuiltList list, ScannedComponent scanned, FittedComponent? elsewhere)
    {
        var place = list.Find(scanned.Place)!;
        var missing = place.Plan.Needs.Where(n => string.IsNullOrWhiteSpace(n == ComponentPlan.Firmware ? scanned.Firmware : scanned.Certificate)).ToArray();
        return elsewhere is not null
                ? new BrokenRule(FittedElsewhere, $"{place.Plan.Kind} {scanned.Serial} is fitted on {elsewhere.Machine} at {elsewhere.Place} since {elsewhere.At.InWords}. One component is in one place: look at the plate, or swap it out there first.")
            : missing.Length > 0
                ? new BrokenRule(Needed, $"{place.Name} needs its {string.Join(" and its ", missing.Select(WordOf))} beside the serial number.")
            : WhyNotJoined(list, place, scanned);
    }

    /// <summary>Letters are compared where both neighbours have one: segments of a rail are ground together, and are only straight in their order.</summary>
    private static BrokenRule? WhyNotJoined(AsBuiltList list, ComponentPlace place, ScannedComponent scanned)
    {
        if (!place.Plan.Joined)
        {
            return null;
        }

        var before = list.Find(AsBuiltList.PlaceId(place.Plan, place.No - 1));
        var after = list.Find(AsBuiltList.PlaceId(place.Plan, place.No + 1));
        return Differ(before?.Fitted?.Ends, scanned.Begins) ? Of(before!, before!.Fitted!.Ends!, "begins", scanned.Begins!)
            : Differ(after?.Fitted?.Begins, scanned.Ends) ? Of(after!, after!.Fitted!.Begins!, "ends", scanned.Ends!)
            : null;

        static bool Differ(string? theirs, string? ours) => theirs is not null && ours is not null && theirs != ours;

        BrokenRule Of(ComponentPlace neighbour, string theirs, string way, string ours) =>
            new(JointLetters, $"{place.Name} {way} at joint {ours}, but {neighbour.Name} meets it at joint {theirs}. The letters of a joint are the same on both sides; turn the segment round or look for the matching one.");
    }

    public static string WordOf(string need) => need == ComponentPlan.Firmware ? "firmware" : "certificate or heat number";
}
