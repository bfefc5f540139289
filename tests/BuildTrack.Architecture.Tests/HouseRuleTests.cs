using BuildTrack.Architecture.Tests.Reading;
using BuildTrack.Architecture.Tests.Rules;
using BuildTrack.Domain.People;
using Samples.Acts;

namespace BuildTrack.Architecture.Tests;

/// <summary>Values, documented numbers, named rules, acts and roles, length of files.</summary>
public sealed class HouseRuleTests
{
    private const string SamplesFolder = "tests/BuildTrack.Architecture.Tests.Samples";

    [Fact]
    public void Public_values_cannot_be_changed_once_they_were_made() =>
        Report.None("can be changed", new[] { Assemblies.Metrology, Assemblies.Domain, Assemblies.Documents, Assemblies.Records }.SelectMany(Immutability.Changeable));

    [Fact]
    public void Values_that_can_be_changed_are_all_reported() => Report.Finds(
        Immutability.Changeable(Assemblies.Samples),
        "Samples.Values.OpenStruct.LengthUm can be set", "Samples.Values.OpenStruct.Count can be set", "Samples.Values.OpenRecordStruct.LengthUm can be set",
        "Samples.Values.OpenRecord.Note can be set", "Samples.Values.GrowingRecord.Names can be changed inside", "Samples.Values.GrowingRecord.HeightsUm can be changed inside");

    [Fact]
    public void Every_public_number_of_the_engine_is_documented_with_its_unit() =>
        Report.None("is a number without its meaning", NumericDocs.Missing(Assemblies.Metrology, Assemblies.PathOf("BuildTrack.Metrology.xml")));

    [Fact]
    public void Numbers_without_a_doc_or_a_unit_are_all_reported() => Report.Finds(
        NumericDocs.Missing(Assemblies.Samples, Assemblies.PathOf("BuildTrack.Architecture.Tests.Samples.xml")).Where(o => o.StartsWith("Samples.Docs.", StringComparison.Ordinal)),
        "Samples.Docs.Numbers.Undocumented is not documented", "Samples.Docs.Numbers.WithoutUnit names no unit", "Samples.Docs.Numbers.Widen(band) names no unit",
        "Samples.Docs.Numbers.Nothing is not documented", "Samples.Docs.Numbers.Nothing(heightsUm) is not documented",
        "Samples.Docs.Fit.Quality names no unit", "Samples.Docs.Fit.Forgotten is not documented");

    [Fact]
    public void The_id_of_a_rule_is_written_out_in_one_file() => Report.None("id in several files", Texts.IdsInSeveralFiles(OfTheProduct()));

    [Fact]
    public void The_ids_of_rules_are_numbered_without_a_gap() => Report.None("gap in the ids", Texts.GapsInIds(OfTheProduct()));

    [Fact]
    public void Every_rule_is_named_by_a_test() => Report.None("rule without a test", Texts.IdsWithoutTest(OfTheProduct(),
        [.. Read(Tree.Files("tests", ".cs").Where(f => !f.Contains("Architecture.Tests", StringComparison.Ordinal))).Select(f => f.Text)]));

    [Fact]
    public void An_id_in_two_files_a_gap_and_a_rule_without_test_are_reported()
    {
        var files = Read(Tree.Files(SamplesFolder + "/Rules", ".cs")).ToList();
        Report.Finds(Texts.IdsInSeveralFiles(files), $"R-SAMPLE-05 is written out in {SamplesFolder}/Rules/FirstRules.cs and {SamplesFolder}/Rules/SecondRules.cs");
        Report.Finds(Texts.GapsInIds(files), "R-SAMPLE-03 is left out");
        Report.Finds(Texts.IdsWithoutTest(files, ["Refused(FirstRules.Tested)", "Assert.Equal(\"R-SAMPLE-05\", rule)"]),
            $"R-SAMPLE-02 ({SamplesFolder}/Rules/FirstRules.cs) is named by no test", $"R-SAMPLE-04 ({SamplesFolder}/Rules/FirstRules.cs) is named by no test");
    }

    [Fact]
    public void Every_act_is_listed_and_allowed_to_a_role() =>
        Report.None("act without a role", ActRoles.Missing(typeof(ActKind), ActKind.All, Permissions.RolesFor, Roles.WithLent));

    [Fact]
    public void An_act_that_is_not_listed_or_allowed_to_nobody_is_reported() => Report.Finds(
        ActRoles.Missing(typeof(SampleActs), SampleActs.All, SampleActs.RolesFor, Roles.All),
        "Forgotten 'forgotten' is not in the list of all acts", "'mill' is allowed to no role", "'paint' is allowed to 'painter', which is no role");

    [Fact]
    public void No_file_is_longer_than_400_lines() => Report.None("too long",
        Texts.TooLong(Read(new[] { "src", "tests" }.SelectMany(f => Tree.Files(f, ".cs", ".cshtml", ".js")).Where(f => !f.Contains("/Migrations/", StringComparison.Ordinal)))));

    [Fact]
    public void A_file_of_401_lines_is_reported_and_one_of_400_is_not()
    {
        var line = "x\n";
        Report.Finds(Texts.TooLong([("long.cs", string.Concat(Enumerable.Repeat(line, 401))), ("fits.cs", string.Concat(Enumerable.Repeat(line, 400)))]), "long.cs has 401 lines");
    }

    private static List<(string Path, string Text)> OfTheProduct()
    {
        var files = Read(Tree.Files("src", ".cs").Where(f => !f.Contains("/Migrations/", StringComparison.Ordinal))).ToList();
        Assert.True(files.Count > 50, $"only {files.Count} files of the product were found");
        return files;
    }

    private static IEnumerable<(string Path, string Text)> Read(IEnumerable<string> files) => files.Select(f => (f.Replace('\\', '/'), Tree.Text(f)));
}
