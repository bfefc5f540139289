using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
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
        (new("/find", "Find", "a serial number, customer, instrument, certificate"), [.. Roles.All]),
        (new("/nonconformances", "Nonconformances", "what is open, and whom it waits for"), [.. Roles.All]),
        (new("/checks", "Checks over machines", "how often accepted at first, and how near the limit"), [.. Roles.All]),
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

    /// <summary>The sheets that a sheet of a machine is leafed with: those of its step, or else the machine's own.</summary>
    /// <param name="here">Address of the sheet that is looked at.</param>
    public static SheetSet Of(MachineRecord machine, string here) =>
        machine.Revision.Steps.Select(s => OfStep(machine, s)).FirstOrDefault(set => set.Sheets.Skip(1).Any(s => s.Url == here)) ?? OfMachine(machine);

    // Build record, route card, one sheet for each step where something is measured or released, acts on the bed, nonconformances, punch list.
    private static SheetSet OfMachine(MachineRecord machine)
    {
        var root = UrlOf(machine.Serial);
        return new(
            [new(root, "Build record"), new($"{root}/route", "Route card"), .. machine.Revision.Steps.Where(s => machine.Revision.Surveys.Any(x => x.Step == s.Number)).Select(s => StepSheet(root, s)),
                new($"{root}/release", "Sheet of points"), new($"{root}/bed-change", "Acts on the bed"), new($"{root}/as-built", "As-built list"), new($"{root}/nonconformances", "Nonconformances"), new($"{root}/punch-list", "Punch list")],
            new(root, "Build record"));
    }

    // The step, its results, and the release sheets of its hold points.
    private static SheetSet OfStep(MachineRecord machine, RouteStep step)
    {
        var root = UrlOf(machine.Serial);
        var sheets = ImmutableList.CreateBuilder<SheetLink>();
        sheets.Add(StepSheet(root, step));
        foreach (var hold in machine.Revision.Holds.Where(h => h.Step == step.Number))
        {
            sheets.AddRange(machine.Agreed(hold.Id).Select(a => new SheetLink($"{root}/results/{a.Characteristic.Line}", a.Characteristic.Title)));
            sheets.Add(new($"{root}/release/{hold.Id}", $"Release of {hold.Id}"));
        }

        return new(sheets.ToImmutable(), sheets[0]);
    }

    private static SheetLink StepSheet(string root, RouteStep step) => new($"{root}/step/{step.Number}", $"Step {step.Number}, {step.Name}");

    public static string UrlOf(string serial) => "/machines/" + Uri.EscapeDataString(serial);
}
