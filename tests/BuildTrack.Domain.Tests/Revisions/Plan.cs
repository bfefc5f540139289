using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Revisions;

/// <summary>A revision in which every part has something, and one change for every property of every part.</summary>
internal static class Plan
{
    public static readonly ChecklistRevision Edition = new(
        new string('1', 64), "A",
        [new RouteStep(90, "Mill", "mill", [], Hours("B", 10), []), new RouteStep(100, "Verify bed", "bench", [90], Hours("B", 4.5m), [new RequiredPhoto("marks", "Marks of the cutter")])],
        [new HoldPoint("H1", 100, "Bed")],
        [new CertificateScope("bed", "Bed", ["H1"])],
        [new MachineModel("M-15", "B", "Model 15", 3600, 1600, 800, new Amount(0.30m, "K"))],
        [new LayoutPlan("seats", 400, []), new LayoutPlan("corners", null, [new Station("C1", 0, 0), new Station("C2", 1000, 0)])],
        [
            new Survey("heights", 100, "Heights of the pads", "corners", PlaceKind.At,
                [new Column("z", "Height", ValueKind.Number, "height", "mm", []), new Column("clean", "Is the seat clean?", ValueKind.Choice, null, null, ["yes", "no"])],
                1, false, ["height"], ["R1", "R2"], true, 250),
        ],
        [
            new Characteristic("flat", "100-01", "H1", "Flatness", "flatness", From("heights", new SourceRef("heights", "z", null, null)), "least-squares", "bed-flatness"),
            new Characteristic("bow", "100-02", "H1", "Bow", "change", From("result", new SourceRef(null, null, "flat", null)).Add("depth", new SourceRef(null, null, null, "bed-depth")), null, "edge"),
        ],
        [
            new LimitSet("B", ImmutableSortedDictionary<string, Requirement>.Empty
                .Add("bed-flatness", new Requirement(new Amount(0.050m, "mm"), null, null, null, DecisionRule.Guarded, "company standard", "C", null))
                .Add("least-pad", new Requirement(null, new Amount(16.0m, "mm"), null, null, DecisionRule.Guarded, "company standard", "C", null))
                .Add("edge", new Requirement(null, null, "edge-table", "thickness", DecisionRule.Simple, "table of the works", "C", "maren.ostley"))),
        ],
        [new LimitTable("edge-table", "mm", "mm", "table of the works", [new LimitTableRow(0, 10, 0.1m, 0.02m)])],
        [new InvalidationRule("re-mill", "Milled again", ["heights"])],
        [new WorkCentre("bench", "Measuring bench"), new WorkCentre("mill", "Milling")],
        [new ReworkTrigger("pads-out", "Pads out", [100], 90, "company standard")],
        [new CorrectionFigure("clean-up", "Depth that cleans a pad", new Amount(0.05m, "mm"), "company standard", "C")],
        [new ComponentPlan("rail-r1", "Rail R1, segment", "rail", "Rails", 100, ImmutableSortedDictionary<string, int>.Empty.Add("B", 2), ["certificate"], true, "re-mill", "common practice, no source")],
        [new Qualification("welder", "Welder", "Welds", "company standard")])
    {
        Kit = new KitPlan(90, 100, [new KitPart("chiller", "Chiller", 100, ImmutableSortedDictionary<string, int>.Empty.Add("B", 1), 21, 30, 42, "common practice, no source")]),
        Series = [new SeriesPlan("flatness", "Flatness", ["flat", "least"])],
    };

    public static ImmutableSortedDictionary<string, decimal> Hours(string machineClass, decimal hours) => ImmutableSortedDictionary<string, decimal>.Empty.Add(machineClass, hours);

    public static ImmutableSortedDictionary<string, SourceRef> From(string name, SourceRef source) => ImmutableSortedDictionary<string, SourceRef>.Empty.Add(name, source);

    public static ChecklistRevision With(string limit, Func<Requirement, Requirement> change) =>
        Edition with { Limits = [Edition.Limits[0] with { Requirements = Edition.Limits[0].Requirements.SetItem(limit, change(Edition.Limits[0].Requirements[limit])) }] };

    /// <summary>By property, "Step.Name"; what the change must be told as. A thing's own name in the plan is told as one removed and one added.</summary>
    public static readonly ImmutableSortedDictionary<string, (Func<ChecklistRevision, ChecklistRevision> Change, string Told)> Properties =
        new Dictionary<string, (Func<ChecklistRevision, ChecklistRevision>, string)>
        {
            ["RouteStep.Number"] = (r => Step(r, s => s with { Number = 110 }), "Step 110 all: null > name: Verify bed; work centre: bench; comes after: 90; hours of class B: 4.5 h; required photo marks: Marks of the cutter"),
            ["RouteStep.Name"] = (r => Step(r, s => s with { Name = "Settle" }), "Step 100 name: Verify bed > Settle"),
            ["RouteStep.WorkCentre"] = (r => Step(r, s => s with { WorkCentre = "mill" }), "Step 100 work centre: bench > mill"),
            ["RouteStep.After"] = (r => Step(r, s => s with { After = [] }), "Step 100 comes after: 90 > none"),
            ["RouteStep.Photos"] = (r => Step(r, s => s with { Photos = [.. s.Photos, new RequiredPhoto("level", "Level as set up")] }), "Step 100 required photo level: none > Level as set up"),
            ["RequiredPhoto.Id"] = (r => Step(r, s => s with { Photos = [s.Photos[0] with { Id = "cutter" }] }), "Step 100 required photo marks: Marks of the cutter > none|Step 100 required photo cutter: none > Marks of the cutter"),
            ["RequiredPhoto.Text"] = (r => Step(r, s => s with { Photos = [s.Photos[0] with { Text = "Marks" }] }), "Step 100 required photo marks: Marks of the cutter > Marks"),
            ["RouteStep.Leaves"] = (r => Step(r, s => s with { Leaves = true }), "Step 100 leaves: none > the plant"),
            ["RouteStep.Hours"] = (r => Step(r, s => s with { Hours = s.Hours.SetItem("B", 5).Add("C", 6) }), "Step 100 hours of class B: 4.5 h > 5 h|Step 100 hours of class C: none > 6 h"),
            ["RouteStep.Range"] = (r => Step(r, s => s with { Range = Range(4, 6) }), "Step 100 range of hours of class B: none > 4 to 6 h"),
            ["HoursRange.Low"] = (r => Step(r, s => s with { Range = Range(3, 6) }), "Step 100 range of hours of class B: none > 3 to 6 h"),
            ["HoursRange.High"] = (r => Step(r, s => s with { Range = Range(4, 7) }), "Step 100 range of hours of class B: none > 4 to 7 h"),
            ["RouteStep.Wait"] = (r => Step(r, s => s with { Wait = new StepWait(8, 14, 23, "cool-down") }), "Step 100 waits: none > 8 to 23 h, likely 14 h: cool-down"),
            ["StepWait.Low"] = (r => Step(r, s => s with { Wait = new StepWait(7, 14, 23, "cool-down") }), "Step 100 waits: none > 7 to 23 h, likely 14 h: cool-down"),
            ["StepWait.Likely"] = (r => Step(r, s => s with { Wait = new StepWait(8, 15, 23, "cool-down") }), "Step 100 waits: none > 8 to 23 h, likely 15 h: cool-down"),
            ["StepWait.High"] = (r => Step(r, s => s with { Wait = new StepWait(8, 14, 24, "cool-down") }), "Step 100 waits: none > 8 to 24 h, likely 14 h: cool-down"),
            ["StepWait.For"] = (r => Step(r, s => s with { Wait = new StepWait(8, 14, 23, "oven") }), "Step 100 waits: none > 8 to 23 h, likely 14 h: oven"),
            ["SeriesPlan.Id"] = (r => r with { Series = [r.Series[0] with { Id = "other" }] }, "Series flatness all: title: Flatness; results: flat, least > null"),
            ["SeriesPlan.Title"] = (r => r with { Series = [r.Series[0] with { Title = "Pads" }] }, "Series flatness title: Flatness > Pads"),
            ["SeriesPlan.Results"] = (r => r with { Series = [r.Series[0] with { Results = ["least"] }] }, "Series flatness results: flat, least > least"),
            ["KitPlan.Purchase"] = (r => r with { Kit = r.Kit! with { Purchase = 100 } }, "Kit kit bought at step: 90 > 100"),
            ["KitPlan.CompleteBefore"] = (r => r with { Kit = r.Kit! with { CompleteBefore = 90 } }, "Kit kit complete before step: 100 > 90"),
            ["KitPlan.Parts"] = (r => r with { Kit = r.Kit! with { Parts = [] } }, Chiller),
            ["KitPart.Id"] = (r => r with { Kit = r.Kit! with { Parts = [] } }, Chiller),
            ["KitPart.Name"] = (r => Part(r, p => p with { Name = "Cooler" }), "KitPart chiller name: Chiller > Cooler"),
            ["KitPart.Step"] = (r => Part(r, p => p with { Step = 90 }), "KitPart chiller step: 100 > 90"),
            ["KitPart.Count"] = (r => Part(r, p => p with { Count = p.Count.SetItem("B", 2) }), "KitPart chiller needed by class B: 1 > 2"),
            ["KitPart.LeadLow"] = (r => Part(r, p => p with { LeadLow = 20 }), "KitPart chiller days to delivery: 21 to 42, likely 30 > 20 to 42, likely 30"),
            ["KitPart.LeadLikely"] = (r => Part(r, p => p with { LeadLikely = 31 }), "KitPart chiller days to delivery: 21 to 42, likely 30 > 21 to 42, likely 31"),
            ["KitPart.LeadHigh"] = (r => Part(r, p => p with { LeadHigh = 43 }), "KitPart chiller days to delivery: 21 to 42, likely 30 > 21 to 43, likely 30"),
            ["KitPart.Origin"] = (r => Part(r, p => p with { Origin = "supplier" }), "KitPart chiller origin: common practice, no source > supplier"),
            ["WorkCentre.Shifts"] = (r => Centre(r, c => c with { Shifts = [new Shift(0, 4, 360, 840)] }), "WorkCentre bench shifts: none > mon-fri 06:00-14:00"),
            ["Shift.First"] = (r => Centre(r, c => c with { Shifts = [new Shift(1, 4, 360, 840)] }), "WorkCentre bench shifts: none > tue-fri 06:00-14:00"),
            ["Shift.Last"] = (r => Centre(r, c => c with { Shifts = [new Shift(0, 5, 360, 840)] }), "WorkCentre bench shifts: none > mon-sat 06:00-14:00"),
            ["Shift.From"] = (r => Centre(r, c => c with { Shifts = [new Shift(0, 4, 390, 840)] }), "WorkCentre bench shifts: none > mon-fri 06:30-14:00"),
            ["Shift.To"] = (r => Centre(r, c => c with { Shifts = [new Shift(0, 4, 360, 1440)] }), "WorkCentre bench shifts: none > mon-fri 06:00-24:00"),
            ["WorkCentre.Capacity"] = (r => Centre(r, c => c with { Capacity = 2 }), "WorkCentre bench machines at once: none > 2"),
            ["WorkCentre.Origin"] = (r => Centre(r, c => c with { Origin = "company's example" }), "WorkCentre bench origin: none > company's example"),
            ["WorkCentre.Id"] = (r => r with { WorkCentres = [r.WorkCentres[0]] }, "WorkCentre mill all: name: Milling > null"),
            ["WorkCentre.Name"] = (r => r with { WorkCentres = [r.WorkCentres[0] with { Name = "Granite" }, r.WorkCentres[1]] }, "WorkCentre bench name: Measuring bench > Granite"),
            ["CorrectionFigure.Id"] = (r => r with { Corrections = [] }, "CorrectionFigure clean-up all: title: Depth that cleans a pad; value: 0.05 mm; origin: company standard; edition: C > null"),
            ["CorrectionFigure.Title"] = (r => Figure(r, c => c with { Title = "Clean-up" }), "CorrectionFigure clean-up title: Depth that cleans a pad > Clean-up"),
            ["CorrectionFigure.Value"] = (r => Figure(r, c => c with { Value = new Amount(0.08m, "mm") }), "CorrectionFigure clean-up value: 0.05 mm > 0.08 mm"),
            ["CorrectionFigure.Origin"] = (r => Figure(r, c => c with { Origin = "contract annex 2" }), "CorrectionFigure clean-up origin: company standard > contract annex 2"),
            ["CorrectionFigure.Edition"] = (r => Figure(r, c => c with { Edition = "D" }), "CorrectionFigure clean-up edition: C > D"),
            ["ComponentPlan.Id"] = (r => r with { Components = [] },
                "Component rail-r1 all: name: Rail R1, segment; kind: rail; assembly: Rails; step: 100; places of class B: 2; needs: certificate; lettered joints: yes; a swap is: re-mill; origin: common practice, no source > null"),
            ["ComponentPlan.Name"] = (r => Component(r, c => c with { Name = "Segment" }), "Component rail-r1 name: Rail R1, segment > Segment"),
            ["ComponentPlan.Kind"] = (r => Component(r, c => c with { Kind = "guide" }), "Component rail-r1 kind: rail > guide"),
            ["ComponentPlan.Assembly"] = (r => Component(r, c => c with { Assembly = "Bed" }), "Component rail-r1 assembly: Rails > Bed"),
            ["ComponentPlan.Step"] = (r => Component(r, c => c with { Step = 90 }), "Component rail-r1 step: 100 > 90"),
            ["ComponentPlan.Places"] = (r => Component(r, c => c with { Places = c.Places.SetItem("B", 3) }), "Component rail-r1 places of class B: 2 > 3"),
            ["ComponentPlan.Needs"] = (r => Component(r, c => c with { Needs = [] }), "Component rail-r1 needs: certificate > none"),
            ["ComponentPlan.Joined"] = (r => Component(r, c => c with { Joined = false }), "Component rail-r1 lettered joints: yes > no"),
            ["ComponentPlan.AfterSwap"] = (r => Component(r, c => c with { AfterSwap = null }), "Component rail-r1 a swap is: re-mill > none"),
            ["ComponentPlan.Origin"] = (r => Component(r, c => c with { Origin = "contract annex 2" }), "Component rail-r1 origin: common practice, no source > contract annex 2"),
            ["Qualification.Id"] = (r => r with { Qualifications = [] }, "Qualification welder all: name: Welder; why: Welds; origin: company standard > null"),
            ["Qualification.Name"] = (r => r with { Qualifications = [r.Qualifications[0] with { Name = "Welders" }] }, "Qualification welder name: Welder > Welders"),
            ["Qualification.Why"] = (r => r with { Qualifications = [r.Qualifications[0] with { Why = "Welds the frame" }] }, "Qualification welder why: Welds > Welds the frame"),
            ["Qualification.Origin"] = (r => r with { Qualifications = [r.Qualifications[0] with { Origin = "law" }] }, "Qualification welder origin: company standard > law"),
            ["RouteStep.Qualified"] = (r => Step(r, s => s with { Qualified = "welder" }), "Step 100 only by people on the list: none > welder"),
            ["RouteStep.Cautions"] = (r => Step(r, s => s with { Cautions = [new Caution("lifting", "Lifting", "Nobody under the load.")] }), "Step 100 caution lifting: none > Lifting: Nobody under the load."),
            ["RouteStep.Review"] = (r => Step(r, s => s with { Review = "Chart" }), "Step 100 record to be reviewed: none > Chart"),
            ["HoldPoint.CustomerReviews"] = (r => r with { Holds = [r.Holds[0] with { CustomerReviews = true }] }, "HoldPoint H1 customer: none > reviews the record"),
            ["HoldPoint.AsBuilt"] = (r => r with { Holds = [r.Holds[0] with { AsBuilt = true }] }, "HoldPoint H1 as-built list: none > complete"),
            ["HoldPoint.Qualified"] = (r => r with { Holds = [r.Holds[0] with { Qualified = "welder" }] }, "HoldPoint H1 only by people on the list: none > welder"),
            ["Survey.Qualified"] = (r => Survey(r, s => s with { Qualified = "welder" }), "Survey heights only by people on the list: none > welder"),
            ["ReworkTrigger.Id"] = (r => r with { Rework = [] }, "ReworkTrigger pads-out all: title: Pads out; found at: 100; returns to: 90; origin: company standard > null"),
            ["ReworkTrigger.Title"] = (r => r with { Rework = [r.Rework[0] with { Title = "Pad low" }] }, "ReworkTrigger pads-out title: Pads out > Pad low"),
            ["ReworkTrigger.FoundAt"] = (r => r with { Rework = [r.Rework[0] with { FoundAt = [120, 100] }] }, "ReworkTrigger pads-out found at: 100 > 100, 120"),
            ["ReworkTrigger.ReturnsTo"] = (r => r with { Rework = [r.Rework[0] with { ReturnsTo = 80 }] }, "ReworkTrigger pads-out returns to: 90 > 80"),
            ["ReworkTrigger.Origin"] = (r => r with { Rework = [r.Rework[0] with { Origin = "contract annex 2" }] }, "ReworkTrigger pads-out origin: company standard > contract annex 2"),
            ["HoldPoint.Id"] = (r => r with { Holds = [.. r.Holds, new HoldPoint("H2", 100, "Empty")] }, "HoldPoint H2 all: null > name: Empty; step: 100"),
            ["HoldPoint.Witness"] = (r => r with { Holds = [r.Holds[0] with { Witness = new WitnessPoint(10, true) }] }, "HoldPoint H1 customer: none > signs a statement|HoldPoint H1 notice: none > 10 working days"),
            ["HoldPoint.Step"] = (r => r with { Holds = [r.Holds[0] with { Step = 90 }] }, "HoldPoint H1 step: 100 > 90"),
            ["HoldPoint.Name"] = (r => r with { Holds = [r.Holds[0] with { Name = "Bed and rails" }] }, "HoldPoint H1 name: Bed > Bed and rails"),
            ["CertificateScope.Id"] = (r => r with { Scopes = [] }, "CertificateScope bed all: title: Bed; hold points: H1 > null"),
            ["CertificateScope.Title"] = (r => r with { Scopes = [r.Scopes[0] with { Title = "Base" }] }, "CertificateScope bed title: Bed > Base"),
            ["CertificateScope.Holds"] = (r => r with { Scopes = [r.Scopes[0] with { Holds = ["H1", "H2"] }] }, "CertificateScope bed hold points: H1 > H1, H2"),
            ["MachineModel.Id"] = (r => r with { Models = [.. r.Models, new MachineModel("M-20", "C", "Model 20", 4000, 2000, 900, null)] },
                "Model M-20 all: null > name: Model 20; class: C; seat length: 4000 mm; gauge: 2000 mm; bed depth: 900 mm"),
            ["MachineModel.Class"] = (r => Model(r, m => m with { Class = "C" }), "Model M-15 class: B > C"),
            ["MachineModel.Name"] = (r => Model(r, m => m with { Name = "Fifteen" }), "Model M-15 name: Model 15 > Fifteen"),
            ["MachineModel.SeatLengthMm"] = (r => Model(r, m => m with { SeatLengthMm = 3600.5 }), "Model M-15 seat length: 3600 mm > 3600.5 mm"),
            ["MachineModel.GaugeMm"] = (r => Model(r, m => m with { GaugeMm = 1601 }), "Model M-15 gauge: 1600 mm > 1601 mm"),
            ["MachineModel.BedDepthMm"] = (r => Model(r, m => m with { BedDepthMm = 790 }), "Model M-15 bed depth: 800 mm > 790 mm"),
            ["MachineModel.GradientAllowed"] = (r => Model(r, m => m with { GradientAllowed = null }), "Model M-15 top to bottom difference allowed: 0.30 K > none"),
            ["MachineModel.TravelAcrossMm"] = (r => Model(r, m => m with { TravelAcrossMm = 1500 }), "Model M-15 travel across: none > 1500 mm"),
            ["MachineModel.TravelMm"] = (r => Model(r, m => m with { TravelMm = 3000 }), "Model M-15 travel: none > 3000 mm"),
            ["MachineModel.Power"] = (r => Model(r, m => m with { Power = new Amount(6, "kW") }), "Model M-15 power: none > 6 kW"),
            ["MachineModel.CoolantSource"] = (r => Model(r, m => m with { CoolantSource = new Amount(32, "l/min") }), "Model M-15 coolant of the source: none > 32 l/min"),
            ["MachineModel.CoolantHead"] = (r => Model(r, m => m with { CoolantHead = new Amount(2, "l/min") }), "Model M-15 coolant of the head: none > 2 l/min"),
            ["MachineModel.FocusDiameter"] = (r => Model(r, m => m with { FocusDiameter = new Amount(150, "µm") }), "Model M-15 focus diameter: none > 150 µm"),
            ["MachineModel.FeetMm"] = (r => Model(r, m => m with { FeetMm = [250, 3350.5] }), "Model M-15 feet along each seat: none > 250 mm, 3350.5 mm"),
            ["MachineModel.FootPitch"] = (r => Model(r, m => m with { FootPitch = new Amount(2, "mm") }), "Model M-15 rise of a foot by one turn: none > 2 mm"),
            ["LayoutPlan.Shape"] = (r => r with { Layouts = [r.Layouts[0] with { Shape = LayoutShape.Bridges }, r.Layouts[1]] }, "Layout seats generated: rail seats > bridges"),
            ["LayoutPlan.Window"] = (r => r with { Layouts = [r.Layouts[0] with { Window = 2000 }, r.Layouts[1]] }, "Layout seats window: none > 2000 mm"),
            ["Survey.Stepped"] = (r => Survey(r, s => s with { Places = PlaceKind.Between, Stepped = true }), "Survey heights places: at stations > step by step"),
            ["Characteristic.Window"] = (r => Check(r, c => c with { Window = new Amount(500, "mm") }), "Characteristic flat stretch: none > 500 mm"),
            ["LayoutPlan.Axis"] = (r => r with { Layouts = [r.Layouts[0] with { Axis = "Y" }, r.Layouts[1]] }, "Layout seats axis: none > Y"),
            ["LayoutPlan.RadiusMm"] = (r => r with { Layouts = [r.Layouts[0] with { RadiusMm = 150 }, r.Layouts[1]] }, "Layout seats radius: none > 150 mm"),
            ["LayoutPlan.FromMinute"] = (r => r with { Layouts = [r.Layouts[0] with { FromMinute = 30 }, r.Layouts[1]] }, "Layout seats from: none > 30 min"),
            ["LayoutPlan.Id"] = (r => r with { Layouts = [r.Layouts[0]] }, "Layout corners all: station C1: x 0 mm, y 0 mm; station C2: x 1000 mm, y 0 mm > null"),
            ["LayoutPlan.Pitch"] = (r => r with { Layouts = [r.Layouts[0] with { Pitch = 300 }, r.Layouts[1]] }, "Layout seats pitch: 400 mm > 300 mm"),
            ["LayoutPlan.Listed"] = (r => r with { Layouts = [r.Layouts[0], r.Layouts[1] with { Listed = [new Station("C1", 0, 5, "Door"), new Station("C3", 9, 9)] }] },
                "Layout corners station C1: x 0 mm, y 0 mm > Door, x 0 mm, y 5 mm|Layout corners station C2: x 1000 mm, y 0 mm > none|Layout corners station C3: none > x 9 mm, y 9 mm"),
            ["Survey.Id"] = (r => r with { Surveys = [] }, "Column heights.clean all: title or question: Is the seat clean?; kind: choice; choices: yes, no > null"),
            ["Survey.Step"] = (r => Survey(r, s => s with { Step = 90 }), "Survey heights step: 100 > 90"),
            ["Survey.Title"] = (r => Survey(r, s => s with { Title = "Pads" }), "Survey heights title: Heights of the pads > Pads"),
            ["Survey.Layout"] = (r => Survey(r, s => s with { Layout = null }), "Survey heights layout: corners > none"),
            ["Survey.Places"] = (r => Survey(r, s => s with { Places = PlaceKind.Between }), "Survey heights places: at stations > between stations"),
            ["Survey.Columns"] = (r => Survey(r, s => s with { Columns = [s.Columns[0]] }), "Column heights.clean all: title or question: Is the seat clean?; kind: choice; choices: yes, no > null"),
            ["Survey.Passes"] = (r => Survey(r, s => s with { Passes = 2 }), "Survey heights passes: 1 > 2"),
            ["Survey.BothDirections"] = (r => Survey(r, s => s with { BothDirections = true }), "Survey heights both directions: no > yes"),
            ["Survey.Instruments"] = (r => Survey(r, s => s with { Instruments = [] }), "Survey heights instruments: height > none"),
            ["Survey.ForEach"] = (r => Survey(r, s => s with { ForEach = ["R1"] }), "Survey heights for each: R1, R2 > R1"),
            ["Survey.NeedsGradient"] = (r => Survey(r, s => s with { NeedsGradient = false }), "Survey heights bed temperatures: yes > no"),
            ["Survey.BaseLengthMm"] = (r => Survey(r, s => s with { BaseLengthMm = null }), "Survey heights base length: 250 mm > none"),
            ["Column.Id"] = (r => Survey(r, s => s with { Columns = [.. s.Columns, new Column("note", "Note", ValueKind.Text, null, null, [])] }), "Column heights.note all: null > title or question: Note; kind: text"),
            ["Column.Title"] = (r => Column(r, c => c with { Title = "Level" }), "Column heights.z title or question: Height > Level"),
            ["Column.Kind"] = (r => Column(r, c => c with { Kind = ValueKind.Table }), "Column heights.z kind: number > table"),
            ["Column.Quantity"] = (r => Column(r, c => c with { Quantity = "thickness" }), "Column heights.z quantity: height > thickness"),
            ["Column.Unit"] = (r => Column(r, c => c with { Unit = "µm" }), "Column heights.z unit: mm > µm"),
            ["Column.Choices"] = (r => Column(r, c => c with { Choices = ["a"] }), "Column heights.z choices: none > a"),
            ["Characteristic.Id"] = (r => r with { Characteristics = [r.Characteristics[0]] },
                "Characteristic bow all: title: Bow; line: 100-02; hold point: H1; calculation: change; limit: edge; source depth: figure bed-depth; source result: result of flat > null"),
            ["Characteristic.Line"] = (r => Check(r, c => c with { Line = "100-07" }), "Characteristic flat line: 100-01 > 100-07"),
            ["Characteristic.Hold"] = (r => Check(r, c => c with { Hold = "H2" }), "Characteristic flat hold point: H1 > H2"),
            ["Characteristic.Title"] = (r => Check(r, c => c with { Title = "Flatness of the pads" }), "Characteristic flat title: Flatness > Flatness of the pads"),
            ["Characteristic.Evaluator"] = (r => Check(r, c => c with { Evaluator = "straightness" }), "Characteristic flat calculation: flatness > straightness"),
            ["Characteristic.From"] = (r => Check(r, c => c with { From = From("heights", new SourceRef("heights", "x", null, null)) }), "Characteristic flat source heights: heights.z > heights.x"),
            ["Characteristic.Reference"] = (r => Check(r, c => c with { Reference = "minimum-zone" }), "Characteristic flat reference: least-squares > minimum-zone"),
            ["Characteristic.Limit"] = (r => Check(r, c => c with { Limit = "least-pad" }), "Characteristic flat limit: bed-flatness > least-pad"),
            ["LimitSet.Class"] = (r => r with { Limits = [.. r.Limits, new LimitSet("C", r.Limits[0].Requirements.Remove("edge").Remove("least-pad"))] },
                "Limit class C bed-flatness all: null > upper limit: 0.050 mm; decision rule: guarded acceptance, limit less U; origin: company standard; edition: C"),
            ["LimitSet.Requirements"] = (r => r with { Limits = [r.Limits[0] with { Requirements = r.Limits[0].Requirements.Remove("least-pad") }] },
                "Limit class B least-pad all: lower limit: 16.0 mm; decision rule: guarded acceptance, limit less U; origin: company standard; edition: C > null"),
            ["Requirement.Upper"] = (_ => With("bed-flatness", q => q with { Upper = new Amount(0.040m, "mm") }), "Limit class B bed-flatness upper limit: 0.050 mm > 0.040 mm, Tighter"),
            ["Requirement.Lower"] = (_ => With("least-pad", q => q with { Lower = new Amount(15.5m, "mm") }), "Limit class B least-pad lower limit: 16.0 mm > 15.5 mm, Looser"),
            ["Requirement.Table"] = (_ => With("edge", q => q with { Table = "other" }), "Limit class B edge table: edge-table > other"),
            ["Requirement.Over"] = (_ => With("edge", q => q with { Over = "length" }), "Limit class B edge table entered with: thickness > length"),
            ["Requirement.Rule"] = (_ => With("bed-flatness", q => q with { Rule = DecisionRule.OneSided95 }),
                "Limit class B bed-flatness decision rule: guarded acceptance, limit less U > guarded acceptance, 95 % one-sided, limit less 1.6449 u, Looser"),
            ["Requirement.Origin"] = (_ => With("bed-flatness", q => q with { Origin = "contract annex 2" }), "Limit class B bed-flatness origin: company standard > contract annex 2"),
            ["Requirement.Edition"] = (_ => With("bed-flatness", q => q with { Edition = "D" }), "Limit class B bed-flatness edition: C > D"),
            ["Requirement.ApprovedBy"] = (_ => With("edge", q => q with { ApprovedBy = null }), "Limit class B edge approved by: maren.ostley > none"),
            ["LimitTable.Id"] = (r => r with { Tables = [] }, "LimitTable edge-table all: origin: table of the works; unit: mm; unit of the figure: mm; row from 0 to 10: 0.1 + 0.02 × figure > null"),
            ["LimitTable.Unit"] = (r => Table(r, t => t with { Unit = "µm" }), "LimitTable edge-table unit: mm > µm"),
            ["LimitTable.OverUnit"] = (r => Table(r, t => t with { OverUnit = "m" }), "LimitTable edge-table unit of the figure: mm > m"),
            ["LimitTable.Origin"] = (r => Table(r, t => t with { Origin = "another" }), "LimitTable edge-table origin: table of the works > another"),
            ["LimitTable.Rows"] = (r => Table(r, t => t with { Rows = [t.Rows[0], new LimitTableRow(10, 20, 0.2m, 0)] }), "LimitTable edge-table row from 10 to 20: none > 0.2 + 0 × figure"),
            ["LimitTableRow.From"] = (r => Row(r, x => x with { From = 1 }), "LimitTable edge-table row from 1 to 10: none > 0.1 + 0.02 × figure"),
            ["LimitTableRow.To"] = (r => Row(r, x => x with { To = 12 }), "LimitTable edge-table row from 0 to 10: 0.1 + 0.02 × figure > none"),
            ["LimitTableRow.Constant"] = (r => Row(r, x => x with { Constant = 0.2m }), "LimitTable edge-table row from 0 to 10: 0.1 + 0.02 × figure > 0.2 + 0.02 × figure, Looser"),
            ["LimitTableRow.Slope"] = (r => Row(r, x => x with { Slope = 0.01m }), "LimitTable edge-table row from 0 to 10: 0.1 + 0.02 × figure > 0.1 + 0.01 × figure, Tighter"),
            ["InvalidationRule.Change"] = (r => r with { Invalidation = [] }, "InvalidationRule re-mill all: title: Milled again; surveys to be repeated: heights > null"),
            ["InvalidationRule.Title"] = (r => r with { Invalidation = [r.Invalidation[0] with { Title = "Re-milled" }] }, "InvalidationRule re-mill title: Milled again > Re-milled"),
            ["InvalidationRule.Surveys"] = (r => r with { Invalidation = [r.Invalidation[0] with { Surveys = [] }] }, "InvalidationRule re-mill surveys to be repeated: heights > none"),
        }.ToImmutableSortedDictionary(StringComparer.Ordinal);

    private static ChecklistRevision Figure(ChecklistRevision r, Func<CorrectionFigure, CorrectionFigure> change) => r with { Corrections = [change(r.Corrections[0])] };

    private const string Chiller = "KitPart chiller all: name: Chiller; step: 100; needed by class B: 1; days to delivery: 21 to 42, likely 30; origin: common practice, no source > null";

    private static ImmutableSortedDictionary<string, HoursRange> Range(decimal low, decimal high) => ImmutableSortedDictionary<string, HoursRange>.Empty.Add("B", new HoursRange(low, high));

    private static ChecklistRevision Part(ChecklistRevision r, Func<KitPart, KitPart> change) => r with { Kit = r.Kit! with { Parts = [change(r.Kit.Parts[0])] } };

    private static ChecklistRevision Centre(ChecklistRevision r, Func<WorkCentre, WorkCentre> change) => r with { WorkCentres = r.WorkCentres.SetItem(0, change(r.WorkCentres[0])) };

    private static ChecklistRevision Component(ChecklistRevision r, Func<ComponentPlan, ComponentPlan> change) => r with { Components = [change(r.Components[0])] };

    private static ChecklistRevision Step(ChecklistRevision r, Func<RouteStep, RouteStep> change) => r with { Steps = r.Steps.SetItem(1, change(r.Steps[1])) };

    private static ChecklistRevision Model(ChecklistRevision r, Func<MachineModel, MachineModel> change) => r with { Models = r.Models.SetItem(0, change(r.Models[0])) };

    private static ChecklistRevision Survey(ChecklistRevision r, Func<Survey, Survey> change) => r with { Surveys = r.Surveys.SetItem(0, change(r.Surveys[0])) };

    private static ChecklistRevision Column(ChecklistRevision r, Func<Column, Column> change) => Survey(r, s => s with { Columns = s.Columns.SetItem(0, change(s.Columns[0])) });

    private static ChecklistRevision Check(ChecklistRevision r, Func<Characteristic, Characteristic> change) =>
        r with { Characteristics = r.Characteristics.SetItem(0, change(r.Characteristics[0])) };

    private static ChecklistRevision Table(ChecklistRevision r, Func<LimitTable, LimitTable> change) => r with { Tables = [change(r.Tables[0])] };

    private static ChecklistRevision Row(ChecklistRevision r, Func<LimitTableRow, LimitTableRow> change) => Table(r, t => t with { Rows = [change(t.Rows[0])] });
}
