using BuildTrack.Records.Checklists;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

/// <summary>Each case breaks one place of a set without fault; the fault must stand at the marker and say what was found and expected.</summary>
public class ChecklistFaultTests
{
    /// <summary>Results that are set beside each other are there, of one calculation, in the order of their steps, and once.</summary>
    [Theory]
    [InlineData("[flat, flat-again]", null, null)]
    [InlineData("[flat, round]", "unknown characteristic 'round'", "flat, least, moved, flat-again")]
    [InlineData("[flat, moved]", "change after flatness least-squares", "one calculation with one reference in all results")]
    [InlineData("[flat-again, flat]", "line 100-01 after line 120-02", "results in the order of their steps")]
    [InlineData("[flat, flat-again, flat]", "'flat' a second time", "each name once")]
    [InlineData("[flat, flat-again]}, {id: twice, title: Twice, results: [flat, least]", "result 'flat' a second time (first in series flatness)", "each result in one series")]
    [InlineData("[flat]", "series flatness with 1 results", "at least two results")]
    [InlineData("[flat, flat-again], unit: mm", "unknown key 'unit'", "id, title, results")]
    public void A_series_is_of_one_kind_and_in_order(string results, string? found, string? expected)
    {
        var files = ChecklistFiles.Small
            .SetItem("characteristics/c.yaml", ChecklistFiles.Small["characteristics/c.yaml"].TrimEnd() + "\n  - {id: flat-again, line: 120-02, hold: H1, title: Again, evaluator: flatness, from: {heights: heights.z}, reference: least-squares, limit: flat}\n")
            .SetItem("series.yaml", $"series: [{{id: flatness, title: Flatness, results: {results}}}]\n");
        var faults = ChecklistFiles.Load(files).Faults;
        if (found is null)
        {
            Assert.Empty(faults);
            return;
        }

        var fault = Assert.Single(faults, f => f.Found.Contains(found, StringComparison.Ordinal));
        Assert.Equal("series.yaml", fault.File);
        Assert.Contains(expected!, fault.Expected, StringComparison.Ordinal);
    }

    [Fact]
    public void The_small_set_has_no_fault() => Assert.Empty(ChecklistFiles.Load(ChecklistFiles.Small).Faults);

    /// <summary>Heights of both rails are compared as their cross-level: a limit in mm would be read as a slope.</summary>
    [Theory]
    [InlineData("30 µm/m", null)]
    [InlineData("0.030 mm", "limit in mm for characteristic least, which is calculated in µm/m")]
    public void The_limit_of_a_range_across_both_rails_is_a_slope(string upper, string? fault)
    {
        var files = ChecklistFiles.Small
            .SetItem("characteristics/c.yaml", ChecklistFiles.Small["characteristics/c.yaml"].Replace("evaluator: least-value, from: {values: pads.t}", "evaluator: range, from: {values: heights.z}", StringComparison.Ordinal))
            .SetItem("limits/class-a.yaml", ChecklistFiles.Small["limits/class-a.yaml"].Replace("least: {lower: 16.0 mm", $"least: {{upper: {upper}", StringComparison.Ordinal));
        Assert.Equal(fault is null ? [] : [fault], ChecklistFiles.Load(files).Faults.Select(f => f.Found));
    }

    /// <summary>A step is worth its slope times its length; a rise in µm would be taken for a slope.</summary>
    [Theory]
    [InlineData("slope, unit: µm/m", null)]
    [InlineData("height, unit: µm", "steps of survey heights that are read as height")]
    public void Steps_along_a_line_are_slopes(string quantity, string? fault)
    {
        var files = ChecklistFiles.Small
            .SetItem("surveys/s.yaml", ChecklistFiles.Small["surveys/s.yaml"].Replace(
                "layout: seats, columns: [{id: z, title: Z, quantity: height, unit: mm}]", $"layout: seats, places: steps, base-length: 250, columns: [{{id: z, title: Z, quantity: {quantity}}}]", StringComparison.Ordinal))
            .SetItem("characteristics/c.yaml", ChecklistFiles.Small["characteristics/c.yaml"].Replace("evaluator: flatness, from: {heights: heights.z}", "evaluator: straightness, from: {line: heights.z}", StringComparison.Ordinal));
        Assert.Contains("places: steps", files["surveys/s.yaml"], StringComparison.Ordinal);
        Assert.Equal(fault is null ? [] : [fault], ChecklistFiles.Load(files).Faults.Where(f => f.Found.Contains("steps", StringComparison.Ordinal)).Select(f => f.Found));
    }

    [Fact]
    public void A_hold_point_cannot_wait_for_a_list_that_has_no_components()
    {
        var carrying = ChecklistFiles.Small1("route.yaml", "{id: H1, name: Bed}", "{id: H1, name: Bed, as-built: complete}");
        Assert.Empty(ChecklistFiles.Load(carrying).Faults);
        var fault = Assert.Single(ChecklistFiles.Load(carrying.Remove("components.yaml")).Faults);
        Assert.Equal("hold point H1, which waits for an as-built list without components", fault.Found);
        Assert.Equal("components in components.yaml, or no as-built", fault.Expected);
    }

    [Theory]
    [InlineData("generate: times, from: 30, pitch: 1, window: 60", "flatness, from: {heights: heights.z}, reference: least-squares", "survey heights, a log over time", "places on the machine for flatness")]
    [InlineData("generate: rail-seats, pitch: 250", "power-drift, from: {power: heights.z}", "survey heights, which is no log over time", "a survey on a layout with generate: times for power-drift")]
    [InlineData("generate: rail-seats, pitch: 250, from: 30", "flatness, from: {heights: heights.z}, reference: least-squares", "from beside other stations", "from only with generate: times")]
    [InlineData("generate: rail-seats, pitch: 250, radius: 300", "flatness, from: {heights: heights.z}, reference: least-squares", "radius beside other stations", "radius only with generate: circle")]
    [InlineData("generate: bridges, pitch: 250, axis: Y", "flatness, from: {heights: heights.z}, reference: least-squares", "axis beside other stations", "axis only with generate: targets")]
    [InlineData("generate: circle, pitch: 5, radius: 300", "flatness, from: {heights: heights.z}, reference: least-squares", "survey heights, on a circular path", "places on the machine for flatness")]
    [InlineData("generate: rail-seats, pitch: 250", "circular, from: {clockwise: heights.z, counter: heights.z}, reference: circular-G", "survey heights, which is on no circular path", "a survey on a layout with generate: circle for circular")]
    [InlineData("generate: circle, pitch: 7, radius: 300", "flatness, from: {heights: heights.z}, reference: least-squares", "7 degrees", "an angle that goes into a whole turn without a rest")]
    [InlineData("generate: circle, pitch: 5", "flatness, from: {heights: heights.z}, reference: least-squares", "layout without radius", "the radius in mm")]
    [InlineData("generate: targets, axis: Y, pitch: 200", "flatness, from: {heights: heights.z}, reference: least-squares", "without travel-across", "its cutting travel along Y in mm")]
    [InlineData("generate: times, pitch: 1, window: 60", "power-drift, from: {power: heights.z}", "layout without from", "the minute after switching on")]
    [InlineData("generate: times, from: 30, pitch: 1, window: 100000", "power-drift, from: {power: heights.z}", "'100000'", "the length of the log in min")]
    public void Minutes_and_angles_are_no_places_and_places_are_neither(string layout, string evaluator, string found, string expected)
    {
        var files = ChecklistFiles.Small1("layouts/l.yaml", "generate: rail-seats, pitch: 250", layout)
            .SetItem("characteristics/c.yaml", ChecklistFiles.Small["characteristics/c.yaml"].Replace("flatness, from: {heights: heights.z}, reference: least-squares", evaluator, StringComparison.Ordinal));
        Assert.Contains(ChecklistFiles.Load(files).Faults, f => f.Found.Contains(found, StringComparison.Ordinal) && f.Expected.Contains(expected, StringComparison.Ordinal));
    }

    /// <summary>A flow in per cent of a power, or of a length, is a number that means nothing.</summary>
    [Theory]
    [InlineData("coolant-flow, from: {flow: heights.z, rated: {figure: power}}", "figure 'power'", "coolant-source, coolant-head as rated of coolant-flow")]
    [InlineData("power-at-workpiece, from: {power: heights.z, rated: {figure: gauge}}", "figure 'gauge'", "power as rated of power-at-workpiece")]
    [InlineData("power-at-workpiece, from: {power: heights.z, rated: {figure: watts}}", "unknown figure 'watts'", "coolant-head")]
    public void A_value_is_compared_with_a_figure_of_its_own_kind(string evaluator, string found, string expected)
    {
        var files = ChecklistFiles.Small1("characteristics/c.yaml", "flatness, from: {heights: heights.z}, reference: least-squares", evaluator);
        Assert.Contains(ChecklistFiles.Load(files).Faults, f => f.Found == found && f.Expected.Contains(expected, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("32 W")]
    [InlineData("0 l/min")]
    public void A_coolant_flow_of_a_model_is_a_flow(string flow)
    {
        var files = ChecklistFiles.Small1("models/m.yaml", "class: A", $"coolant-head: {flow}, class: A");
        Assert.Contains(ChecklistFiles.Load(files).Faults, f => f.Found == $"'{flow}'" && f.Expected == "a flow above 0 in l/min, as in 32 l/min");
    }

    [Theory]
    [InlineData("150 W")]
    [InlineData("0 µm")]
    [InlineData("-150 µm")]
    public void A_focus_diameter_of_a_model_is_a_diameter(string diameter)
    {
        var files = ChecklistFiles.Small1("models/m.yaml", "class: A", $"focus-diameter: {diameter}, class: A");
        Assert.Contains(ChecklistFiles.Load(files).Faults, f => f.Found == $"'{diameter}'" && f.Expected == "a diameter above 0 in µm, as in 150 µm");
    }

    /// <summary>A run over too few planes would be finished and give no result.</summary>
    [Fact]
    public void A_caustic_has_ten_planes()
    {
        var files = ChecklistFiles.Small1("characteristics/c.yaml", "flatness, from: {heights: heights.z}, reference: least-squares", "focus-symmetry, from: {along-x: pads.t, along-y: pads.t}");
        Assert.Contains(ChecklistFiles.Load(files).Faults, f => f.Found.StartsWith("survey pads with ", StringComparison.Ordinal) && f.Expected == "at least 10 stations at different x for focus-symmetry");
    }

    [Theory]
    // Names
    [InlineData("surveys/s.yaml", "heights, step: 100, title: Heights, layout: seats", "heights, step: 100, title: Heights, layout: seat", "seat, columns", "unknown layout 'seat'", "seats, square")]
    [InlineData("surveys/s.yaml", "step: 100, title: Heights", "step: 110, title: Heights", "110", "unknown step '110'", "100, 120, 130, 140")]
    [InlineData("characteristics/c.yaml", "heights: heights.z", "heights: hights.z", "hights.z", "unknown survey 'hights'", "heights, pads, log, late")]
    [InlineData("characteristics/c.yaml", "heights: heights.z", "heights: heights.y", "heights.y", "unknown column 'y' of survey heights", "z")]
    [InlineData("characteristics/c.yaml", "evaluator: flatness", "evaluator: flatnes", "flatnes,", "unknown evaluator 'flatnes'", "flatness, focus-diameter, focus-symmetry, gas-supply, kerf, leak-test, least-value")]
    [InlineData("characteristics/c.yaml", "reference: least-squares", "reference: end-point", "end-point", "reference 'end-point', which flatness does not know", "least-squares, minimum-zone")]
    [InlineData("characteristics/c.yaml", "reference: least-squares, ", "", "{id: flat", "flatness without reference", "least-squares, minimum-zone")]
    [InlineData("characteristics/c.yaml", "{values: pads.t}", "{values: pads.t}, reference: minimum-zone", "minimum-zone", "reference 'minimum-zone'", "no reference")]
    [InlineData("characteristics/c.yaml", "{heights: heights.z}", "{values: heights.z}", "{values: heights.z}", "flatness without the source heights", "heights")]
    [InlineData("characteristics/c.yaml", "{heights: heights.z}", "{heights: heights.z, mass: heights.z}", "mass", "source 'mass', which flatness does not know", "heights")]
    [InlineData("characteristics/c.yaml", "heights: heights.z", "heights: pads.t", "pads.t", "column t of quantity thickness", "quantity height")]
    [InlineData("characteristics/c.yaml", "values: pads.t", "values: {result: flat}", "{result: flat}}, limit: least", "a result as values", "survey.column")]
    [InlineData("characteristics/c.yaml", "values: pads.t", "values: {figure: gauge}", "{figure: gauge}}, limit: least", "a figure as values", "survey.column")]
    [InlineData("characteristics/c.yaml", "values: pads.t", "values: log.ok", "log.ok", "survey log, which is not read at stations", "places: at")]
    [InlineData("characteristics/c.yaml", "result: flat", "result: fat", "{result: fat", "unknown characteristic 'fat'", "flat, least, moved")]
    [InlineData("characteristics/c.yaml", "line: 100-01, hold: H1", "line: 100-01, hold: H9", "H9", "unknown hold point 'H9'", "H1, H2")]
    [InlineData("characteristics/c.yaml", "limit: least}", "limit: leest}", "leest", "limit 'leest', which no class has", "at least one")]
    [InlineData("limits/class-a.yaml", "flat: {upper: 0.030 mm, rule: guarded, origin: company standard, edition: C}", "flat: {upper: 0.030 mm, rule: guarded, origin: company standard, edition: C}\n  flet: {upper: 1 mm, rule: guarded, origin: company standard, edition: C}", "{upper: 1 mm", "limit 'flet' of class A, which no characteristic names", "flat, least, moved")]
    [InlineData("limits/class-a.yaml", "table: u2", "table: u3", "u3", "unknown table 'u3'", "u2")]
    [InlineData("limits/class-a.yaml", "over: gauge", "over: width", "width", "'width', which characteristic moved does not have", "gauge")]
    [InlineData("route.yaml", "work-centre: bench, holds: [{id: H1", "work-centre: bank, holds: [{id: H1", "bank", "unknown work centre 'bank'", "bench")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, photos: [{id: clamps, text: Clamps}, {id: clamps, text: Clamps again}], ", "clamps, text: Clamps again", "photo 'clamps' twice at one step", "a name of its own")]
    [InlineData("route.yaml", "title: Bed, holds: [H1]", "title: Bed, holds: [H1, H7]", "H7", "unknown hold point 'H7'", "H1, H2")]
    [InlineData("route.yaml", "title: Bed, holds: [H1]", "title: Bed, holds: [H1, H2]", "H2]", "hold point H2, which has no characteristic", "H1")]
    [InlineData("route.yaml", "title: Bed, holds: [H1]", "title: Bed, holds: []", "[]", "scope bed without hold points", "at least one")]
    [InlineData("invalidation.yaml", "surveys: [heights, pads]", "surveys: [heights, pad]", "pad]", "unknown survey 'pad'", "heights, pads, log, late")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, qualified: painter, ", "painter,", "unknown list of qualified people 'painter'", "welder")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, qualified: painter}", "painter}", "unknown list of qualified people 'painter'", "welder")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, cautions: [fire], ", "fire], ", "'fire'", "cautions: of the file beside the steps")]
    [InlineData("route.yaml", "\nsteps:", "\ncautions:\n  - {id: fire, title: Fire, text: Burns}\n  - {id: fire, title: Flame, text: Burns}\nsteps:", "fire, title: Flame", "caution 'fire' twice", "each caution once")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, notice: 3}", "3}", "a notice without a witness", "witness: present, statement or hold")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, customer: guest}", "guest", "'guest'", "review")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, witness: present, notice: 3, customer: review}", "review}", "a review beside a witness", "customer: review, or witness")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, witness: guest}", "guest", "'guest'", "present, statement, hold")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, witness: hold, notice: 0}", "0}", "0", "1")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, witness: present}", "{id: H2", "hold point without notice", "from 1 to 60")]
    [InlineData("route.yaml", "{id: H2, name: Empty}", "{id: H2, name: Empty, witness: present, notice: 99}", "99}", "'99'", "from 1 to 60")]
    [InlineData("surveys/s.yaml", "id: late, ", "id: late, qualified: painter, ", "painter,", "unknown list of qualified people 'painter'", "welder")]
    [InlineData("qualifications.yaml", "why: Welds, ", "", "{id: welder", "a list of qualified people without why", "a text")]
    [InlineData("qualifications.yaml", "origin: test}", "origin: test}, {id: welder, name: Twice, why: Welds, origin: test}", "welder, name: Twice", "a second list of qualified people 'welder' (first in qualifications.yaml line 1)", "once")]
    [InlineData("route.yaml", "edition: A", "edition: A\nown-measurements: perhaps", "perhaps", "'perhaps'", "refused, allowed")]
    [InlineData("kit.yaml", "purchase: 100", "purchase: 110", "110", "unknown step '110'", "100, 120, 130, 140")]
    [InlineData("kit.yaml", "step: 130", "step: 131", "131", "unknown step '131'", "100, 120, 130, 140")]
    [InlineData("kit.yaml", "lead-days: [21, 32, 42]", "lead-days: [21, 42, 32]", "[21, 42, 32]", "'21, 42, 32'", "three numbers of days that do not fall")]
    [InlineData("kit.yaml", "count: {A: 1}", "count: {A: 0}", "0}", "'0'", "a whole number from 1 to 99")]
    [InlineData("work-centres.yaml", "name: Bench}", "name: Bench, shifts: ['mon-fri 14:00-06:00'], capacity: 1, origin: test}", "'mon-fri 14", "'mon-fri 14:00-06:00'", "one over midnight is written as two")]
    [InlineData("work-centres.yaml", "name: Bench}", "name: Bench, shifts: ['mon-fri 06:00-14:00', 'fri 13:00-15:00'], capacity: 1, origin: test}", "'fri 13", "shift fri 13:00-15:00 within shift mon-fri 06:00-14:00", "do not overlap")]
    [InlineData("work-centres.yaml", "name: Bench}", "name: Bench, shifts: ['mon-fri 06:00-14:00'], origin: test}", "{id: bench", "a work centre without capacity", "from 1 to 999")]
    [InlineData("work-centres.yaml", "name: Bench}", "name: Bench, shifts: [], capacity: 1, origin: test}", "[]", "no shift", "at least one shift")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, hours: {A: 3}, range: {A: 4-6}, ", "{A: 4-6}", "4-6 for class A, whose hours are 3", "around the planned hours")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, range: {A: 4-6}, ", "{A: 4-6}", "a range for class A without hours", "hours for every class")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, hours: {A: 5}, range: {A: 6-4}, ", "6-4}", "'6-4'", "least and most hours")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, wait: [8, 14], wait-for: cooling, ", "[8, 14]", "'8, 14'", "three numbers of hours that do not fall")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, wait-for: cooling, ", "cooling,", "what is waited for, without a time", "beside it")]
    [InlineData("components.yaml", "step: 100", "step: 110", "110", "unknown step '110'", "100, 120, 130, 140")]
    [InlineData("components.yaml", "after-swap: oven", "after-swap: paint", "paint", "unknown change 'paint'", "oven")]
    [InlineData("components.yaml", "places: {A: 2}", "places: {F: 2}", "F: 2", "class 'F'", "A, B, C, D or E")]
    [InlineData("components.yaml", "places: {A: 2}", "places: {A: 0}", "0}", "'0'", "a whole number from 1 to 99")]
    [InlineData("components.yaml", "needs: [certificate]", "needs: [colour]", "colour]", "'colour'", "firmware, certificate")]
    [InlineData("invalidation.yaml", "surveys: [heights, pads]", "surveys: []", "[]}", "change oven without surveys", "at least one")]
    [InlineData("characteristics/c.yaml", "values: pads.t", "values: late.s", "late.s", "survey late of step 120 for H1 of step 100", "the same or an earlier step")]
    [InlineData("characteristics/c.yaml", "result: flat", "result: moved", "{before", "characteristic moved, which rests on its own result", "do not lead back")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, after: [90], ", "90]", "unknown step '90'", "100, 120, 130, 140")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, after: [120], ", "120]", "step 120 before step 120", "below 120")]
    [InlineData("route.yaml", "name: Verify, ", "name: Verify, after: [120], ", "120]", "step 120 before step 100", "below 100")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, after: [100, 100], ", "100], work", "step 100 twice", "each step once")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, after: 100, ", "100, work", "'100'", "a list of numbers of steps")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: [130, 145]", "145]", "unknown step '145'", "100, 120, 130, 140")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: [130, end]", "end]", "'end'", "the number of a step")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: 130", "130, returns", "'130'", "a list of numbers of steps")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: [[130]]", "[130]], returns", "a list", "a list of numbers of steps")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: [130, 130]", "130], returns", "step 130 twice", "each step once")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: []", "[], returns", "rework trigger loose that is found at no step", "at least one step")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: [100, 140]", "100, 140]", "step 100, which does not come after step 120 on the route", "a step that comes after 120")]
    [InlineData("route.yaml", "found-at: [130, 140]", "found-at: [120, 140]", "120, 140]", "step 120, which does not come after step 120 on the route", "a step that comes after 120")]
    [InlineData("route.yaml", "found-at: [140], returns-to: 130", "found-at: [140], returns-to: 140", "140], returns-to: 140", "step 140, which does not come after step 140 on the route", "a step that comes after 140")]
    [InlineData("route.yaml", "returns-to: 120", "returns-to: 110", "110, origin", "unknown step '110'", "100, 120, 130, 140")]
    [InlineData("route.yaml", "returns-to: 120, ", "", "{id: loose", "a rework trigger without returns-to", "a whole number")]
    [InlineData("route.yaml", "returns-to: 120, origin: company standard", "returns-to: 120", "{id: loose", "a rework trigger without origin", "a text")]
    [InlineData("route.yaml", "id: dull", "id: loose", "loose, title: Paint", "a second rework trigger 'loose' (first in route.yaml line 8)", "each rework trigger once")]
    [InlineData("route.yaml", "title: Paint dull, ", "title: Paint dull, cost: 3, ", "cost", "unknown key 'cost' in a rework trigger", "found-at")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, hours: {F: 2}, ", "F: 2", "class 'F'", "A, B, C, D or E")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, hours: {A: 0}, ", "0}, work", "'0'", "hours of work above 0")]
    [InlineData("route.yaml", "name: Later, ", "name: Later, hours: {A: NaN}, ", "NaN", "'NaN'", "hours of work above 0")]
    [InlineData("characteristics/c.yaml", "evaluator: least-value, from: {values: pads.t}", "evaluator: yes-no-list, from: {a: log.p}", "log.p", "column p, which is not answered yes or no", "choices: [yes, no]")]
    [InlineData("characteristics/c.yaml", "evaluator: least-value, from: {values: pads.t}", "evaluator: yes-no-list, from: {a: {figure: gauge}}", "{figure: gauge}}, limit: least", "a figure as question", "survey.column")]
    // Twice
    [InlineData("route.yaml", "number: 120", "number: 100", "100, name: Later", "a second step '100' (first in route.yaml line 3)", "each step once")]
    [InlineData("route.yaml", "id: H2", "id: H1", "H1, name: Empty", "a second hold point 'H1'", "each hold point once")]
    [InlineData("surveys/s.yaml", "id: pads", "id: heights", "heights, step: 100, title: Pads", "a second survey 'heights' (first in surveys/s.yaml line 2)", "each survey once")]
    [InlineData("characteristics/c.yaml", "id: least,", "id: flat,", "flat, line: 100-02", "a second characteristic 'flat'", "each characteristic once")]
    [InlineData("characteristics/c.yaml", "line: 100-02", "line: 100-01", "100-01, hold: H1, title: Least", "a second line '100-01' (first in characteristics/c.yaml line 2)", "each line once")]
    [InlineData("layouts/l.yaml", "id: P2", "id: P1", "P1, x: 1", "a second station 'P1' (first in line 3)", "each station once")]
    // A characteristic refers to the column that is there twice.
    [InlineData("surveys/s.yaml", "columns: [{id: t, title: T,", "columns: [{id: t, title: First, quantity: thickness, unit: mm}, {id: t, title: T,", "t, title: T,", "a second column 't'", "each column once")]
    [InlineData("surveys/s.yaml", "{id: p, title: P", "{id: ok, title: P", "ok, title: P", "a second column 'ok'", "each column once")]
    [InlineData("invalidation.yaml", "surveys: [heights, pads]", "surveys: [heights, heights]", "heights]", "'heights' a second time", "each name once")]
    [InlineData("route.yaml", "edition: A", "edition: A\nedition: B", "edition: B", "key 'edition' a second time (first in line 1)", "each key once")]
    // Values
    [InlineData("models/m.yaml", "class: A", "class: F", "F, name", "'F'", "A, B, C, D, E")]
    [InlineData("models/m.yaml", "seat-length: 1750", "seat-length: 0", "0, gauge", "'0'", "seat-length in mm")]
    [InlineData("models/m.yaml", "gauge: 1450", "gauge: -3", "-3", "'-3'", "gauge in mm")]
    [InlineData("models/m.yaml", "bed-depth: 450", "bed-depth: 450,5", "5, gradient", "unknown key '5' in a model", "bed-depth")]
    [InlineData("models/m.yaml", "gradient: 1.4 K", "gradient: 1.4 °C", "1.4 °C", "'1.4 °C'", "in K")]
    [InlineData("models/m.yaml", "gradient: 1.4 K", "gradient: 1.4 K, feet: [250, 200]", "200]", "'200'", "each farther than the one before")]
    [InlineData("models/m.yaml", "gradient: 1.4 K", "gradient: 1.4 K, feet: [250, 1750.5]", "1750.5]", "'1750.5'", "along the rail seat in mm")]
    [InlineData("models/m.yaml", "gradient: 1.4 K", "gradient: 1.4 K, feet: [250]", "[250]", "1 places", "2 to 32 places")]
    [InlineData("models/m.yaml", "gradient: 1.4 K", "gradient: 1.4 K, foot-pitch: 2 K", "2 K", "'2 K'", "the rise by one turn")]
    [InlineData("models/m.yaml", "gradient: 1.4 K", "gradient: 1.4 F", "1.4 F", "'1.4 F'", "a known unit after the number")]
    [InlineData("models/m.yaml", ", gauge: 1450", "", "{id: M-1", "a model without gauge", "gauge in mm")]
    [InlineData("models/m.yaml", "id: M-1", "id: M 1", "M 1", "'M 1'", "letters, digits, hyphens")]
    [InlineData("layouts/l.yaml", "pitch: 250", "pitch: 0.001", "0.001", "'0.001'", "from 10 to 10000")]
    [InlineData("layouts/l.yaml", "pitch: 250", "pitch: 250, stations: []", "[]", "stations beside generate", "either")]
    [InlineData("layouts/l.yaml", "generate: rail-seats", "generate: spiral", "spiral", "'spiral'", "rail-seats")]
    [InlineData("layouts/l.yaml", "id: square, ", "id: square, pitch: 10, ", "10, stations", "pitch in a list of stations", "together with generate")]
    [InlineData("layouts/l.yaml", "id: P4, x: 1", "id: P4, x: one", "one", "'one'", "x in mm")]
    [InlineData("layouts/l.yaml", "id: P4", "id: whole", "whole", "'whole'", "other than 'whole'")]
    [InlineData("surveys/s.yaml", "unit: µm/m", "unit: µm/ft", "µm/ft", "'µm/ft'", "a known unit")]
    [InlineData("surveys/s.yaml", "passes: 2", "passes: 0", "0}", "'0'", "a whole number from 1 to 100")]
    [InlineData("surveys/s.yaml", "passes: 2", "passes: 2, directions: three", "three", "'three'", "one, both")]
    [InlineData("surveys/s.yaml", "passes: 2", "passes: 2, gradient: yes", "yes}", "'yes'", "required")]
    [InlineData("surveys/s.yaml", "passes: 2", "passes: 2, for-each: [R 1]", "R 1", "'R 1'", "letters, digits, hyphens")]
    [InlineData("surveys/s.yaml", "instruments: [height]", "instruments: [slope]", "slope]}", "instrument for 'slope', which no column measures", "height")]
    [InlineData("surveys/s.yaml", "layout: square, ", "", "{id: pads", "a survey at stations without layout", "a layout, or places: whole")]
    [InlineData("surveys/s.yaml", "places: whole", "places: whole, layout: seats", "seats, columns: [{id: ok", "a layout for a survey of the whole", "no layout")]
    [InlineData("surveys/s.yaml", "places: between", "places: among", "among", "'among'", "at, between, steps, whole")]
    [InlineData("surveys/s.yaml", "base-length: 250", "base-length: 0", "0}", "'0'", "the base in mm")]
    [InlineData("surveys/s.yaml", "choices: [yes, no]", "choices: [yes]", "[yes]", "1 choices", "at least two")]
    [InlineData("surveys/s.yaml", "kind: file", "kind: picture", "picture", "'picture'", "number, choice, text, file, table")]
    [InlineData("surveys/s.yaml", "kind: file", "kind: file, unit: m", "m}]}", "unit in a column without numbers", "kind: number or table")]
    [InlineData("surveys/s.yaml", "kind: file", "kind: file, choices: [a, b]", "[a, b]", "choices in a column that has none", "kind: choice")]
    [InlineData("surveys/s.yaml", "quantity: thickness, ", "", "{id: t,", "a column without quantity", "a name")]
    [InlineData("characteristics/c.yaml", "line: 100-02", "line: A-2", "A-2", "'A-2'", "100-01")]
    [InlineData("characteristics/c.yaml", "from: {values: pads.t}", "from: pads.t", "pads.t", "'pads.t'", "sources by name")]
    [InlineData("characteristics/c.yaml", "values: pads.t", "values: pads", "pads}", "'pads'", "survey.column")]
    [InlineData("characteristics/c.yaml", "values: pads.t", "values: [pads.t]", "[pads.t]", "a list", "survey.column")]
    [InlineData("characteristics/c.yaml", "gauge: {figure: gauge}", "gauge: {}", "{}", "a source without result or figure", "either")]
    [InlineData("characteristics/c.yaml", "title: Least", "title: [Least]", "[Least]", "a list", "a text as title")]
    [InlineData("characteristics/c.yaml", "title: Least", "title: ~", "~", "a characteristic without title", "a text")]
    [InlineData("limits/class-a.yaml", "upper: 0.030 mm", "upper: 0,030 mm", "030 mm", "unknown key '030 mm' in a limit", "upper, lower")]
    [InlineData("limits/class-a.yaml", "upper: 0.030 mm", "upper: 0.030mm", "0.030mm", "'0.030mm'", "a space and a unit")]
    [InlineData("limits/class-a.yaml", "upper: 0.030 mm", "upper: 0.030 inch", "0.030 inch", "'0.030 inch'", "a known unit after the number")]
    [InlineData("limits/class-a.yaml", "upper: 0.030 mm", "upper: 3 bar", "3 bar", "limit in bar for characteristic flat, which is calculated in µm", "a length")]
    [InlineData("limits/class-a.yaml", "upper: 0.030 mm", "lower: 0.030 mm", "0.030 mm", "lower limit for flatness of characteristic flat", "upper alone")]
    [InlineData("limits/class-a.yaml", "lower: 16.0 mm", "upper: 16.0 mm", "{upper: 16.0 mm", "no lower limit for least-value of characteristic least", "lower: a number")]
    [InlineData("limits/class-a.yaml", "lower: 16.0 mm", "lower: 16.0 mm, upper: 1 mm", "16.0 mm", "lower 16.0 mm and upper 1 mm", "lower below upper")]
    [InlineData("limits/class-a.yaml", "upper: 0.030 mm, ", "", "{rule: guarded", "a limit without upper, lower or table", "at least one")]
    [InlineData("limits/class-a.yaml", "over: gauge", "upper: 1 mm, over: gauge", "u2", "a table beside upper", "either")]
    [InlineData("limits/class-a.yaml", "over: gauge, ", "", "{table: u2", "a table without over", "together")]
    [InlineData("limits/class-a.yaml", "rule: simple", "rule: lenient", "lenient", "'lenient'", "simple, guarded, one-sided-95")]
    [InlineData("limits/class-a.yaml", "class: A", "class: B", "B", "class B in limits/class-a.yaml", "limits/class-b.yaml")]
    [InlineData("tables/t.yaml", "{from: 10, to: 32", "{from: 9, to: 32", "9, to", "a row from 9 that begins below the end 10", "without overlap")]
    [InlineData("tables/t.yaml", "{from: 10, to: 32", "{from: 10, to: 3", "3, constant", "a row from 10 to 3", "an end above")]
    [InlineData("tables/t.yaml", "over-unit: mm", "over-unit: cm", "cm", "'cm'", "a known unit")]
    // Keys and shape
    [InlineData("surveys/s.yaml", "passes: 2", "pases: 2", "pases", "unknown key 'pases' in a survey", "passes, directions")]
    [InlineData("route.yaml", "edition: A", "edition: A\nowner: me", "owner", "unknown key 'owner' in the file", "steps, edition, scopes")]
    [InlineData("work-centres.yaml", "[{id: bench, name: Bench}]", "[bench]", "bench", "'bench'", "a work centre with id, name")]
    [InlineData("work-centres.yaml", "[{id: bench, name: Bench}]", "bench", "bench", "'bench'", "a list of items, each a work centre")]
    [InlineData("tables/t.yaml", "rows: [{from: 0.5, to: 10, constant: 0.15, slope: 0.007}, {from: 10, to: 32, constant: 0.2, slope: 0}]", "rows: []", "[]", "a table without rows", "at least a row")]
    public void A_broken_place_is_named(string file, string old, string replacement, string marker, string found, string expected)
    {
        var files = ChecklistFiles.Small1(file, old, replacement);
        var result = ChecklistFiles.Load(files);
        Assert.Null(result.Revision);
        var (line, column) = ChecklistFiles.PlaceOf(files[file] + "\n", marker);
        Assert.Contains(result.Faults, f => (f.File, f.Line, f.Column) == (file, line, column)
            && f.Found.Contains(found, StringComparison.Ordinal) && f.Expected.Contains(expected, StringComparison.Ordinal));
    }
}
