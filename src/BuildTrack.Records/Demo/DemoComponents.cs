using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AsBuilt;

namespace BuildTrack.Records.Demo;

/// <summary>The components of a machine of the demo, listed when the step at which they are fitted is finished. Serial numbers are invented, and the same at every start.</summary>
internal static class DemoComponents
{
    public static async Task Fit(ComponentActs acts, Caller who, MachineRecord machine, int step, CancellationToken ct)
    {
        var list = AsBuiltList.Of(machine);
        foreach (var place in list.Missing.Where(p => p.Plan.Step == step))
        {
            // Both rails are of one kind: a number of its own within the kind.
            var no = list.Places.Where(p => p.Plan.Kind == place.Plan.Kind).TakeWhile(p => p.Id != place.Id).Count() + 1;
            var serial = FormattableString.Invariant($"{place.Plan.Kind[..3].ToUpperInvariant()}-{machine.Serial[^4..]}-{no:00}");
            await acts.Fit(who, new FitComponentRequest(machine.Serial, new ScannedComponent(
                place.Id, serial, Needs(place, ComponentPlan.Firmware, "4.2.1"), Needs(place, ComponentPlan.Certificate, FormattableString.Invariant($"H-{machine.Serial[^4..]}{no:00}")),
                place.Plan.Joined && place.No > 1 ? Joint(place.No - 1) : null, place.Plan.Joined && place.No < place.Of ? Joint(place.No) : null)), null, ct);
        }
    }

    private static string? Needs(ComponentPlace place, string what, string value) => place.Plan.Needs.Contains(what) ? value : null;

    private static string Joint(int no) => ((char)('A' + no - 1)).ToString();
}
