using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;

namespace BuildTrack.Domain.AsBuilt;

/// <summary>A component as it was fitted. A swap is a further one that replaces it; none is ever changed or deleted.</summary>
/// <param name="Machine">Serial number of the machine.</param>
/// <param name="Place">rail-r1/2.</param>
/// <param name="Kind">The kind within which serial numbers are told apart: rail.</param>
/// <param name="Serial">The maker's serial number, as scanned.</param>
/// <param name="Firmware">Null where none was recorded.</param>
/// <param name="Certificate">Number of its certificate, or heat number; null where none was recorded.</param>
/// <param name="Begins">Letter of the joint at which it begins; null for none.</param>
/// <param name="Ends">Letter of the joint at which it ends; null for none.</param>
/// <param name="Replaces">Id of the component that was taken out for it; null where the place was empty.</param>
/// <param name="Reason">Why it was swapped.</param>
public sealed record FittedComponent(
    long Id, string Machine, string Place, string Kind, string Serial, string? Firmware, string? Certificate, string? Begins, string? Ends, long? Replaces, string? Reason, string Person, Instant At);

/// <summary>A place of the as-built list.</summary>
/// <param name="No">Of its component, from 1.</param>
/// <param name="Fitted">What is fitted now; null while nothing is listed.</param>
/// <param name="TakenOut">What was fitted before, the latest first, each with what replaced it.</param>
public sealed record ComponentPlace(ComponentPlan Plan, int No, int Of, FittedComponent? Fitted, ImmutableArray<(FittedComponent Old, FittedComponent New)> TakenOut)
{
    /// <summary>rail-r1/2.</summary>
    public string Id => AsBuiltList.PlaceId(Plan, No);

    /// <summary>"Rail R1, segment 2 of 3"; a single one has its name alone.</summary>
    public string Name => Of == 1 ? Plan.Name : FormattableString.Invariant($"{Plan.Name} {No} of {Of}");
}

/// <summary>What a machine must carry by its inspection and test plan, and what is listed as fitted.</summary>
public sealed record AsBuiltList(ImmutableArray<ComponentPlace> Places)
{
    public int Listed => Places.Count(p => p.Fitted is not null);

    public IEnumerable<ComponentPlace> Missing => Places.Where(p => p.Fitted is null);

    /// <summary>"18 of 24 listed"; "no components planned" where the plan names none.</summary>
    public string Sentence => Places.IsEmpty ? "no components planned" : FormattableString.Invariant($"{Listed} of {Places.Length} listed");

    public ComponentPlace? Find(string place) => Places.FirstOrDefault(p => p.Id == place);

    public static string PlaceId(ComponentPlan plan, int no) => string.Create(CultureInfo.InvariantCulture, $"{plan.Id}/{no}");

    public static AsBuiltList Of(MachineRecord machine)
    {
        var replacedBy = machine.Components.Where(c => c.Replaces is not null).ToDictionary(c => c.Replaces!.Value);
        var at = machine.Components.ToLookup(c => c.Place);
        return new([.. machine.Revision.Components.SelectMany(plan => Enumerable.Range(1, plan.Places.GetValueOrDefault(machine.Model.Class)).Select(no => PlaceOf(plan, no)))]);

        ComponentPlace PlaceOf(ComponentPlan plan, int no)
        {
            var here = at[PlaceId(plan, no)].ToArray();
            return new ComponentPlace(
                plan, no, plan.Places[machine.Model.Class], here.FirstOrDefault(c => !replacedBy.ContainsKey(c.Id)),
                [.. here.Where(c => replacedBy.ContainsKey(c.Id)).OrderByDescending(c => c.Id).Select(c => (c, replacedBy[c.Id]))]);
        }
    }
}
