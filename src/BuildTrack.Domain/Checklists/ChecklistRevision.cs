using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json.Serialization;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Checklists;

/// <summary>One immutable state of all checklists. A machine keeps the revision it was released to build with.</summary>
/// <param name="Hash">SHA-256 of the source files: what an administrator approves.</param>
/// <param name="Edition">The company's letter for this state, from route.yaml.</param>
/// <param name="Corrections">The figures that corrections are worked out with; empty where the plan has none.</param>
/// <param name="OwnReleases">Who measured may release it too; by the company's rule that stands unless it is changed, nobody may.</param>
/// <param name="Qualifications">The lists of people for special work; empty where the plan has none.</param>
public sealed record ChecklistRevision(
    string Hash,
    string Edition,
    ImmutableArray<RouteStep> Steps,
    ImmutableArray<HoldPoint> Holds,
    ImmutableArray<CertificateScope> Scopes,
    ImmutableArray<MachineModel> Models,
    ImmutableArray<LayoutPlan> Layouts,
    ImmutableArray<Survey> Surveys,
    ImmutableArray<Characteristic> Characteristics,
    ImmutableArray<LimitSet> Limits,
    ImmutableArray<LimitTable> Tables,
    ImmutableArray<InvalidationRule> Invalidation,
    ImmutableArray<WorkCentre> WorkCentres,
    ImmutableArray<ReworkTrigger> Rework,
    ImmutableArray<CorrectionFigure> Corrections,
    ImmutableArray<ComponentPlan> Components,
    ImmutableArray<Qualification> Qualifications,
    bool OwnReleases = false)
{
    /// <summary>The long-lead parts; null where the plan has none.</summary>
    public KitPlan? Kit { get; init; }

    /// <summary>Results that are set beside each other over a machine's life.</summary>
    public ImmutableArray<SeriesPlan> Series { get; init; } = [];

    /// <summary>The value of a figure for corrections.</summary>
    /// <exception cref="InvalidOperationException">The plan has no such figure (the loader wants all of them, or no file).</exception>
    public Amount Correction(string id) => Corrections.Single(c => c.Id == id).Value;

    /// <summary>Whether the plan has all of these figures for corrections.</summary>
    public bool HasCorrections(params IEnumerable<string> ids) => ids.All(id => Corrections.Any(c => c.Id == id));

    public MachineModel Model(string id) => Models.Single(m => m.Id == id);

    public RouteStep? FindStep(int number) => Steps.SingleOrDefault(s => s.Number == number);

    public Qualification? FindQualification(string? id) => Qualifications.SingleOrDefault(q => q.Id == id);

    public ReworkTrigger? FindRework(string id) => Rework.SingleOrDefault(t => t.Id == id);

    public Survey Survey(string id) => Surveys.Single(s => s.Id == id);

    public Survey? FindSurvey(string id) => Surveys.SingleOrDefault(s => s.Id == id);

    public Characteristic? FindCharacteristic(string line) => Characteristics.SingleOrDefault(c => c.Line == line);

    /// <summary>The stations of a survey's layout on a bed of this model; empty where the survey has no layout.</summary>
    /// <param name="feature">Only the stations of this rail: those whose names begin with it ("R1-"). Where none does, the feature has them all.</param>
    public ImmutableArray<Station> StationsOf(Survey survey, MachineModel model, string? feature = null)
    {
        ImmutableArray<Station> all = survey.Layout is null ? [] : Layouts.Single(l => l.Id == survey.Layout).StationsFor(model);
        ImmutableArray<Station> own = feature is null ? all : [.. all.Where(s => s.Id.StartsWith(feature + "-", StringComparison.Ordinal))];
        return own.IsEmpty ? all : own;
    }

    /// <summary>The places a survey must fill, in the order of walking; empty where it may take any pair of stations.</summary>
    public ImmutableArray<string> PlacesOf(Survey survey, MachineModel model, string? feature = null)
    {
        var stations = StationsOf(survey, model, feature);
        return survey.Places switch
        {
            PlaceKind.Whole => ["whole"],
            PlaceKind.At => [.. stations.Select(s => s.Id)],
            _ when survey.Stepped => [.. Joins(stations).Select(p => p.Key)],
            _ => [],
        };
    }

    /// <summary>The steps of a level along every line of stations (one y), from the operator's end.</summary>
    public static IEnumerable<Place> Joins(ImmutableArray<Station> stations) =>
        stations.GroupBy(s => s.YMm).SelectMany(line => line.OrderBy(s => s.XMm).ToArray() is var ordered
            ? ordered.Skip(1).Select((s, i) => Place.Between(ordered[i].Id, s.Id))
            : []);

    /// <summary>What the company's standard asks of a model; null where its class has no such limit.</summary>
    public Requirement? RequirementOf(string limit, MachineModel model) =>
        Limits.SingleOrDefault(l => l.Class == model.Class)?.Requirements.GetValueOrDefault(limit);

    /// <summary>The characteristics of a hold point that apply to a class: those whose limit the class has.</summary>
    public ImmutableArray<Characteristic> CharacteristicsOf(string hold, MachineModel model) =>
        [.. Characteristics.Where(c => c.Hold == hold && RequirementOf(c.Limit, model) is not null).OrderBy(c => c.Place)];
}

/// <summary>A step of the route: 100 "Settle and verify bed".</summary>
/// <param name="After">Numbers of the steps that must be complete before this one is begun; steps that do not name each other run side by side.</param>
/// <param name="Hours">Planned hours of work by class; a class that is not named has no plan.</param>
/// <param name="Photos">Photos that the step is not finished without.</param>
/// <param name="Leaves">From its begin on the machine has left the plant.</param>
/// <param name="Qualified">The list that who begins or finishes its work stands on; null where anybody with the role does.</param>
/// <param name="Review">A record of the step that the plant looks at afterwards, and that work does not wait for: "Chart of the furnace"; null for none.</param>
/// <param name="Range">The range of its hours by class; a class that is not named has the planned hours and no range.</param>
/// <param name="Wait">What passes by itself after its work; null for nothing.</param>
/// <param name="Cautions">What can hurt someone at this work; null where the plan names nothing.</param>
public sealed record RouteStep(
    int Number, string Name, string WorkCentre, ImmutableArray<int> After, ImmutableSortedDictionary<string, decimal> Hours, ImmutableArray<RequiredPhoto> Photos, bool Leaves = false,
    string? Qualified = null, string? Review = null, ImmutableSortedDictionary<string, HoursRange>? Range = null, StepWait? Wait = null,
    ImmutableArray<Caution>? Cautions = null);

/// <summary>A caution that stands on every sheet of the steps that name it. It records nothing and declares nothing safe.</summary>
/// <param name="Title">"Lifting".</param>
/// <param name="Text">What to do and not to do, in a sentence or two.</param>
public sealed record Caution(string Id, string Title, string Text);

/// <summary>A photo that a step is not finished without.</summary>
/// <param name="Text">What it shows: "Clamp pattern on the mill table".</param>
public sealed record RequiredPhoto(string Id, string Text);

/// <summary>What sends a machine back on its route: it is found at one step, and put right at an earlier one.</summary>
/// <param name="Title">What is found, in the words of the shop.</param>
/// <param name="FoundAt">Numbers of the steps it may be raised at; each comes after the step it returns to.</param>
/// <param name="ReturnsTo">Number of the step that is opened again.</param>
/// <param name="Origin">Where this way back is laid down: company standard, contract annex 3.</param>
public sealed record ReworkTrigger(string Id, string Title, ImmutableArray<int> FoundAt, int ReturnsTo, string Origin);

/// <summary>A point that work may not pass until a named person releases it.</summary>
/// <param name="Qualified">The list that who releases it stands on; null where anybody with the role does.</param>
/// <param name="Witness">The customer's witness is invited to it; null where nobody is.</param>
/// <param name="CustomerReviews">The customer is sent its record to look at, and is not waited for.</param>
/// <param name="AsBuilt">It waits until every component of the as-built list is listed.</param>
public sealed record HoldPoint(string Id, int Step, string Name, string? Qualified = null, WitnessPoint? Witness = null, bool CustomerReviews = false, bool AsBuilt = false);

/// <summary>How a customer's witness is invited to a hold point.</summary>
/// <param name="NoticeDays">Fewest working days between the notice and the visit.</param>
/// <param name="Statement">The witness signs whether the machine is accepted; else being there is enough.</param>
/// <param name="Holds">The customer's own hold: work waits for a signed acceptance also where nobody came.</param>
public sealed record WitnessPoint(int NoticeDays, bool Statement, bool Holds = false);

/// <summary>The hold points that one certificate covers.</summary>
/// <param name="Id">"bed", later "factory" and "site".</param>
public sealed record CertificateScope(string Id, string Title, ImmutableArray<string> Holds);

/// <summary>A machine model's figures.</summary>
/// <param name="Class">Size class A to E.</param>
/// <param name="SeatLengthMm">Length of a rail seat, in millimetres.</param>
/// <param name="GaugeMm">Distance between the rail seats, in millimetres.</param>
/// <param name="BedDepthMm">Depth of the bed, for its bow under a vertical gradient, in millimetres.</param>
/// <param name="GradientAllowed">Largest top to bottom difference at which a bed may be judged, in K.</param>
/// <param name="TravelMm">Cutting travel along X, in millimetres; null where nothing is measured over it.</param>
/// <param name="TravelAcrossMm">Cutting travel along Y, in millimetres; null where nothing is measured over it.</param>
/// <param name="Power">Rated laser power at the workpiece; null where none is measured.</param>
/// <param name="CoolantSource">Coolant flow that the laser source asks for by its data sheet; null where none is measured.</param>
/// <param name="CoolantHead">The same for the cutting head.</param>
/// <param name="FocusDiameter">Diameter of the focus by the data sheet of the cutting head; null where none is measured.</param>
/// <param name="FeetMm">Where the levelling feet stand along each rail seat, in millimetres from the operator's end; null where the plan does not tell.</param>
/// <param name="FootPitch">Rise of a foot by one turn; null for a wedge foot.</param>
public sealed record MachineModel(
    string Id, string Class, string Name, double SeatLengthMm, double GaugeMm, double BedDepthMm, Amount? GradientAllowed, double? TravelMm = null, Amount? Power = null,
    ImmutableArray<double>? FeetMm = null, Amount? FootPitch = null, double? TravelAcrossMm = null, Amount? CoolantSource = null, Amount? CoolantHead = null, Amount? FocusDiameter = null)
{
    /// <summary>The levelling feet, F1 … below R1 from the operator's end, then those below R2; empty where the plan does not tell.</summary>
    [JsonIgnore]
    public ImmutableArray<Station> Feet =>
        FeetMm is not { } along ? [] : [.. new[] { 0, GaugeMm }.SelectMany((y, row) => along.Select((x, i) => new Station(FormattableString.Invariant($"F{(row * along.Length) + i + 1}"), x, y)))];
}

/// <summary>A station of a layout. x along the rails from the operator's end, y to the left, both in millimetres; targets of an axis have their place on that axis as x.</summary>
/// <param name="Title">What stands there, where its number alone does not tell: "Door, front left"; null along a rail.</param>
/// <param name="Minute">When it is read, in minutes after switching on; null for a place on the machine.</param>
/// <param name="Degrees">Where it lies on a circular path, in degrees from +X toward +Y; null off such a path.</param>
public sealed record Station(string Id, double XMm, double YMm, string? Title = null, double? Minute = null, double? Degrees = null);

/// <summary>How stations are generated for a model.</summary>
public enum LayoutShape
{
    /// <summary>Along both rail seats, R1-01 … then R2-01 …</summary>
    RailSeats,

    /// <summary>Where a bridge stands across both rails, B-01 … from the operator's end.</summary>
    Bridges,

    /// <summary>Targets of the X axis from its start, over its travel or a window of 2 m: X-01 …; of the Y axis: Y-01 …</summary>
    Targets,

    /// <summary>Not places but minutes of a log after switching on: M030 … with the minute as number.</summary>
    Times,

    /// <summary>On a circular path about the middle of the table, A000 … with the angle in degrees as number.</summary>
    Circle,

    /// <summary>Where two racks meet, on both sides: R1-K1 … then R2-K1 …</summary>
    RackJoints,
}

/// <summary>Stations listed one by one, or generated for a model.</summary>
/// <param name="Pitch">Distance between generated stations, in millimetres; of times in minutes, on a circular path in degrees; of rack joints the length of a rack, in millimetres; null for a list.</param>
/// <param name="Window">Targets over this window only, in millimetres, null for the whole travel; of times the length of the log in minutes.</param>
/// <param name="FromMinute">The minute of the first reading of a log that counts: warm-up before it does not; null for places.</param>
/// <param name="Axis">Of targets: "Y" for the axis across; null for X.</param>
/// <param name="RadiusMm">Of a circular path; null elsewhere.</param>
public sealed record LayoutPlan(
    string Id, double? Pitch, ImmutableArray<Station> Listed, LayoutShape Shape = LayoutShape.RailSeats, double? Window = null, double? FromMinute = null, string? Axis = null, double? RadiusMm = null)
{
    /// <summary>The axis across the machine, as a layout names it.</summary>
    public const string AxisY = "Y";

    /// <summary>The stations on a bed of this model: R1 (master, y = 0) then R2, each from the operator's end.</summary>
    public ImmutableArray<Station> StationsFor(MachineModel model) => Pitch is not { } pitch ? Listed : Shape switch
    {
        LayoutShape.Bridges => Row("B", pitch, model.SeatLengthMm, model.GaugeMm / 2),
        LayoutShape.Targets => Row(Axis ?? "X", pitch, Math.Min((Axis == AxisY ? model.TravelAcrossMm : model.TravelMm) ?? 0, Window ?? double.MaxValue), 0),
        LayoutShape.Times => [.. Enumerable.Range(0, (int)Math.Floor(((Window ?? 0) / pitch) + 1e-9) + 1).Select(i => (FromMinute ?? 0) + (i * pitch)).Select(t => new Station(FormattableString.Invariant($"M{t:000.###}"), 0, 0, null, t))],
        LayoutShape.Circle => [.. Enumerable.Range(0, (int)Math.Round(360 / pitch)).Select(i => OnCircle(i * pitch, RadiusMm ?? 0))],
        LayoutShape.RackJoints => [.. Joints("R1", pitch, model.SeatLengthMm, 0), .. Joints("R2", pitch, model.SeatLengthMm, model.GaugeMm)],
        _ => [.. Row("R1", pitch, model.SeatLengthMm, 0), .. Row("R2", pitch, model.SeatLengthMm, model.GaugeMm)],
    };

    // Millimetres from the centre, to a thousandth: whoever reads the record sees where the place lies; what is calculated uses the angle.
    private static Station OnCircle(double angle, double radius)
    {
        var (sine, cosine) = Degrees.SineAndCosine(angle);
        return new Station(
            FormattableString.Invariant($"A{angle:000.###}"), Math.Round(radius * cosine, 3), Math.Round(radius * sine, 3), FormattableString.Invariant($"{angle:0.###}°"), Degrees: angle);
    }

    private static IEnumerable<Station> Joints(string name, double pitch, double length, double y) =>
        Enumerable.Range(1, Math.Max(0, (int)Math.Ceiling((length / pitch) - 1e-9) - 1)).Select(i => new Station(FormattableString.Invariant($"{name}-K{i}"), i * pitch, y));

    private static ImmutableArray<Station> Row(string name, double pitch, double length, double y) =>
        [.. Enumerable.Range(0, (int)Math.Floor((length / pitch) + 1e-9) + 1).Select(i => new Station(FormattableString.Invariant($"{name}-{i + 1:00}"), i * pitch, y))];
}

/// <summary>What kind of place a survey's readings belong to.</summary>
public enum PlaceKind
{
    /// <summary>At a station.</summary>
    At,

    /// <summary>Between two stations (a level on its base, a side of a rectangle).</summary>
    Between,

    /// <summary>The subject as a whole.</summary>
    Whole,
}

/// <summary>What kind of value a column takes.</summary>
public enum ValueKind
{
    Number,
    Choice,
    Text,
    File,

    /// <summary>A table of many rows, kept as a file by its hash.</summary>
    Table,
}

/// <summary>A column of a survey.</summary>
/// <param name="Quantity">height, thickness, slope, power …; null for choices, texts and files.</param>
/// <param name="Unit">The unit in which the column is typed unless the instrument says otherwise.</param>
/// <param name="Choices">The words to choose from, where the kind is <see cref="ValueKind.Choice"/>.</param>
public sealed record Column(string Id, string Title, ValueKind Kind, string? Quantity, string? Unit, ImmutableArray<string> Choices);

/// <summary>What is done once on the floor, and feeds any number of characteristics.</summary>
/// <param name="Passes">Passes planned before the first; the band shrinks for these and for no later one.</param>
/// <param name="BothDirections">Passes alternate outward and back.</param>
/// <param name="Instruments">Quantities for which an instrument must be named.</param>
/// <param name="ForEach">Features (rails, joints, samples) that are each measured by a measurement of their own.</param>
/// <param name="NeedsGradient">Bed temperatures top and bottom are recorded with every run.</param>
/// <param name="BaseLengthMm">Base of the level or the mirror carriage, in millimetres.</param>
/// <param name="Stepped">A level or mirror carriage steps from each station to the next of its line; else any two stations may be joined.</param>
/// <param name="Qualified">The list that who takes its readings stands on, where taking them is the special work itself; null elsewhere.</param>
public sealed record Survey(
    string Id, int Step, string Title, string? Layout, PlaceKind Places, ImmutableArray<Column> Columns, int Passes, bool BothDirections,
    ImmutableArray<string> Instruments, ImmutableArray<string> ForEach, bool NeedsGradient, double? BaseLengthMm, bool Stepped = false,
    string? Qualified = null)
{
    /// <summary>The first of that name: while a faulty file is read there may be two.</summary>
    public Column? FindColumn(string id) => Columns.FirstOrDefault(c => c.Id == id);
}

/// <summary>Where a characteristic takes a value from.</summary>
/// <param name="Survey">With <paramref name="Column"/>: the readings of this column.</param>
/// <param name="Result">The result of another characteristic, by id.</param>
/// <param name="Figure">A machine figure, by name.</param>
public sealed record SourceRef(string? Survey, string? Column, string? Result, string? Figure);

/// <summary>A result to be calculated and compared with a requirement.</summary>
/// <param name="Line">Number in the inspection and test plan: 100-01.</param>
/// <param name="Evaluator">The calculation: flatness, least-value …</param>
/// <param name="Reference">The reference the requirement names, where the calculation knows several: least-squares, minimum-zone.</param>
/// <param name="Limit">Name of the limit in the class's limit set.</param>
/// <param name="Window">Length of the stretch that is judged alone, where the calculation knows one: 500 mm.</param>
public sealed record Characteristic(
    string Id, string Line, string Hold, string Title, string Evaluator, ImmutableSortedDictionary<string, SourceRef> From, string? Reference,
    string Limit, Amount? Window = null)
{
    /// <summary>Step and number of the line, in which order lines stand: 50-01 before 100-01.</summary>
    [JsonIgnore]
    public (int Step, int Number) Place =>
        Line.Split('-') is [var step, var number] && int.TryParse(step, NumberStyles.None, CultureInfo.InvariantCulture, out var s) && int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out var n)
            ? (s, n) : (int.MaxValue, 0);
}

/// <summary>A company's limits for one class.</summary>
public sealed record LimitSet(string Class, ImmutableSortedDictionary<string, Requirement> Requirements);

/// <summary>A limit with where it comes from and how it is decided.</summary>
/// <param name="Upper">Largest value allowed; null for none.</param>
/// <param name="Lower">Least value allowed; null for none.</param>
/// <param name="Table">Name of the table that gives the upper limit over a machine figure; null for a plain number.</param>
/// <param name="Over">The column or figure the table is entered with (thickness).</param>
/// <param name="Origin">"company standard", or the contract's clause.</param>
/// <param name="ApprovedBy">Who approved it where an order replaced the company's limit.</param>
public sealed record Requirement(
    Amount? Upper, Amount? Lower, string? Table, string? Over, DecisionRule Rule, string Origin, string Edition, string? ApprovedBy);

/// <summary>A limit that depends on a figure: value = constant + slope × figure, row by row.</summary>
/// <param name="Unit">Unit of the limit and of the constant.</param>
/// <param name="OverUnit">Unit of the figure.</param>
/// <param name="Origin">Standard, edition and table.</param>
public sealed record LimitTable(string Id, string Unit, string OverUnit, string Origin, ImmutableArray<LimitTableRow> Rows)
{
    /// <summary>The limit at a figure; null beyond the last row (then the contract must state one).</summary>
    public decimal? At(decimal figure) => Rows.FirstOrDefault(r => figure >= r.From && figure <= r.To) is { } row ? row.Constant + (row.Slope * figure) : null;
}

/// <summary>One row of a limit table, both ends included.</summary>
public sealed record LimitTableRow(decimal From, decimal To, decimal Constant, decimal Slope);

/// <summary>Which surveys an act on the machine makes void.</summary>
/// <param name="Change">re-mill, foot-move, oven …</param>
public sealed record InvalidationRule(string Change, string Title, ImmutableArray<string> Surveys);
