using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;

namespace BuildTrack.Web.Sheets;

/// <summary>Which sheets there are: the plant's, by role, and a machine's, by its inspection and test plan.</summary>
public static class SheetSets
{
    private static readonly (SheetLink Link, string[] Roles)[] Plant =
    [
        (new("/", "Today's work", "what to do next"), [.. Roles.All]),
        (new("/waiting", "Waiting for release", "hold points where everything is accepted, or returned"), [Roles.Inspector]),
        (new("/machines", "Machines", "every machine with its state"), [.. Roles.All]),
        (new("/nonconformances", "Nonconformances", "what is open, and whom it waits for"), [.. Roles.All]),
        (new("/work-centres", "Work centres", "what waits where, and since when"), [Roles.Planner, Roles.Technician, Roles.Inspector]),
        (new("/machines/new", "Order a machine", "opens a build record"), [Roles.Planner, Roles.Administrator]),
        (new("/certificates", "Certificates", "documents, records, voided ones"), [.. Roles.All]),
        (new("/instruments", "Instrument register", "what each one measures, and until when"), [.. Roles.All]),
        (new("/checklists", "Inspection and test plan", "edition, limits, approval"), [.. Roles.All]),
        (new("/people", "People", "names and roles"), [Roles.Administrator]),
        (new("/plant", "Plant", "name, certificate numbers, time zone"), [Roles.Administrator]),
        (new("/tokens", "Access tokens", "for programs that speak for you"), [.. Roles.All]),
        (new("/history", "History of acts", "who did what, sealed act by act"), [.. Roles.All]),
    ];

    /// <summary>The plant's sheets for somebody with these roles.</summary>
    public static SheetSet OfPlant(IEnumerable<string> roles) =>
        new([.. Plant.Where(p => p.Roles.Intersect(roles).Any()).Select(p => p.Link)], new("/#sheets", "Today's work"));

    /// <summary>A single sheet that is leafed with nothing.</summary>
    public static SheetSet Alone(string url, string title) => new([new(url, title)], new("/", "Today's work"));

    /// <summary>A machine's sheets: build record, steps, results, releases, acts on the bed, nonconformances, punch list.</summary>
    public static SheetSet Of(MachineRecord machine)
    {
        var root = UrlOf(machine.Serial);
        var sheets = ImmutableList.CreateBuilder<SheetLink>();
        sheets.Add(new(root, "Build record"));
        sheets.Add(new($"{root}/route", "Route card"));
        foreach (var step in machine.Revision.Steps.Where(s => machine.Revision.Surveys.Any(x => x.Step == s.Number)))
        {
            sheets.Add(new($"{root}/step/{step.Number}", $"Step {step.Number}, {step.Name}"));
            foreach (var hold in machine.Revision.Holds.Where(h => h.Step == step.Number))
            {
                sheets.AddRange(machine.Agreed(hold.Id).Select(a => new SheetLink($"{root}/results/{a.Characteristic.Line}", a.Characteristic.Title)));
                sheets.Add(new($"{root}/release/{hold.Id}", $"Release of {hold.Id}"));
            }
        }

        sheets.Add(new($"{root}/bed-change", "Acts on the bed"));
        sheets.Add(new($"{root}/nonconformances", "Nonconformances"));
        sheets.Add(new($"{root}/punch-list", "Punch list"));
        return new(sheets.ToImmutable(), new(root, "Build record"));
    }

    public static string UrlOf(string serial) => "/machines/" + Uri.EscapeDataString(serial);
}
