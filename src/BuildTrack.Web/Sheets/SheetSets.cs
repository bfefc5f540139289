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
        (new("/waiting", "Waiting for release", "hold points where everything is accepted, or returned"), [Roles.Inspector, Roles.Delegate]),
        (new("/machines", "Machines", "every machine with its state"), [.. Roles.All]),
        (new("/find", "Find", "a serial number, customer, instrument, certificate"), [.. Roles.All]),
        (new("/scan", "Scan", "what a code on a route card or label names"), [.. Roles.All]),
        (new("/nonconformances", "Nonconformances", "what is open, and whom it waits for"), [.. Roles.All]),
        (new("/checks", "Checks over machines", "how often accepted at first, and how near the limit"), [.. Roles.All]),
        (new("/trends", "Trends", "first pass, hours, rework and nonconformances by step and month"), [Roles.Planner, Roles.Inspector, Roles.Administrator]),
        (new("/ready-dates", "Ready dates", "bands beside days promised; notices and kits that are due"), [Roles.Planner, Roles.Administrator]),
        (new("/weeks-ahead", "Weeks ahead", "machines and work centres on one axis of days"), [Roles.Planner, Roles.Administrator]),
        (new("/work-centres", "Work centres", "what waits where, and since when"), [Roles.Planner, Roles.Technician, Roles.Inspector]),
        (new("/calendar", "Calendar", "holidays of the plant, shifts of the work centres"), [Roles.Planner, Roles.Administrator]),
        (new("/machines/new", "Order a machine", "opens a build record"), [Roles.Planner, Roles.Administrator]),
        (new("/certificates", "Certificates", "documents, records, voided ones"), [.. Roles.All]),
        (new("/instruments", "Instrument register", "what each one measures, and until when"), [.. Roles.All]),
        (new("/checklists", "Inspection and test plan", "edition, limits, approval"), [.. Roles.All]),
        (new("/people", "People", "names and roles"), [Roles.Administrator]),
        (new("/delegations", "Delegations", "rights lent for some days, by whom and to whom"), [.. Roles.All]),
        (new("/plant", "Plant", "name, certificate numbers, time zone"), [Roles.Administrator]),
        (new("/tablets", "Tablets", "on which the person changes by badge or PIN"), [Roles.Administrator]),
        (new("/pin", "PIN", "to change the person on a shared tablet"), [.. Roles.All]),
        (new("/tokens", "Access tokens", "for programs that speak for you"), [.. Roles.All]),
        (new("/this-screen", "This screen", "light, dark or bright hall; keys for gloves"), [.. Roles.All]),
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
            [new(root, "Build record"), new($"{root}/route", "Route card"), new($"{root}/inspection-plan", "Inspection and test plan"), .. machine.Revision.Steps.Where(s => machine.Revision.Surveys.Any(x => x.Step == s.Number)).Select(s => StepSheet(root, s)),
                new($"{root}/release", "Sheet of points"), new($"{root}/series", "Results over time"), new($"{root}/bed-change", "Acts on the bed"), new($"{root}/kit", "Kit and ready date"), new($"{root}/as-built", "As-built list"), new($"{root}/witness", "Customer's witness"), new($"{root}/customers-part", "Customer's part"), new($"{root}/disclosure", "Disclosure list"), new($"{root}/nonconformances", "Nonconformances"), new($"{root}/punch-list", "Punch list")],
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
