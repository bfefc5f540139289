using System.Collections.Immutable;
using BuildTrack.Documents.Certificates;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Records;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Faults.Tests;

/// <summary>A small plant in a folder of its own: people with tokens, two instruments, approved checklists. Used only while no server runs on it.</summary>
internal sealed class Plant : IAsyncDisposable
{
    public const string Password = "a long test password";
    public const string Inspector = "maren";
    public static readonly ImmutableArray<string> Technicians = ["renna", "jorin", "bexley", "sable"];

    private static readonly Caller Administrator = new("odo", "Odo Fenn", [Roles.Administrator]);
    private readonly ServiceProvider services;

    private Plant(string folder)
    {
        Store = new StoreSettings(folder, null);
        services = new ServiceCollection().AddLogging().AddSingleton(TimeProvider.System).AddBuildTrackRecords(Store)
            .AddSingleton<ICertificateRenderer>(_ => new CertificatePdf(PlantKey.LoadOrCreate(Store.KeysFolder, "BuildTrack plant", TimeProvider.System)))
            .BuildServiceProvider();
    }

    public StoreSettings Store { get; }

    public Dictionary<string, string> Tokens { get; } = [];

    public T Get<T>()
        where T : notnull => services.GetRequiredService<T>();

    /// <summary>Opens an existing folder, to look at what is in it.</summary>
    public static Plant Open(string folder) => new(folder);

    public static async Task<Plant> Make(string folder)
    {
        var plant = new Plant(folder);
        var ct = CancellationToken.None;
        await plant.Get<Migrator>().Run(ct);
        var first = plant.Get<FirstStart>();
        await first.CreateAdministrator(first.Code, Administrator.Person, Administrator.Name, Password, ct);
        foreach (var (person, role) in Technicians.Select(t => (t, Roles.Technician)).Append((Inspector, Roles.Inspector)))
        {
            await plant.Get<PeopleActs>().AddPerson(Administrator, new AddPersonRequest(person, person, Password, [role]), null, ct);
            plant.Tokens[person] = (await plant.Get<PeopleActs>().IssueToken(new Caller(person, person, [role]), ct)).Secret;
        }

        await plant.Get<PlantActs>().Set(Administrator, new PlantSettings("Ostrel Vale Machine Works", "TST", 1, "Europe/Vienna"), null, ct);
        await plant.Register("TRK-01", "height", new RegisterFigure("small difference", null, new Amount(4, "µm"), null, 2, null, null));
        await plant.Register("UTG-01", "thickness", new RegisterFigure("absolute", null, new Amount(0.05m, "mm"), null, 2, null, null));
        var checklists = plant.Get<ChecklistActs>();
        // These tests measure at once; what steps wait for is not their matter.
        var loaded = await checklists.Load(Administrator, Bare(ChecklistLoader.ReadFolder(Path.Combine(Server.Tree, "checklists"))), null, ct);
        await checklists.Approve(Administrator, loaded.Subject, null, ct);
        return plant;
    }

    public Task Order(string serial, string model) =>
        Get<MachineActs>().Order(Administrator, new OrderMachineRequest(serial, model, "Brackwater Fabrications", []), null, CancellationToken.None);

    /// <summary>Measures both surveys of the bare bed from the demo's files; every result is accepted.</summary>
    public async Task MeasureBed(string serial)
    {
        foreach (var (survey, instrument, file) in new[] { ("bed-heights", "TRK-01", "OV1212-0088-bed-heights.csv"), ("pad-thickness", "UTG-01", "OV1212-0088-pad-thickness.csv") })
        {
            var who = new Caller(Technicians[0], Technicians[0], [Roles.Technician]);
            var acts = Get<SurveyActs>();
            var ct = CancellationToken.None;
            var run = await acts.BeginRun(who, new BeginRunRequest(
                serial, survey, null, RunKind.Pass, null, null, null, [instrument], [new UseCheck(instrument, "in order", true)], Bed.Conditions, []), null, ct);
            var preview = await acts.Preview(who, serial, run.Run, file, await File.ReadAllBytesAsync(Path.Combine(Server.Tree, "demo-data", file), ct), ct);
            await acts.RecordFile(who, new RecordFileRequest(serial, run.Run, preview.FileHash, file), null, ct);
            await acts.Finish(who, new FinishRequest(serial, run.Run), null, ct);
        }
    }

    public ValueTask DisposeAsync()
    {
        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        return services.DisposeAsync();
    }

    /// <summary>The shipped checklists without prerequisites and what sends a machine back along them, with heights and pad thickness alone at H1: what is tried here is what becomes of acts, not the plan.</summary>
    private static SortedDictionary<string, string> Bare(IReadOnlyDictionary<string, string> shipped)
    {
        string[] left = ["characteristics/frame.yaml", "characteristics/coating.yaml", "characteristics/rails.yaml", "characteristics/motion.yaml", "characteristics/shipped.yaml", "characteristics/site.yaml", "characteristics/commissioning.yaml", "series.yaml"];
        static string Lines(string text, Func<string, bool> keep) => string.Join('\n', text.Split('\n').Where(keep));
        var files = new SortedDictionary<string, string>(StringComparer.Ordinal);
        foreach (var (path, text) in shipped.Where(f => !left.Contains(f.Key)))
        {
            files[path] = path == "route.yaml" ? System.Text.RegularExpressions.Regex.Replace(text, @", after: \[[0-9, ]+\]|\n    after: \[[0-9, ]+\]|\nrework:(\n  .*)+", "")
                : path == "characteristics/bed.yaml" ? Lines(text, l => !l.Contains("line: ", StringComparison.Ordinal) || l.Contains("100-01", StringComparison.Ordinal) || l.Contains("100-09", StringComparison.Ordinal))
                : path.StartsWith("limits/", StringComparison.Ordinal) ? Lines(text, l => !l.StartsWith("  ", StringComparison.Ordinal) || l.Contains("bed-flatness", StringComparison.Ordinal) || l.Contains("least-pad", StringComparison.Ordinal) || l.Contains("answered-no", StringComparison.Ordinal))
                : text;
        }

        return files;
    }

    private Task<ActReceipt> Register(string id, string quantity, RegisterFigure figure) => Get<InstrumentActs>().Register(Administrator, new RegisterInstrumentRequest(new RegisterEntry(
        id, id, "T 1", quantity, "mm", [figure], "2015-01-01", "2099-12-31", "K-1", InstrumentState.InService, 0)), null, CancellationToken.None);
}

/// <summary>What every run on the bed begins with.</summary>
internal static class Bed
{
    public static Conditions Conditions { get; } = new(20.4m, [20.3m, 20.3m, 20.3m], [20.2m, 20.2m, 20.2m], null);
}
