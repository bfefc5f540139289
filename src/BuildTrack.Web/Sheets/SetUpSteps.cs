using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;

namespace BuildTrack.Web.Sheets;

/// <summary>One thing that a new plant has to set up before the first measurement.</summary>
/// <param name="Do">What to do there, in a sentence; what was done, where it is done.</param>
public sealed record SetUpStep(string Title, string Do, string Url, bool Done);

/// <summary>What is still to be set up before the first machine is measured.</summary>
public sealed class SetUpSteps(PlantReader plants, ChecklistReader checklists, PeopleReader people, InstrumentReader register, MachineReader machines)
{
    private static readonly (string Role, string Words)[] Needed =
        [(Roles.Planner, "a planner, who orders machines"), (Roles.Technician, "a technician, who measures"), (Roles.Inspector, "an inspector, who releases what others measured")];

    /// <summary>All of them in their order; empty once a machine is ordered and nothing is missing.</summary>
    public async Task<ImmutableArray<SetUpStep>> Of(CancellationToken ct)
    {
        var plant = await plants.Get(ct);
        var editions = await checklists.List(ct);
        var roles = (await people.List(ct)).Where(p => !p.Disabled).SelectMany(p => p.Roles).ToHashSet();
        var missing = Needed.Where(n => !roles.Contains(n.Role)).Select(n => n.Words).ToArray();
        var instruments = (await register.List(ct)).Length;
        var ordered = (await machines.Serials(ct)).Count > 0;
        ImmutableArray<SetUpStep> steps =
        [
            plant != PlantSettings.Unset ? new("Plant", $"{plant.Name}, {plant.TimeZone}", "/plant", true) : new("Plant", "Name it as certificates print it, with their prefix and the time zone.", "/plant", false),
            editions.Any(e => e.ApprovedAt is not null) ? new("Inspection and test plan", "An edition is approved.", "/checklists", true)
                : new("Inspection and test plan", editions.IsEmpty ? "Load it from the folder, then approve it." : "Read its limits, and approve it: nothing under it can be released before.", "/checklists", false),
            missing.Length == 0 ? new("People", "Every role has somebody.", "/people", true) : new("People", $"Add {string.Join("; ", missing)}.", "/people", false),
            instruments > 0 ? new("Instruments", $"{instruments} in the register.", "/instruments", true)
                : new("Instruments", "Enter at least the one that measures first: what it measures, its uncertainty, until when it is valid.", "/instruments#register", false),
            ordered ? new("First machine", "Its build record is open.", "/machines", true) : new("First machine", "Order it: its route and its checks come from the plan in force.", "/machines/new", false),
        ];
        return steps.All(s => s.Done) ? [] : steps;
    }
}
