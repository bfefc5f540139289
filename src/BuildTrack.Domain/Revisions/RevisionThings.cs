using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Witnessing;

namespace BuildTrack.Domain.Revisions;

/// <summary>Which thing of a revision; <paramref name="Rank"/> sorts steps by number.</summary>
internal sealed record ThingKey(RevisionPart Part, string Id, int Rank = 0);

/// <summary>One thing of a revision as a list of facts in words: what is compared.</summary>
internal sealed record Thing(ThingKey Key, ImmutableArray<Fact> Facts)
{
    public const string None = "none";

    public string InWords => string.Join("; ", Facts.Where(f => f.Text != None).Select(f => $"{f.Name}: {f.Text}"));

    public Fact? Fact(string name) => Facts.FirstOrDefault(f => f.Name == name);

    public int RankOf(string name) => Facts.IndexOf(Fact(name)!);
}

/// <summary>A name and its value in words.</summary>
/// <param name="Strictness">For limits: numbers of which each is greater where fewer values are accepted; null elsewhere.</param>
/// <param name="Unit">Unit of these numbers; null where any unit compares, as no limit at all does.</param>
/// <param name="Same">What is compared; null for the text itself. 0.050 and 0.05 are one number, told with the digits it was stated with.</param>
internal sealed record Fact(string Name, string Text, double[]? Strictness = null, string? Unit = null, string? Same = null)
{
    public string Compared => Same ?? Text;
}

/// <summary>Takes a revision apart. A property that is not here is compared by nobody: a test goes through all of them.</summary>
internal static class RevisionThings
{
    public static IEnumerable<Thing> Of(ChecklistRevision revision) =>
    [
        .. revision.Limits.SelectMany(set => set.Requirements.Select(r => Of(set.Class, r.Key, r.Value))),
        .. revision.Tables.Select(Of),
        .. revision.Characteristics.Select(Of),
        .. revision.Surveys.Select(Of),
        .. revision.Surveys.SelectMany(s => s.Columns.Select(c => Of(s, c))),
        .. revision.Layouts.Select(Of),
        .. revision.Steps.Select(Of),
        .. revision.Holds.Select(h => Of(RevisionPart.HoldPoint, h.Id, [new("name", h.Name), new("step", Number(h.Step)), .. Qualified(h.Qualified), .. Customer(h), .. h.AsBuilt ? [new Fact("as-built list", "complete")] : Array.Empty<Fact>()])),
        .. revision.Scopes.Select(s => Of(RevisionPart.CertificateScope, s.Id, [new("title", s.Title), new("hold points", List(s.Holds))])),
        .. revision.Models.Select(Of),
        .. revision.Invalidation.Select(r => Of(RevisionPart.InvalidationRule, r.Change, [new("title", r.Title), new("surveys to be repeated", List(r.Surveys))])),
        .. revision.WorkCentres.Select(c => Of(RevisionPart.WorkCentre, c.Id,
        [
            new("name", c.Name), new("shifts", c.Shifts is { } shifts ? List(shifts.Select(s => s.ToString())) : Thing.None), new("machines at once", c.Capacity is { } at ? Number(at) : Thing.None),
            new("origin", Text(c.Origin)),
        ])),
        .. revision.Corrections.Select(c => Of(RevisionPart.CorrectionFigure, c.Id, [new("title", c.Title), new("value", c.Value.ToString()), new("origin", c.Origin), new("edition", c.Edition)])),
        .. revision.Components.Select(Of),
        Of(RevisionPart.CompanyRule, "own measurements", [new("are released by", revision.OwnReleases ? "anybody with the role" : "somebody who did not measure")]),
        .. revision.Qualifications.Select(q => Of(RevisionPart.Qualification, q.Id, [new("name", q.Name), new("why", q.Why), new("origin", q.Origin)])),
        .. revision.Kit is { } kit ? [Of(RevisionPart.Kit, "kit", [new("bought at step", Number(kit.Purchase)), new("complete before step", Number(kit.CompleteBefore))]), .. kit.Parts.Select(Of)] : Array.Empty<Thing>(),
        .. revision.Series.Select(s => Of(RevisionPart.Series, s.Id, [new("title", s.Title), new("results", List(s.Results))])),
        .. revision.Rework.Select(t => Of(RevisionPart.ReworkTrigger, t.Id,
            [new("title", t.Title), new("found at", List(t.FoundAt.Order().Select(n => Number(n)))), new("returns to", Number(t.ReturnsTo)), new("origin", t.Origin)])),
    ];

    private static Thing Of(string machineClass, string limit, Requirement r) => Of(RevisionPart.Limit, $"class {machineClass} {limit}",
    [
        Of("upper limit", r.Upper, r.Table is null ? [-(r.Upper?.Calculated ?? double.PositiveInfinity)] : []),
        Of("lower limit", r.Lower, [r.Lower?.Calculated ?? double.NegativeInfinity]),
        new("table", Text(r.Table)),
        new("table entered with", Text(r.Over)),
        // How much of the limit the uncertainty takes away: nothing, 1.6449 u, U.
        new("decision rule", Shown.Word(r.Rule), [r.Rule switch { Metrology.Verdicts.DecisionRule.Simple => 0, Metrology.Verdicts.DecisionRule.OneSided95 => 1, _ => 2 }]),
        new("origin", r.Origin),
        new("edition", r.Edition),
        new("approved by", Text(r.ApprovedBy)),
    ]);

    private static Thing Of(LimitTable table) => Of(RevisionPart.LimitTable, table.Id,
    [
        new("origin", table.Origin), new("unit", table.Unit), new("unit of the figure", table.OverUnit),
        .. table.Rows.Select(r => new Fact($"row from {Number(r.From)} to {Number(r.To)}", $"{Number(r.Constant)} + {Number(r.Slope)} × figure", [-(double)r.Constant, -(double)r.Slope], table.Unit)),
    ]);

    private static Thing Of(Characteristic c) => Of(RevisionPart.Characteristic, c.Id,
    [
        new("title", c.Title), new("line", c.Line), new("hold point", c.Hold), new("calculation", c.Evaluator), new("reference", Text(c.Reference)), new("limit", c.Limit),
        Of("stretch", c.Window, null),
        .. c.From.Select(f => new Fact($"source {f.Key}", f.Value switch
        {
            { Survey: { } survey } => $"{survey}.{f.Value.Column}",
            { Result: { } result } => $"result of {result}",
            _ => $"figure {f.Value.Figure}",
        })),
    ]);

    private static Thing Of(Survey s) => Of(RevisionPart.Survey, s.Id,
    [
        new("title", s.Title), new("step", Number(s.Step)), new("layout", Text(s.Layout)),
        new("places", s.Places switch { PlaceKind.At => "at stations", PlaceKind.Between => s.Stepped ? "step by step" : "between stations", _ => "the whole" }),
        new("passes", Number(s.Passes)), new("both directions", YesNo(s.BothDirections)), new("instruments", List(s.Instruments)), new("for each", List(s.ForEach)),
        new("bed temperatures", YesNo(s.NeedsGradient)), new("base length", s.BaseLengthMm is { } mm ? Mm(mm) : Thing.None), .. Qualified(s.Qualified),
    ]);

    private static Thing Of(Survey survey, Column c) => Of(RevisionPart.Column, $"{survey.Id}.{c.Id}",
    [
        new("title or question", c.Title), new("kind", c.Kind switch { ValueKind.Number => "number", ValueKind.Choice => "choice", ValueKind.Text => "text", ValueKind.File => "file", _ => "table" }),
        new("quantity", Text(c.Quantity)), new("unit", Text(c.Unit)), new("choices", List(c.Choices)),
    ]);

    private static Thing Of(LayoutPlan layout) => Of(RevisionPart.Layout, layout.Id,
    [
        new("pitch", layout.Pitch is { } pitch ? Along(layout, pitch) : Thing.None),
        new("generated", layout.Pitch is null ? Thing.None : layout.Shape switch { LayoutShape.Bridges => "bridges", LayoutShape.Targets => "targets", LayoutShape.Times => "times", LayoutShape.Circle => "circle", LayoutShape.RackJoints => "rack joints", _ => "rail seats" }),
        new("window", layout.Window is { } window ? Along(layout, window) : Thing.None),
        new("from", layout.FromMinute is { } from ? FormattableString.Invariant($"{from:0.###} min") : Thing.None),
        new("axis", Text(layout.Axis)), new("radius", layout.RadiusMm is { } radius ? Mm(radius) : Thing.None),
        .. layout.Listed.Select(s => new Fact($"station {s.Id}", $"{(s.Title is null ? "" : $"{s.Title}, ")}x {Mm(s.XMm)}, y {Mm(s.YMm)}")),
    ]);

    private static string Along(LayoutPlan layout, double value) => layout.Shape switch
    {
        LayoutShape.Times => FormattableString.Invariant($"{value:0.###} min"),
        LayoutShape.Circle => FormattableString.Invariant($"{value:0.###}°"),
        _ => Mm(value),
    };

    private static Thing Of(RouteStep step) => new(new ThingKey(RevisionPart.Step, Number(step.Number), step.Number),
    [
        new("name", step.Name), new("work centre", step.WorkCentre), new("comes after", List(step.After.Order().Select(n => Number(n)))),
        .. step.Hours.Select(h => new Fact($"hours of class {h.Key}", $"{Number(h.Value)} h")),
        .. (step.Range ?? ImmutableSortedDictionary<string, HoursRange>.Empty).Select(h => new Fact($"range of hours of class {h.Key}", $"{Number(h.Value.Low)} to {Number(h.Value.High)} h")),
        .. step.Wait is { } wait ? [new Fact("waits", $"{Number(wait.Low)} to {Number(wait.High)} h, likely {Number(wait.Likely)} h: {wait.For}")] : Array.Empty<Fact>(),
        .. step.Photos.Select(p => new Fact($"required photo {p.Id}", p.Text)),
        .. step.Leaves ? [new Fact("leaves", "the plant")] : Array.Empty<Fact>(),
        .. Qualified(step.Qualified),
        .. (step.Cautions ?? []).Select(c => new Fact($"caution {c.Id}", $"{c.Title}: {c.Text}")),
        .. step.Review is { } review ? [new Fact("record to be reviewed", review)] : Array.Empty<Fact>(),
    ]);

    private static Thing Of(ComponentPlan c) => Of(RevisionPart.Component, c.Id,
    [
        new("name", c.Name), new("kind", c.Kind), new("assembly", c.Assembly), new("step", Number(c.Step)), .. c.Places.Select(p => new Fact($"places of class {p.Key}", Number(p.Value))),
        new("needs", List(c.Needs)), new("lettered joints", YesNo(c.Joined)), new("a swap is", Text(c.AfterSwap)), new("origin", c.Origin),
    ]);

    private static Thing Of(KitPart p) => Of(RevisionPart.KitPart, p.Id,
    [
        new("name", p.Name), new("step", Number(p.Step)), .. p.Count.Select(c => new Fact($"needed by class {c.Key}", Number(c.Value))),
        new("days to delivery", $"{Number(p.LeadLow)} to {Number(p.LeadHigh)}, likely {Number(p.LeadLikely)}"), new("origin", p.Origin),
    ]);

    private static Thing Of(MachineModel m) => Of(RevisionPart.Model, m.Id,
    [
        new("name", m.Name), new("class", m.Class), new("seat length", Mm(m.SeatLengthMm)), new("gauge", Mm(m.GaugeMm)), new("bed depth", Mm(m.BedDepthMm)),
        Of("top to bottom difference allowed", m.GradientAllowed, null), new("travel", m.TravelMm is { } travel ? Mm(travel) : Thing.None),
        new("travel across", m.TravelAcrossMm is { } across ? Mm(across) : Thing.None), Of("power", m.Power, null), Of("coolant of the source", m.CoolantSource, null), Of("coolant of the head", m.CoolantHead, null), Of("focus diameter", m.FocusDiameter, null),
        new("feet along each seat", m.FeetMm is { } feet ? List(feet.Select(Mm)) : Thing.None), Of("rise of a foot by one turn", m.FootPitch, null),
    ]);

    private static Thing Of(RevisionPart part, string id, ImmutableArray<Fact> facts) => new(new ThingKey(part, id), facts);

    private static Fact[] Customer(HoldPoint hold) =>
        CustomersPoint.PartAt(hold) is var part and not CustomersPart.Nothing
            ? [new("customer", CustomersPoint.Words(part)), .. hold.Witness is { } point ? [new Fact("notice", $"{Number(point.NoticeDays)} working days")] : Array.Empty<Fact>()] : [];

    private static Fact[] Qualified(string? list) => list is null ? [] : [new("only by people on the list", list)];

    private static string Text(string? text) => text is { Length: > 0 } ? text : Thing.None;

    private static Fact Of(string name, Amount? amount, double[]? strictness) => amount is null
        ? new(name, Thing.None, strictness)
        : new(name, amount.Unit == "1" ? Number(amount.Value) : amount.ToString(), strictness, Units.Calculated(amount.Unit), $"{Number(amount.Value)} {amount.Unit}");

    private static string List(IEnumerable<string> items) => Text(string.Join(", ", items));

    private static string YesNo(bool yes) => yes ? "yes" : "no";

    private static string Mm(double mm) => mm.ToString("R", CultureInfo.InvariantCulture) + " mm";

    private static string Number(decimal number) => number.ToString("0.############################", CultureInfo.InvariantCulture);
}
