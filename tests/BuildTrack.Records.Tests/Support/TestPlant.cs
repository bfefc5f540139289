using System.Collections.Immutable;
using System.Data.Common;
using System.Globalization;
using System.Runtime.CompilerServices;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.History;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records.Tests.Support;

/// <summary>A plant with people of every role, instruments and approved test checklists, on a database of its own.</summary>
/// <remarks>The set-up is done once for each database, by acts; each plant starts from a copy of it.</remarks>
internal sealed class TestPlant : IAsyncDisposable
{
    public const string Password = "a password for tests";
    public const string H1 = "H1";

    /// <summary>The moment of the first act; each plant stands one hour later.</summary>
    public static readonly DateTimeOffset Beginning = new(2026, 3, 2, 7, 0, 0, TimeSpan.Zero);

    /// <summary>Reference-data constructed-minimum-zone-3x3.json, triangle, µm: 14.667 by least squares, of 20 allowed.</summary>
    public static readonly string[] Triangle = ["-4", "2", "-6", "1", "9", "3", "0", "-5", "1"];

    /// <summary>The same file, crossing, µm: minimum zone 15.000, of 13 allowed.</summary>
    public static readonly string[] Crossing = ["8", "2", "-7", "1", "0", "-2", "-9", "1", "6"];

    private static readonly Dictionary<Database, Lazy<Task<StoreSettings>>> Seeds = new()
    {
        [Database.Sqlite] = new(() => Task.Run(() => Seed(Database.Sqlite))),
        [Database.Postgres] = new(() => Task.Run(() => Seed(Database.Postgres))),
    };

    private readonly List<ServiceProvider> providers = [];

    private TestPlant(Database on, StoreSettings settings)
    {
        (On, Settings) = (on, settings);
        Services = Server();
    }

    public Database On { get; }

    public StoreSettings Settings { get; }

    public ServiceProvider Services { get; }

    public PinnedClock Clock { get; } = new(Beginning.AddHours(1));

    public RecordingRenderer Renderer { get; } = new();

    public static Caller Administrator { get; } = Person("ada.admin", "Ada Admin", Roles.Administrator);

    public static Caller OtherAdministrator { get; } = Person("axel.admin", "Axel Admin", Roles.Administrator);

    public static Caller Technician { get; } = Person("tom.tech", "Tom Tech", Roles.Technician);

    public static Caller OtherTechnician { get; } = Person("tea.tech", "Tea Tech", Roles.Technician);

    public static Caller Inspector { get; } = Person("ina.inspect", "Ina Inspect", Roles.Inspector);

    public static Caller OtherInspector { get; } = Person("ivo.inspect", "Ivo Inspect", Roles.Inspector);

    public static Caller Planner { get; } = Person("pia.plan", "Pia Plan", Roles.Planner);

    public static ImmutableArray<Caller> People { get; } =
        [Administrator, OtherAdministrator, Technician, OtherTechnician, Inspector, OtherInspector, Planner];

    /// <summary>A plant of its own; skips the test where the database is not to be had.</summary>
    public static async Task<TestPlant> Make(Database on)
    {
        if (on == Database.Postgres && await PostgresServer.WhyNot() is { } why)
        {
            Assert.Skip(why);
        }

        var seed = await Seeds[on].Value;
        var settings = new StoreSettings(NewFolder(), seed.Postgres is { } template ? await PostgresServer.Create(template) : null);
        if (on == Database.Sqlite)
        {
            File.Copy(seed.DatabaseFile, settings.DatabaseFile);
        }

        return new TestPlant(on, settings);
    }

    /// <summary>An empty database, not even migrated.</summary>
    public static async Task<TestPlant> MakeEmpty(Database on)
    {
        if (on == Database.Postgres && await PostgresServer.WhyNot() is { } why)
        {
            Assert.Skip(why);
        }

        return new TestPlant(on, new StoreSettings(NewFolder(), on == Database.Postgres ? await PostgresServer.Create(null) : null));
    }

    /// <summary>A machine of SHAPES whose two lists (hold points J1, the first of the plan, and J2) are answered and not released.</summary>
    public static async Task<TestPlant> MakeWithAnsweredLists(Database on, string serial)
    {
        var plant = await Make(on);
        await plant.Order(serial, "SHAPES");
        foreach (var survey in new[] { "first-list", "second-list" })
        {
            var begun = await plant.Begin(Technician, new BeginRunRequest(serial, survey, null, RunKind.Pass, null, null, null, [], [], null, []));
            await plant.Record(Technician, ToRecord(serial, begun.Run, [("whole", "q1", "yes")]));
            await plant.Finish(Technician, serial, begun.Run);
        }

        return plant;
    }

    public static string NewFolder() => Directory.CreateTempSubdirectory("buildtrack-test-").FullName;

    public T Get<T>()
        where T : notnull => Services.GetRequiredService<T>();

    /// <summary>Another server on the same database: own gate, own connections, same clock and renderer.</summary>
    public ServiceProvider Server()
    {
        var provider = new ServiceCollection().AddLogging().AddSingleton<TimeProvider>(Clock).AddSingleton<ICertificateRenderer>(Renderer)
            .AddBuildTrackRecords(Settings).BuildServiceProvider();
        providers.Add(provider);
        return provider;
    }

    public async ValueTask DisposeAsync()
    {
        foreach (var provider in providers)
        {
            await provider.DisposeAsync();
        }

        if (Settings.Postgres is { } postgres)
        {
            await PostgresServer.Drop(postgres);
        }
        else
        {
            await using var connection = new SqliteConnection(Get(Settings));
            SqliteConnection.ClearPool(connection);
        }

        Directory.Delete(Settings.Folder, recursive: true);

        static string Get(StoreSettings settings)
        {
            using var db = new Store(settings).Open();
            return db.Database.GetConnectionString()!;
        }
    }

    // ---- acts, with what most tests leave at its usual value ----

    public Task<ActReceipt> Order(string serial, string model = "TST-3T", string? key = null, ImmutableArray<Domain.Checklists.OrderTerm>? order = null) =>
        Get<MachineActs>().Order(Planner, new OrderMachineRequest(serial, model, "Corvane Rail Parts", order ?? []), key, default);

    public static BeginRunRequest ToBegin(
        string serial, string survey = "triangle-heights", string instrument = "HGT-01", RunKind kind = RunKind.Pass, string? proves = null, string? feature = null,
        Direction? direction = null, LevelArrow? arrow = null, Conditions? conditions = null, params string[] helpers) =>
        new(serial, survey, feature, kind, proves, direction, arrow, instrument.Length == 0 ? [] : [.. instrument.Split(' ')],
            instrument.Length == 0 ? [] : [.. instrument.Split(' ').Select(i => new UseCheck(i, "zero checked", true))], conditions, [.. helpers]);

    public Task<BegunRun> Begin(Caller who, BeginRunRequest request, string? key = null) => Get<SurveyActs>().BeginRun(who, request, key, default);

    public static RecordRequest ToRecord(string serial, long run, params IEnumerable<(string Place, string Column, string Typed)> values) =>
        new(serial, run, EntryRoute.Typed, [.. values.Select(v => new TypedReading(v.Place, v.Column, v.Typed, null))]);

    public Task<RecordedReadings> Record(Caller who, RecordRequest request, string? key = null) => Get<SurveyActs>().Record(who, request, key, default);

    public static IEnumerable<(string Place, string Column, string Typed)> Heights(params string[] typed) => typed.Select((t, i) => ($"P{i + 1}", "z", t));

    public Task<FinishedRun> Finish(Caller who, string serial, long run, string? key = null) =>
        Get<SurveyActs>().Finish(who, new FinishRequest(serial, run), key, default);

    /// <summary>A whole pass: begun, recorded, finished.</summary>
    public async Task<(BegunRun Run, FinishedRun Finished)> Pass(Caller who, BeginRunRequest request, params string[] heights)
    {
        var begun = await Begin(who, request);
        await Record(who, ToRecord(request.Serial, begun.Run, Heights(heights)));
        return (begun, await Finish(who, request.Serial, begun.Run));
    }

    /// <summary>Orders a triangle and measures it; H1 then waits for release.</summary>
    public async Task<BegunRun> Accepted(string serial, Caller? who = null, params string[] helpers)
    {
        await Order(serial);
        return (await Pass(who ?? Technician, ToBegin(serial, helpers: helpers), Triangle)).Run;
    }

    public Task<MachineRecord> Machine(string serial) => Get<MachineReader>().Load(serial, default);

    public async Task<ReleaseReceipt> Release(
        Caller who, string serial, string? key = null, string hold = H1, string password = Password, string? sheet = null, IServiceProvider? server = null) =>
        await (server ?? Services).GetRequiredService<ReleaseActs>().Release(
            who, new ReleaseRequest(serial, hold, password, sheet ?? (await Machine(serial)).SheetHash(hold)), key, default);

    public Task<ActReceipt> ChangeBed(string serial, string change = "re-mill", string note = "0.17 mm off") =>
        Get<MachineActs>().ChangeBed(Technician, new ChangeBedRequest(serial, change, note), null, default);

    public async Task<HistoryCheck> Verify() => await Get<HistoryReader>().Verify(_ => Task.CompletedTask, default);

    /// <summary>Fails unless the whole record is as it was written.</summary>
    public async Task Sound() => Assert.Empty((await Verify()).Faults);

    // ---- looking into the database ----

    public async Task<long> Execute(string sql, params (string Name, object Value)[] values)
    {
        await using var db = Get<Store>().Open();
        await db.Database.OpenConnectionAsync();
        await using var command = db.Database.GetDbConnection().CreateCommand();
        command.CommandText = sql;
        foreach (var (name, value) in values)
        {
            var parameter = command.CreateParameter();
            (parameter.ParameterName, parameter.Value) = (name, value);
            command.Parameters.Add(parameter);
        }

        return await command.ExecuteNonQueryAsync();
    }

    public async Task<object?> Scalar(string sql)
    {
        await using var db = Get<Store>().Open();
        await db.Database.OpenConnectionAsync();
        await using var command = db.Database.GetDbConnection().CreateCommand();
        command.CommandText = sql;
        return await command.ExecuteScalarAsync();
    }

    public async Task<long> Count(string table) => Convert.ToInt64(await Scalar($"SELECT count(*) FROM \"{table}\""), CultureInfo.InvariantCulture);

    /// <summary>Every row of every table as text, in an order of its own: equal texts, equal databases.</summary>
    /// <param name="without">Columns left out.</param>
    public async Task<string> Dump(params string[] without)
    {
        await using var db = Get<Store>().Open();
        await db.Database.OpenConnectionAsync();
        List<string> lines = [];
        foreach (var table in db.Model.GetEntityTypes().Select(t => t.GetTableName()!).Order(StringComparer.Ordinal))
        {
            await using var command = db.Database.GetDbConnection().CreateCommand();
            command.CommandText = $"SELECT * FROM \"{table}\"";
            await using var reader = await command.ExecuteReaderAsync();
            List<string> rows = [];
            while (await reader.ReadAsync())
            {
                rows.Add($"{table}: " + string.Join(" | ", Enumerable.Range(0, reader.FieldCount)
                    .Where(i => !without.Contains(reader.GetName(i)) && !reader.IsDBNull(i))
                    .OrderBy(reader.GetName, StringComparer.Ordinal).Select(i => $"{reader.GetName(i)}={Text(reader, i)}")));
            }

            lines.AddRange(rows.Order(StringComparer.Ordinal));
        }

        return string.Join('\n', lines);

        static string Text(DbDataReader reader, int column) => reader.GetValue(column) switch
        {
            bool b => b ? "1" : "0",
            double d => d.ToString("R", CultureInfo.InvariantCulture),
            var other => Convert.ToString(other, CultureInfo.InvariantCulture) ?? "",
        };
    }

    /// <summary>Fails unless an act is refused in the expected way and leaves every row of every table as it was.</summary>
    public async Task<T> LeavesNothing<T>(Func<Task> act)
        where T : Exception
    {
        var before = await Dump();
        var error = await Assert.ThrowsAsync<T>(act);
        Assert.Equal(before, await Dump());
        return error;
    }

    private static Caller Person(string person, string name, params string[] roles) => new(person, name, [.. roles]);

    private static async Task<StoreSettings> Seed(Database on)
    {
        var settings = new StoreSettings(NewFolder(), on == Database.Postgres ? $"{await PostgresServer.Create(null)};Pooling=false" : null);
        var clock = new PinnedClock(Beginning);
        await using (var provider = new ServiceCollection().AddLogging().AddSingleton<TimeProvider>(clock).AddSingleton<ICertificateRenderer>(new RecordingRenderer())
            .AddBuildTrackRecords(settings).BuildServiceProvider())
        {
            await provider.GetRequiredService<Migrator>().Run(default);
            await SetUp(provider);
        }

        if (on == Database.Sqlite)
        {
            await using var db = new Store(settings).Open();
            await db.Database.ExecuteSqlRawAsync("PRAGMA wal_checkpoint(TRUNCATE)");
            SqliteConnection.ClearPool((SqliteConnection)db.Database.GetDbConnection());
        }

        AppDomain.CurrentDomain.ProcessExit += (_, _) => Directory.Delete(settings.Folder, recursive: true);
        return settings;
    }

    private static async Task SetUp(IServiceProvider provider)
    {
        var first = provider.GetRequiredService<FirstStart>();
        await first.CreateAdministrator(first.Code, Administrator.Person, Administrator.Name, Password, default);
        foreach (var person in People.Skip(1))
        {
            await provider.GetRequiredService<PeopleActs>().AddPerson(Administrator, new AddPersonRequest(person.Person, person.Name, Password, person.Roles), null, default);
        }

        await provider.GetRequiredService<PlantActs>().Set(Administrator, new PlantSettings("Test works", "TST", 1, "Europe/Vienna"), null, default);
        foreach (var entry in Instruments)
        {
            await provider.GetRequiredService<InstrumentActs>().Register(Administrator, new RegisterInstrumentRequest(entry), null, default);
        }

        var receipt = await provider.GetRequiredService<ChecklistActs>().Load(Administrator, Files(), null, default);
        await provider.GetRequiredService<ChecklistActs>().Approve(OtherAdministrator, receipt.Subject, null, default);
    }

    public static RegisterEntry Instrument(string id, string quantity, string unit, string use, string u, string validTo = "2028-12-31") => new(
        id, $"Instrument {id}", $"S {id}", quantity, unit,
        [new RegisterFigure(use, null, Amount.TryParse(u, out var amount) ? amount : throw new FormatException(u), null, 2, null, null)],
        "2026-01-10", validTo, "K-1", InstrumentState.InService, 0);

    private static ImmutableArray<RegisterEntry> Instruments { get; } =
    [
        Instrument("HGT-01", "height", "µm", "small difference", "2 µm"),
        Instrument("HGT-02", "height", "mm", "small difference", "2 µm"),
        Instrument("HGT-OLD", "height", "µm", "small difference", "2 µm", validTo: "2026-02-01"),
        Instrument("LVL-01", "slope", "µm/m", "slope", "3 µm/m"),
        Instrument("IFM-01", "position", "µm", "small difference", "1 µm"),
        Instrument("PWR-01", "power", "W", "absolute", "180 W"),
        Instrument("CAL-01", "length", "mm", "absolute", "20 µm"),
        Instrument("THM-01", "temperature", "°C", "absolute", "0.2 °C"),
        Instrument("THM-02", "temperature", "°C", "absolute", "0.2 °C"),
        Instrument("THM-03", "temperature", "°C", "absolute", "0.2 °C"),
        Instrument("THM-04", "temperature", "°C", "absolute", "0.2 °C"),
        Instrument("THM-OLD", "temperature", "°C", "absolute", "0.2 °C", validTo: "2026-02-01"),
        Instrument("RGH-01", "roughness", "µm", "absolute", "2 µm"),
    ];

    /// <summary>The test checklists with one more set of surveys, see RecordShapes/LevelChecklists.cs.</summary>
    public static SortedDictionary<string, string> Files() =>
        RecordShapes.LevelChecklists.AddTo(new SortedDictionary<string, string>(
            ChecklistLoader.ReadFolder(Path.Combine(AppContext.BaseDirectory, "TestChecklists")).ToDictionary(), StringComparer.Ordinal));
}

/// <summary>Test checklists name calculations that this build does not have.</summary>
internal static class FurtherEvaluatorNames
{
    [ModuleInitializer]
    internal static void Accept() => FurtherEvaluators.ForTests = new SortedSet<string>(StringComparer.Ordinal)
    {
        "level-network", "axis-accuracy", "drift", "answers", "file-kept", "largest-value", "change",
        "local-flatness", "cross-level", "twist",
    };
}
