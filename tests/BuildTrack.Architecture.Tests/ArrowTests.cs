using BuildTrack.Architecture.Tests.Reading;
using BuildTrack.Architecture.Tests.Rules;
using Mono.Cecil;

namespace BuildTrack.Architecture.Tests;

/// <summary>Knowledge points one way: Metrology ← Domain ← Records and Documents ← Web and Cli (docs/start-here.md).</summary>
public sealed class ArrowTests
{
    private static readonly string[] ForMetrology = ["MathNet.Numerics"];
    private static readonly string[] ForDomain = ["BuildTrack.Metrology"];
    private static readonly string[] ForDocuments = ["BuildTrack.Domain", "BuildTrack.Metrology", "PdfSharp.", "UglyToad.PdfPig.", "QRCoder", "SkiaSharp."];

    private static readonly string[] ForRecords =
        ["BuildTrack.Domain", "BuildTrack.Metrology", "Microsoft.EntityFrameworkCore.", "Microsoft.Data.Sqlite", "Npgsql.", "YamlDotNet", "CsvHelper", "Microsoft.Extensions.", "SQLitePCLRaw."];

    private static readonly string[] ForWeb =
        ["BuildTrack.Domain", "BuildTrack.Metrology", "BuildTrack.Records", "BuildTrack.Documents", "Microsoft.AspNetCore.", "Microsoft.Extensions.", "Microsoft.Net.Http.Headers", "Microsoft.OpenApi", "Hangfire.", "Npgsql"];

    private static readonly string[] ForCli =
        ["BuildTrack.Domain", "BuildTrack.Metrology", "BuildTrack.Records", "BuildTrack.Documents", "System.CommandLine", "Microsoft.Extensions."];

    [Fact]
    public void Metrology_refers_to_nothing_of_ours() => Holds(Assemblies.Metrology, "src/BuildTrack.Metrology/BuildTrack.Metrology.csproj", ["MathNet.Numerics"], ForMetrology);

    [Fact]
    public void Domain_refers_to_metrology_only_and_to_no_database_web_or_document_library() =>
        Holds(Assemblies.Domain, "src/BuildTrack.Domain/BuildTrack.Domain.csproj", ["BuildTrack.Metrology"], ForDomain);

    [Fact]
    public void Documents_refers_to_the_domain_and_its_document_libraries_only() =>
        Holds(Assemblies.Documents, "src/BuildTrack.Documents/BuildTrack.Documents.csproj", ["BuildTrack.Domain", "PDFsharp", "PdfPig", "System.Security.Cryptography.Pkcs", "QRCoder", "SkiaSharp", "SkiaSharp.NativeAssets.Linux.NoDependencies"], ForDocuments);

    [Fact]
    public void Records_refers_to_the_domain_and_its_database_and_file_libraries_only() =>
        Holds(Assemblies.Records, "src/BuildTrack.Records/BuildTrack.Records.csproj",
            ["BuildTrack.Domain", "Microsoft.EntityFrameworkCore.Design", "Microsoft.EntityFrameworkCore.Sqlite", "Npgsql.EntityFrameworkCore.PostgreSQL", "YamlDotNet", "CsvHelper"], ForRecords);

    [Fact]
    public void Web_wires_records_and_documents_and_knows_no_database_yaml_or_pdf_library() =>
        Holds(Assemblies.Web, "src/BuildTrack.Web/BuildTrack.Web.csproj",
            ["BuildTrack.Records", "BuildTrack.Documents", "BuildTrack.Engine", "Hangfire.AspNetCore", "Hangfire.InMemory", "Hangfire.PostgreSql", "Newtonsoft.Json", "Microsoft.AspNetCore.OpenApi"], ForWeb);

    [Fact]
    public void Cli_wires_records_and_documents_and_knows_no_web_or_database_library() =>
        Holds(Assemblies.Cli, "src/BuildTrack.Cli/BuildTrack.Cli.csproj", ["BuildTrack.Records", "BuildTrack.Documents", "System.CommandLine"], ForCli);

    [Fact]
    public void Engine_carries_the_domain_to_a_browser_and_nothing_else()
    {
        var built = new[] { "Debug", "Release" }.Select(c => Path.Combine(Tree.Root, "src", "BuildTrack.Engine", "bin", c, "net10.0", "BuildTrack.Engine.dll")).First(File.Exists);
        using var engine = ModuleDefinition.ReadModule(built);
        Holds(engine, "src/BuildTrack.Engine/BuildTrack.Engine.csproj", ["BuildTrack.Domain"], ["BuildTrack.Domain"]);
    }

    [Fact]
    public void A_module_that_refers_to_everything_is_reported_with_every_assembly() => Assert.Superset(
        new HashSet<string>(new[] { "BuildTrack.Domain", "BuildTrack.Records", "Hangfire.Core", "Microsoft.AspNetCore.Http.Abstractions", "Microsoft.EntityFrameworkCore" }
            .Select(n => $"BuildTrack.Architecture.Tests.Samples refers to {n}")),
        new HashSet<string>(Arrows.ForeignAssemblies(Assemblies.Samples, ForDomain)));

    [Fact]
    public void Types_that_use_foreign_ones_in_a_field_an_instruction_a_lambda_or_a_generic_argument_are_all_reported() => Report.Finds(
        Arrows.ForeignTypesIn("Samples.Arrows", Assemblies.Samples, ForDomain),
        "Samples.Arrows.CalculatesFromTheDatabase uses BuildTrack.Records.Storage.Store",
        "Samples.Arrows.QueriesInside uses Microsoft.EntityFrameworkCore.DbContext",
        "Samples.Arrows.QueriesInside uses Microsoft.EntityFrameworkCore.ChangeTracking.ChangeTracker",
        "Samples.Arrows.QueriesInside uses Microsoft.EntityFrameworkCore.ChangeTracking.EntityEntry",
        "Samples.Arrows.KnowsTheWebInside uses Microsoft.AspNetCore.Http.HttpContext",
        "Samples.Arrows.KnowsTheWebInside uses Microsoft.AspNetCore.Http.HttpRequest",
        "Samples.Arrows.KnowsTheWebInside uses Microsoft.AspNetCore.Http.PathString",
        "Samples.Arrows.HoldsFiles uses BuildTrack.Records.Files.FileStore",
        "Samples.Arrows.EnqueuesByItself uses Hangfire.IBackgroundJobClient",
        "Samples.Arrows.EnqueuesByItself uses Hangfire.BackgroundJobClientExtensions");

    [Fact]
    public void A_project_file_that_names_too_much_is_reported() => Report.Finds(
        Arrows.ForeignLines("tests/BuildTrack.Architecture.Tests.Samples/BuildTrack.Architecture.Tests.Samples.csproj", "BuildTrack.Metrology"),
        "tests/BuildTrack.Architecture.Tests.Samples/BuildTrack.Architecture.Tests.Samples.csproj names BuildTrack.Web");

    [Fact]
    public void Nothing_of_the_product_refers_to_the_planted_samples() => Report.None("refers to the samples",
        Assemblies.OfTheProduct.Where(m => m.AssemblyReferences.Any(r => r.Name.Contains("Samples", StringComparison.Ordinal))).Select(m => m.Name));

    [Fact]
    public void The_job_runner_stands_behind_one_folder() =>
        Report.None("knows the job runner", Arrows.UsesOutside("BuildTrack.Web.Jobs", "Hangfire.", Assemblies.Web));

    // Its set-up hands the job runner a connection; nothing else of the web asks a database.
    [Fact]
    public void A_database_driver_is_known_to_the_job_runners_folder_only() =>
        Report.None("knows a database driver", Arrows.UsesOutside("BuildTrack.Web.Jobs", "Npgsql", Assemblies.Web));

    [Fact]
    public void The_job_runner_used_elsewhere_is_reported() => Report.Finds(
        Arrows.UsesOutside("Samples.Jobs", "Hangfire.", Assemblies.Samples),
        "Samples.Arrows.EnqueuesByItself uses Hangfire.BackgroundJobClientExtensions", "Samples.Arrows.EnqueuesByItself uses Hangfire.IBackgroundJobClient");

    [Fact]
    public void The_pdf_library_stands_behind_one_folder() =>
        Report.None("knows the PDF library", Arrows.UsesOutside("BuildTrack.Documents.Certificates", "PdfSharp.", Assemblies.Documents));

    [Fact]
    public void The_yaml_parser_stands_behind_one_folder() =>
        Report.None("knows the YAML parser", Arrows.UsesOutside("BuildTrack.Records.Checklists", "YamlDotNet", Assemblies.Records));

    [Fact]
    public void A_page_computes_no_verdict() => Report.None("works out what it should ask for", Arrows.CallsFrom("BuildTrack.Web.Pages", Assemblies.Web, WorksOut));

    [Fact]
    public void A_page_that_computes_a_verdict_is_reported_and_one_that_shows_it_is_not() => Report.Finds(
        Arrows.CallsFrom("Samples.Pages", Assemblies.Samples, WorksOut),
        "Samples.Pages.WorksOutVerdict calls BuildTrack.Metrology.Verdicts.Conformity.Decide",
        "Samples.Pages.WorksOutVerdict calls BuildTrack.Metrology.Verdicts.Conformity/Limits..ctor");

    private static bool WorksOut(MethodReference method) =>
        (method.DeclaringType.FullName.StartsWith("BuildTrack.Metrology.", StringComparison.Ordinal) && !method.Name.StartsWith("get_", StringComparison.Ordinal))
        || (method.Name == "Evaluate" && method.DeclaringType.Namespace == "BuildTrack.Domain.Evaluating");

    private static void Holds(ModuleDefinition module, string project, string[] lines, string[] may) => Report.None(
        "arrow of " + module.Assembly.Name.Name,
        Arrows.ForeignAssemblies(module, may).Concat(Arrows.ForeignTypes(module, may)).Concat(Arrows.ForeignLines(project, lines)));
}
