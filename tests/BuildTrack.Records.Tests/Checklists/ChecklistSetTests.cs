using System.Collections.Immutable;
using System.Text;
using BuildTrack.Records.Checklists;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

/// <summary>Faults that concern a whole file, or several at once.</summary>
public class ChecklistSetTests
{
    [Fact]
    public void All_faults_of_all_files_are_told_at_once_in_order_of_file_and_place()
    {
        var files = ChecklistFiles.Small1("route.yaml", "edition: A", "edition:")
            .SetItem("models/m.yaml", ChecklistFiles.Small["models/m.yaml"].Replace("1750", "-1", StringComparison.Ordinal).Replace("450,", "x,", StringComparison.Ordinal))
            .SetItem("limits/class-a.yaml", ChecklistFiles.Small["limits/class-a.yaml"].Replace("guarded", "soft", StringComparison.Ordinal));
        Assert.Equal(
            ["limits/class-a.yaml 3:33", "models/m.yaml 2:49", "models/m.yaml 2:60", "models/m.yaml 2:75", "route.yaml 1:9"],
            ChecklistFiles.Load(files).Faults.Select(f => FormattableString.Invariant($"{f.File} {f.Line}:{f.Column}")));
    }

    [Fact]
    public void A_fault_reads_as_one_sentence()
    {
        var files = ChecklistFiles.Small1("models/m.yaml", "class: A", "class: F");
        Assert.Equal(
            "models/m.yaml line 2, column 22: found 'F', expected one of A, B, C, D, E", ChecklistFiles.Load(files).Faults[0].ToString());
    }

    [Fact]
    public void No_more_than_two_hundred_faults_are_told()
    {
        var steps = string.Join('\n', Enumerable.Range(0, 900).Select(i => $"  - {{number: {i}x, name: N, work-centre: bench}}"));
        var faults = ChecklistFiles.Load(ChecklistFiles.Small.SetItem("route.yaml", "edition: A\nsteps:\n" + steps)).Faults;
        Assert.Equal(200, faults.Length);
    }

    [Theory]
    [InlineData("route.yaml")]
    [InlineData("work-centres.yaml")]
    [InlineData("models/m.yaml", "models/", "models/*.yaml")]
    [InlineData("surveys/s.yaml", "surveys/", "surveys/*.yaml")]
    [InlineData("characteristics/c.yaml", "characteristics/", "characteristics/*.yaml")]
    [InlineData("limits/class-a.yaml", "limits/", "limits/*.yaml")]
    public void A_missing_file_is_one_fault_and_names_from_it_are_none(string file, string? at = null, string? expected = null)
    {
        var fault = Assert.Single(ChecklistFiles.Load(ChecklistFiles.Small.Remove(file)).Faults);
        Assert.Equal(new ChecklistFault(at ?? file, 1, 1, "no such file", expected ?? file), fault);
    }

    [Theory]
    [InlineData("surveys/s.yml")]
    [InlineData("survey/s.yaml")]
    [InlineData("surveys/more/s.yaml")]
    [InlineData("surveys/.yaml")]
    [InlineData("Route.yaml")]
    public void A_file_of_no_known_kind_is_refused_instead_of_passed_over(string path)
    {
        var fault = Assert.Single(ChecklistFiles.Load(ChecklistFiles.Small.Add(path, "surveys: []")).Faults);
        Assert.Equal((path, 1, 1, "a file of no known kind"), (fault.File, fault.Line, fault.Column, fault.Found));
    }

    [Fact]
    public void Limits_of_one_class_in_two_files_are_refused()
    {
        var faults = ChecklistFiles.Load(ChecklistFiles.Small.Add("limits/class-b.yaml", ChecklistFiles.Small["limits/class-a.yaml"])).Faults;
        Assert.Contains(faults, f => (f.File, f.Line, f.Column) == ("limits/class-b.yaml", 1, 8)
            && f.Found == "a second limit set of class 'A' (first in limits/class-a.yaml line 1)");
    }

    [Fact]
    public void A_result_that_a_class_does_not_have_is_refused_where_it_is_used()
    {
        var files = ChecklistFiles.Small.Add(
            "limits/class-b.yaml", "class: B\nlimits:\n  moved: {upper: 1 mm, rule: guarded, origin: contract, edition: A}\n");
        var fault = Assert.Single(ChecklistFiles.Load(files).Faults);
        Assert.Equal(("characteristics/c.yaml", "result flat, which class B does not have", "limit flat in limits/class-b.yaml"), (fault.File, fault.Found, fault.Expected));
        Assert.Equal(ChecklistFiles.PlaceOf(files[fault.File], "{result: flat}"), (fault.Line, fault.Column));
    }

    [Fact]
    public void A_model_without_its_gradient_is_refused_once_a_survey_requires_bed_temperatures()
    {
        var without = ChecklistFiles.Small1("models/m.yaml", ", gradient: 1.4 K", "");
        Assert.Empty(ChecklistFiles.Load(without).Faults);
        var asking = ChecklistFiles.Small1("surveys/s.yaml", "passes: 2", "passes: 2, gradient: required");
        Assert.Empty(ChecklistFiles.Load(asking).Faults);
        var fault = Assert.Single(ChecklistFiles.Load(without.SetItem("surveys/s.yaml", asking["surveys/s.yaml"])).Faults);
        Assert.Equal(("models/m.yaml", 2, 5, "model M-1 without gradient, though survey pads requires bed temperatures"), (fault.File, fault.Line, fault.Column, fault.Found));
    }

    [Fact]
    public void Results_in_a_circle_over_two_characteristics_are_refused()
    {
        var files = ChecklistFiles.Small1(
            "characteristics/c.yaml", "limit: moved}", "limit: moved}\n  - {id: back, line: 120-02, hold: H1, title: B, evaluator: change, from: {a: {result: moved}, gauge: {figure: gauge}}, limit: moved}");
        files = files.SetItem("characteristics/c.yaml", files["characteristics/c.yaml"].Replace("result: flat", "result: back", StringComparison.Ordinal));
        Assert.Equal(2, ChecklistFiles.Load(files).Faults.Count(f => f.Found.EndsWith("which rests on its own result", StringComparison.Ordinal)));
    }

    [Theory]
    [InlineData("surveys/s.yaml", "surveys: nothing\n")]
    [InlineData("surveys/s.yaml", "surveys: [\n")]
    [InlineData("surveys/s.yaml", "just words\n")]
    [InlineData("surveys/s.yaml", "surveys: &all [{id: heights}]\n")]
    public void Names_that_an_unreadable_file_may_have_held_are_not_reported(string file, string text)
    {
        var faults = ChecklistFiles.Load(ChecklistFiles.Small.SetItem(file, text)).Faults;
        Assert.NotEmpty(faults);
        Assert.All(faults, f => Assert.Equal(file, f.File));
    }

    /// <summary>Readings of a level are slopes over its own base; a step of another length would make heights wrong by that ratio.</summary>
    [Theory]
    [InlineData("seats", "500", "a base of 500 mm for steps of 250 mm of layout seats")]
    [InlineData("square", "250", "a base of 250 mm for steps of 1 mm of layout square")]
    [InlineData("seats", "250", null)]
    public void A_level_whose_base_is_not_the_step_is_refused(string layout, string feet, string? found)
    {
        var faults = ChecklistFiles.Load(ChecklistFiles.Small.Add(
            "surveys/steps.yaml",
            $"surveys:\n  - {{id: along, step: 100, title: Along, layout: {layout}, places: steps, columns: [{{id: slope, title: Slope, quantity: slope, unit: µm/m}}], instruments: [slope], base-length: {feet}}}\n")).Faults;
        Assert.Equal(found is null ? [] : [("surveys/steps.yaml", found, "a base as long as the step from each station to the next")], faults.Select(f => (f.File, f.Found, f.Expected)));
    }

    [Fact]
    public void A_folder_is_read_with_its_subfolders_and_nothing_but_its_checklists()
    {
        var folder = Directory.CreateTempSubdirectory("checklists");
        try
        {
            foreach (var (path, text) in ChecklistFiles.Small)
            {
                Directory.CreateDirectory(Path.Combine(folder.FullName, Path.GetDirectoryName(path)!));
                File.WriteAllText(Path.Combine(folder.FullName, path), text);
            }

            File.WriteAllText(Path.Combine(folder.FullName, "README.md"), "# Not a checklist");
            File.WriteAllBytes(Path.Combine(folder.FullName, "work-centres.yaml"), Encoding.Latin1.GetBytes("work-centres: [{id: bench, name: Prüfplatz}]\n"));
            var files = ChecklistLoader.ReadFolder(folder.FullName);
            Assert.Equal(ChecklistFiles.Small.Keys, files.Keys);
            Assert.Equal(
                new ChecklistFault("work-centres.yaml", 1, 36, "a byte that is not UTF-8 (U+FFFD)", "readable text, saved as UTF-8"),
                Assert.Single(ChecklistFiles.Load(files).Faults));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }
}
