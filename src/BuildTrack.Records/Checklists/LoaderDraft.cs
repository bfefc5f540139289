using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>The parts of a checklist that others refer to.</summary>
internal enum LoaderPart
{
    Route,
    WorkCentres,
    Models,
    Layouts,
    Surveys,
    Characteristics,
    Limits,
    Tables,
    Invalidation,
    Corrections,
    Components,
    Qualifications,
    Kit,
    Series,
}

/// <summary>Something mapped, with the fields it came from: they know its place.</summary>
internal sealed record Placed<T>(string Id, T Value, YamlFields Fields);

/// <summary>A named list of mapped things.</summary>
internal sealed class PlacedList<T>(LoaderDraft draft, LoaderPart part, string what, string key = "id") : List<Placed<T>>
{
    /// <summary>Adds a thing; a second one of the same name is a fault, one without a name leaves the part incomplete.</summary>
    public void Add(string id, T value, YamlFields fields)
    {
        if (id.Length == 0)
        {
            draft.Damage(part);
            return;
        }

        if (Find(id) is { } first)
        {
            fields.Fault(key, FormattableString.Invariant($"a second {what} {Quoted.Of(id)} (first in {first.Fields.File} line {first.Fields.Line})"), $"each {what} once");
            return;
        }

        Add(new Placed<T>(id, value, fields));
    }

    public new Placed<T>? Find(Predicate<Placed<T>> match) => base.Find(match);

    public Placed<T>? Find(string id) => base.Find(p => p.Id == id);

    public IEnumerable<string> Ids => this.Select(p => p.Id);

    public ImmutableArray<T> Values => [.. this.Select(p => p.Value)];

    /// <summary>Finds what a field names; tells a fault where nothing has the name, unless it may have stood in something unreadable.</summary>
    public Placed<T>? Need(string? id, YamlFields fields, string field) =>
        string.IsNullOrEmpty(id) ? null : Need(id, (found, expected) => fields.Fault(field, found, expected));

    public Placed<T>? Need(string id, Action<string, string> fault)
    {
        var found = Find(id);
        if (found is null && !draft.Damaged(part))
        {
            fault($"unknown {what} {Quoted.Of(id)}", Quoted.OneOf(Ids));
        }

        return found;
    }
}

/// <summary>What the files hold, before names are checked.</summary>
internal sealed class LoaderDraft
{
    private readonly HashSet<LoaderPart> damaged = [];

    public LoaderDraft(LoaderFaults faults, IReadOnlySet<string> furtherEvaluators)
    {
        (Faults, FurtherEvaluators) = (faults, furtherEvaluators);
        Steps = new(this, LoaderPart.Route, "step", "number");
        Holds = new(this, LoaderPart.Route, "hold point");
        Scopes = new(this, LoaderPart.Route, "certificate scope");
        Rework = new(this, LoaderPart.Route, "rework trigger");
        WorkCentres = new(this, LoaderPart.WorkCentres, "work centre");
        Models = new(this, LoaderPart.Models, "model");
        Layouts = new(this, LoaderPart.Layouts, "layout");
        Surveys = new(this, LoaderPart.Surveys, "survey");
        Characteristics = new(this, LoaderPart.Characteristics, "characteristic");
        Limits = new(this, LoaderPart.Limits, "limit set of class", "class");
        Tables = new(this, LoaderPart.Tables, "table");
        Invalidation = new(this, LoaderPart.Invalidation, "change", "change");
        Corrections = new(this, LoaderPart.Corrections, "figure");
        Components = new(this, LoaderPart.Components, "component");
        Qualifications = new(this, LoaderPart.Qualifications, "list of qualified people");
        Series = new(this, LoaderPart.Series, "series");
        KitParts = new(this, LoaderPart.Kit, "part of the kit");
    }

    public LoaderFaults Faults { get; }

    public IReadOnlySet<string> FurtherEvaluators { get; }

    public string Edition { get; set; } = "";

    public bool OwnReleases { get; set; }

    public PlacedList<RouteStep> Steps { get; }

    public PlacedList<HoldPoint> Holds { get; }

    public PlacedList<CertificateScope> Scopes { get; }

    public PlacedList<ReworkTrigger> Rework { get; }

    public PlacedList<WorkCentre> WorkCentres { get; }

    public PlacedList<MachineModel> Models { get; }

    public PlacedList<LayoutPlan> Layouts { get; }

    public PlacedList<Survey> Surveys { get; }

    public PlacedList<Characteristic> Characteristics { get; }

    public PlacedList<LimitSet> Limits { get; }

    /// <summary>Every limit of every class, for faults at its place.</summary>
    public List<(string Class, Placed<Requirement> Limit)> Requirements { get; } = [];

    public PlacedList<LimitTable> Tables { get; }

    public PlacedList<InvalidationRule> Invalidation { get; }

    public PlacedList<CorrectionFigure> Corrections { get; }

    public PlacedList<ComponentPlan> Components { get; }

    public PlacedList<Qualification> Qualifications { get; }

    public PlacedList<KitPart> KitParts { get; }

    public PlacedList<SeriesPlan> Series { get; }

    /// <summary>The file of the kit, with the steps at which it is bought and by which it is complete; null where there is no file.</summary>
    public (YamlFields Fields, int Purchase, int CompleteBefore)? Kit { get; set; }

    /// <summary>Notes that something of a part could not be read, so that names of it may be missing.</summary>
    public void Damage(LoaderPart part) => damaged.Add(part);

    public bool Damaged(LoaderPart part) => damaged.Contains(part);

    public ChecklistRevision Revision(string hash) => new(
        hash, Edition, Steps.Values, Holds.Values, Scopes.Values, Models.Values, Layouts.Values, Surveys.Values, Characteristics.Values,
        Limits.Values, Tables.Values, Invalidation.Values, WorkCentres.Values, Rework.Values, Corrections.Values, Components.Values, Qualifications.Values, OwnReleases)
    {
        Kit = Kit is { } kit ? new KitPlan(kit.Purchase, kit.CompleteBefore, KitParts.Values) : null,
        Series = Series.Values,
    };
}
