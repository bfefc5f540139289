using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Acceptance;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Checklists;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

public class ShippedChecklistTests
{
    private static ChecklistRevision Shipped()
    {
        var result = ChecklistLoader.Load(ChecklistFiles.Shipped);
        Assert.Empty(result.Faults);
        return result.Revision!;
    }

    /// <summary>Electrical, laser, gas, lifting and pressure work carries its cautions (common practice, no source).</summary>
    [Theory]
    [InlineData("mains", new[] { 150, 200, 210, 250, 260, 270, 290, 300, 310 })]
    [InlineData("laser", new[] { 180, 220, 230, 240, 250, 260, 300, 310 })]
    [InlineData("gas", new[] { 180, 220, 230, 240, 250, 260, 290, 300 })]
    [InlineData("pressure", new[] { 180, 220, 230, 270, 290 })]
    [InlineData("lifting", new[] { 50, 60, 80, 90, 110, 130, 140, 160, 170, 185, 190, 270, 280, 290 })]
    [InlineData("axes", new[] { 170, 175, 185, 200, 210, 240, 250, 260, 290, 300, 310 })]
    public void Work_that_can_hurt_someone_carries_its_caution(string caution, int[] steps) =>
        Assert.Equal(steps, Shipped().Steps.Where(s => (s.Cautions ?? []).Any(c => c.Id == caution)).Select(s => s.Number));

    [Fact]
    public void The_shipped_checklists_have_no_fault()
    {
        var revision = Shipped();
        Assert.Equal("A", revision.Edition);
        Assert.Equal(33, revision.Steps.Length);
        Assert.Equal([10, 310], [revision.Steps[0].Number, revision.Steps[^1].Number]);
        Assert.Equal(19, revision.Holds.Length);
        Assert.Equal(["bed", "factory", "site"], revision.Scopes.Select(s => s.Id));

        // Every hold point stands in a certificate of its own side of the journey; what a follow-up visit finds comes after both and stays in the build record.
        Assert.Equal(revision.Holds.Select(h => h.Id), [.. revision.Scopes.Skip(1).SelectMany(s => s.Holds), "H15"]);
        Assert.Equal(7, revision.Models.Length);
    }

    /// <summary>The rework loops of the trade (common practice, no source): what is found where, and the step it returns to.</summary>
    [Theory]
    [InlineData("frame-distorted", 80, 50)]
    [InlineData("pads-out", 100, 90)]
    [InlineData("pad-thin", 100, 50)]
    [InlineData("coating", 120, 110)]
    [InlineData("moved-in-oven", 120, 90)]
    [InlineData("rail-not-straight", 175, 160)]
    [InlineData("rack-joint", 170, 160)]
    [InlineData("squareness", 210, 170)]
    [InlineData("interlock", 220, 190)]
    [InlineData("positioning", 250, 210)]
    [InlineData("cut-rejected", 260, 230)]
    public void A_rework_returns_to_the_step_where_it_is_put_right(string trigger, int foundAt, int returnsTo)
    {
        var shipped = Shipped();
        Assert.Equal(11, shipped.Rework.Length);
        var found = shipped.FindRework(trigger)!;
        Assert.Contains(foundAt, found.FoundAt);
        Assert.Equal((returnsTo, "company standard"), (found.ReturnsTo, found.Origin));
    }

    [Theory]
    [InlineData("OV-1212/03", 16)]
    [InlineData("OV-1530/06", 34)]
    [InlineData("OV-2661/12", 58)]
    public void A_model_has_its_stations_along_both_rail_seats(string model, int stations)
    {
        var revision = Shipped();
        var placed = revision.StationsOf(revision.Survey("bed-heights"), revision.Model(model));
        Assert.Equal(stations, placed.Length);
        Assert.Equal("R1-01", placed[0].Id);
        Assert.Equal(revision.Model(model).SeatLengthMm, placed[^1].XMm);
        Assert.Equal(revision.Model(model).GaugeMm, placed[^1].YMm);
    }

    [Theory]
    [InlineData("OV-1212/03", "0.030 mm")]
    [InlineData("OV-1530/03", "0.050 mm")]
    [InlineData("OV-2040/06", "0.050 mm")]
    [InlineData("OV-2060/12", "0.080 mm")]
    [InlineData("OV-2661/12", "0.100 mm")]
    public void Flatness_is_limited_by_the_figure_of_the_class(string model, string limit)
    {
        var revision = Shipped();
        var requirement = revision.RequirementOf("bed-flatness", revision.Model(model))!;
        Assert.Equal(limit, requirement.Upper!.ToString());
        Assert.Equal(DecisionRule.Guarded, requirement.Rule);
        Assert.Equal("company standard", requirement.Origin);
        Assert.Equal("C", requirement.Edition);
        Assert.Equal(
            ["50-01", "50-02", "50-03", "50-04", "90-01", "90-02", "100-01", "100-02", "100-03", "100-04", "100-05", "100-06", "100-07", "100-08", "100-09", "100-10", "100-11"],
            revision.CharacteristicsOf("H1", revision.Model(model)).Select(c => c.Line));
    }

    /// <summary>Limits of trade notes 3.5, 4.2, 6.1 and 6.3 to 6.5 (common practice, no source), by class A to E.</summary>
    [Theory]
    [InlineData("seat-straightness", "0.015 0.030 0.030 0.050 0.050 mm")]
    [InlineData("local-flatness", "0.010 0.015 0.015 0.020 0.020 mm")]
    [InlineData("side-datum", "0.020 0.030 0.030 0.050 0.050 mm")]
    [InlineData("bed-cross-level", "0.020 0.030 0.030 0.040 0.040 mm/m")]
    [InlineData("bed-end-twist", "0.020 0.030 0.030 0.040 0.040 mm/m")]
    [InlineData("bed-local-twist", "0.015 0.020 0.020 0.020 0.020 mm/m")]
    [InlineData("flatness-change", "0.009 0.015 0.015 0.024 0.030 mm")]
    [InlineData("rail-straightness", "0.015 0.030 0.030 0.050 0.050 mm")]
    [InlineData("rail-cross-level", "0.015 0.020 0.020 0.030 0.030 mm/m")]
    [InlineData("z-travel", "300 300 300 300 300 mm")]
    [InlineData("squareness", "0.030 0.040 0.040 0.050 0.050 mm/m")]
    [InlineData("two-methods", "1 1 1 1 1 1")]
    [InlineData("x-accuracy", "0.040 0.060 0.060 0.080 0.080 mm")]
    [InlineData("stopping-time", "0.35 0.40 0.40 0.50 0.50 s")]
    [InlineData("leak-test", "1.0 1.0 1.0 1.0 1.0 %")]
    [InlineData("bonding", "0.10 0.10 0.10 0.10 0.10 Ω")]
    [InlineData("insulation", "1 1 1 1 1 MΩ")]
    [InlineData("residual-voltage", "60 60 60 60 60 V")]
    [InlineData("coolant-margin", "2 2 2 2 2 K")]
    [InlineData("coolant-flow", "100 100 100 100 100 %")]
    [InlineData("nozzle-centre", "0.05 0.05 0.05 0.05 0.05 mm")]
    [InlineData("focus", "0.3 0.3 0.3 0.3 0.3 mm")]
    [InlineData("focus-diameter", "110 110 110 110 110 %")]
    [InlineData("focus-symmetry", "90 90 90 90 90 %")]
    [InlineData("height-sensing", "0.05 0.05 0.05 0.05 0.05 mm")]
    [InlineData("unbalance", "2 2 2 2 2 %")]
    [InlineData("extraction", "0.5 0.5 0.5 0.5 0.5 m/s")]
    [InlineData("radiation", "1.9 1.9 1.9 1.9 1.9 mW")]
    [InlineData("noise", "80 80 80 80 80 dB")]
    [InlineData("power-drift", "2 2 2 2 2 %")]
    [InlineData("cut-size", "0.15 0.15 0.15 0.15 0.15 mm")]
    [InlineData("cut-roundness", "0.15 0.15 0.15 0.15 0.15 mm")]
    [InlineData("cut-kerf", "0.1 0.1 0.1 0.1 0.1 mm")]
    [InlineData("gas-stock", "156 156 156 156 156 %")]
    [InlineData("gas-vaporiser", "200 200 200 200 200 %")]
    [InlineData("x-repeatability", "0.020 0.030 0.030 0.040 0.040 mm")]
    public void Every_class_has_its_limit(string limit, string figures)
    {
        var revision = Shipped();
        var parts = figures.Split(' ');
        Assert.Equal(
            parts[..5].Select(f => $"{f} {parts[5]}"),
            "ABCDE".Select(c => (revision.RequirementOf(limit, revision.Models.First(m => m.Class == $"{c}"))! is var r ? r.Upper ?? r.Lower : null)!.ToString()));
    }

    /// <summary>Frames of the demo models against ISO 13920, class B: the shipped deviations are those of the standard for seat length and gauge.</summary>
    [Fact]
    public void Frame_sizes_are_those_of_the_standard()
    {
        var revision = Shipped();
        foreach (var model in revision.Models)
        {
            foreach (var (limit, size) in new[] { ("frame-length", model.SeatLengthMm), ("frame-width", model.GaugeMm) })
            {
                var requirement = revision.RequirementOf(limit, model)!;
                Assert.Equal((decimal)GeneralTolerance.LengthLimitMm(LinearClass.B, size)!.Value, requirement.Upper!.Value);
                Assert.Equal(-requirement.Upper.Value, requirement.Lower!.Value);
            }
        }
    }

    /// <summary>
    /// Coolant of the source against its heat: wall-plug efficiency 35 to 38 %, 5 K of rise (common practice, no source), water at 20 °C with 998.2 kg/m³ and 4184 J/(kg·K)
    /// (handbook values of the properties of water, from memory). The figures are rounded ones, so within 6 %.
    /// </summary>
    [Fact]
    public void The_coolant_of_a_source_carries_its_heat_away()
    {
        foreach (var model in Shipped().Models)
        {
            var (least, most) = (LitresPerMinute(model.Power!.Calculated, 0.38), LitresPerMinute(model.Power.Calculated, 0.35));
            Assert.InRange(model.CoolantSource!.Calculated, least * 0.94, most * 1.06);
            Assert.InRange(model.CoolantHead!.Calculated, 1, model.CoolantSource.Calculated / 10);
        }

        static double LitresPerMinute(double watts, double efficiency) => watts * ((1 / efficiency) - 1) / (998.2 * 4184 * 5) * 60_000;
    }

    /// <summary>
    /// A focus by its beam parameter product: a fibre of 50 to 100 µm gives 2 to 3.5 mm·mrad (common practice, no source), and zR = d²/(4 · product). Half of the planes within one Rayleigh
    /// length of a waist that may lie 0.3 mm off its set-point, the others beyond two (ISO 11146-1, from memory).
    /// </summary>
    [Fact]
    public void The_planes_of_the_caustic_suit_the_focus_of_every_model()
    {
        var revision = Shipped();
        var planes = revision.Layouts.Single(l => l.Id == revision.Survey("beam-caustic").Layout).Listed;
        foreach (var model in revision.Models)
        {
            var (diameter, product) = (model.FocusDiameter!.Calculated, model.Power!.Calculated switch { 3000 => 2.0, 6000 => 3.0, _ => 3.5 });
            var rayleigh = diameter * diameter / (4000 * product);
            foreach (var waist in new[] { -0.3, 0, 0.3 })
            {
                var off = planes.Select(p => Math.Abs(p.XMm - waist) / rayleigh).ToArray();
                Assert.InRange(off.Count(o => o <= 1), 5, 7);
                Assert.InRange(off.Count(o => o > 1.9), 6, 8);
            }
        }

        foreach (var plane in planes)
        {
            var side = plane.XMm < 0 ? "above" : "below";
            Assert.Equal(plane.XMm == 0 ? "At the focus set-point" : FormattableString.Invariant($"{Math.Abs(plane.XMm):0.0} mm {side} the set-point"), plane.Title);
        }
    }

    /// <summary>What the light passes on its way to the plate, source, fibre, collimator, lens, asks for a new caustic; a nozzle or a window does not.</summary>
    [Fact]
    public void Whatever_forms_the_focus_asks_for_a_new_caustic()
    {
        var revision = Shipped();
        Assert.Equal(["beam-path", "cutting-head", "laser-source"], revision.Invalidation.Where(r => r.Surveys.Contains("beam-caustic")).Select(r => r.Change).Order(StringComparer.Ordinal));
        Assert.Equal(["cutting-head", "laser-source"], revision.Components.Where(c => c.AfterSwap is "beam-path" or "cutting-head" or "laser-source").Select(c => c.Id).Order(StringComparer.Ordinal));
    }

    /// <summary>The tables of ISO 9013 in the checklists against the formulas of the standard.</summary>
    [Theory]
    [InlineData(0.5)]
    [InlineData(3)]
    [InlineData(10)]
    [InlineData(32)]
    public void Cut_edge_tables_are_those_of_the_standard(double thickness)
    {
        var revision = Shipped();
        Assert.Equal((decimal)CutEdge.SquarenessLimitMm(2, thickness), revision.Tables.Single(t => t.Id == "iso-9013-u-2").At((decimal)thickness));
        Assert.Equal((decimal)CutEdge.RoughnessLimitUm(2, thickness), revision.Tables.Single(t => t.Id == "iso-9013-rz-2").At((decimal)thickness));
    }

    [Fact]
    public void Every_hold_point_has_a_check_for_every_model()
    {
        var revision = Shipped();
        Assert.All(revision.Models, m => Assert.All(revision.Holds, h => Assert.NotEmpty(revision.CharacteristicsOf(h.Id, m))));
    }

    [Fact]
    public void The_route_has_its_branches_and_hours()
    {
        var revision = Shipped();
        Assert.All(revision.Steps.Skip(1), s => Assert.NotEmpty(s.After));
        Assert.Equal([[20], [20], [30], [140, 160]], new[] { 130, 140, 150, 170 }.Select(n => revision.FindStep(n)!.After.ToArray()));

        // Milling hours of one bed, A to E: common practice, no source.
        Assert.Equal([5m, 9m, 14m, 20m, 28m], "ABCDE".Select(c => revision.FindStep(80)!.Hours[$"{c}"] + revision.FindStep(90)!.Hours[$"{c}"]));
        Assert.Equal(15, revision.WorkCentres.Length);
    }

    [Fact]
    public void What_a_bowed_bed_would_spoil_asks_for_bed_temperatures()
    {
        var revision = Shipped();
        string[] asked = ["bed-heights", "bed-along", "bed-across", "bed-side", "coated-heights", "coated-along", "coated-across", "coated-side"];
        Assert.Equal(asked.Order(), revision.Surveys.Where(s => s.NeedsGradient).Select(s => s.Id).Order());
        Assert.Equal("0.48 K", revision.Model("OV-1530/03").GradientAllowed!.ToString());
    }

    [Fact]
    public void Every_shipped_file_tells_at_its_head_what_it_is()
    {
        Assert.All(ChecklistFiles.Shipped, f => Assert.StartsWith("# ", f.Value, StringComparison.Ordinal));
    }

    [Fact]
    public void A_revision_written_and_read_back_is_the_same_text()
    {
        foreach (var revision in new[] { Shipped(), ChecklistFiles.Load(ChecklistFiles.ForTests).Revision!, ChecklistFiles.Load(ChecklistFiles.Small).Revision! })
        {
            var text = CanonicalJson.Of(revision);
            Assert.Equal(text, CanonicalJson.Of(CanonicalJson.Read<ChecklistRevision>(text)));
        }
    }

    [Fact]
    public void The_hash_changes_with_any_character_of_any_file()
    {
        var files = ChecklistFiles.Small;
        var hashes = new HashSet<string> { ChecklistFiles.Load(files).Revision!.Hash };
        foreach (var (path, text) in files)
        {
            // A comment's character at every line's end: no fault, no other meaning, another hash.
            var lines = text.Split('\n');
            for (var i = 0; i < lines.Length; i++)
            {
                var changed = files.SetItem(path, string.Join('\n', lines.Select((l, n) => n == i ? l + " #" : l)));
                Assert.True(hashes.Add(ChecklistFiles.Load(changed).Revision!.Hash), $"{path} line {i + 1}");
            }
        }
    }

    [Fact]
    public void The_hash_changes_when_text_moves_from_one_file_to_another()
    {
        var one = ChecklistFiles.Small.SetItem("models/m.yaml", ChecklistFiles.Small["models/m.yaml"] + "\n#x\n");
        var other = ChecklistFiles.Small.SetItem("route.yaml", "#x\n" + ChecklistFiles.Small["route.yaml"]);
        Assert.NotEqual(ChecklistFiles.Load(one).Revision!.Hash, ChecklistFiles.Load(other).Revision!.Hash);
        Assert.NotEqual(
            ChecklistFiles.Load(ChecklistFiles.Small).Revision!.Hash,
            ChecklistFiles.Load(ChecklistFiles.Small.Remove("models/m.yaml").Add("models/n.yaml", ChecklistFiles.Small["models/m.yaml"])).Revision!.Hash);
    }

    [Theory]
    [InlineData("\r\n")]
    [InlineData("\r")]
    public void Line_ends_of_another_system_leave_the_hash(string end)
    {
        var other = ChecklistFiles.Small.ToDictionary(f => f.Key, f => f.Value.Replace("\n", end, StringComparison.Ordinal));
        Assert.Equal(ChecklistFiles.Load(ChecklistFiles.Small).Revision!.Hash, ChecklistFiles.Load(other).Revision!.Hash);
    }

    [Fact]
    public void Both_letters_for_micro_and_a_byte_order_mark_are_read()
    {
        var files = ChecklistFiles.Small1("surveys/s.yaml", "µm/m", "\u03BCm/m").SetItem("work-centres.yaml", "\uFEFF" + ChecklistFiles.Small["work-centres.yaml"]);
        var result = ChecklistFiles.Load(files);
        Assert.Empty(result.Faults);
        Assert.Equal("µm/m", result.Revision!.Survey("late").FindColumn("s")!.Unit);
    }

    [Fact]
    public void A_folder_that_is_not_there_gives_faults_and_no_exception()
    {
        var result = ChecklistLoader.Load(ChecklistLoader.ReadFolder(Path.Combine(AppContext.BaseDirectory, "no-such-folder")));
        Assert.Null(result.Revision);
        Assert.Contains(new ChecklistFault("route.yaml", 1, 1, "no such file", "route.yaml"), result.Faults);
    }
}
