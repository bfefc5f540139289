using System.Collections.Immutable;
using System.Text.Json;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Plant;

namespace BuildTrack.Records.Demo;

/// <summary>demo-data/plant.json. Days are working days from the day of loading, calibration dates calendar days.</summary>
public sealed record DemoFile(
    string About, PlantSettings Plant, string Password, ImmutableArray<DemoPerson> People, ImmutableArray<DemoInstrument> Instruments,
    ImmutableArray<DemoMachine> Machines, ImmutableArray<DemoExpected> Expected)
{
    public const string Name = "plant.json";

    public static DemoFile Read(string folder) =>
        JsonSerializer.Deserialize<DemoFile>(File.ReadAllText(Path.Combine(folder, Name)), CanonicalJson.Options)
        ?? throw new JsonException($"{Name} is empty.");
}

public sealed record DemoPerson(string Person, string Name, ImmutableArray<string> Roles);

public sealed record DemoInstrument(
    string Id, string Name, string Serial, string Quantity, string Unit, int Calibrated, int Valid, string Certificate, ImmutableArray<DemoFigure> Figures,
    InstrumentState State = InstrumentState.InService);

public sealed record DemoFigure(
    string Use, string A, string? BPerMetre = null, double? UpToMm = null, string? Random = null, string? Common = null);

public sealed record DemoMachine(
    string Serial, string Model, string Customer, int Ordered, string OrderedBy, ImmutableArray<DemoRun> Runs, ImmutableArray<DemoTerm>? Order = null,
    DemoRelease? Release = null);

public sealed record DemoTerm(
    string Characteristic, string Origin, string Edition, string ApprovedBy, string Reason, string? Upper = null, string? Lower = null, string? Reference = null,
    DecisionRule? Rule = null);

/// <param name="At">HH:mm in plant time; null with <paramref name="MinutesAgo"/> before the moment of loading.</param>
public sealed record DemoRun(
    string Survey, RunKind Kind, string Person, ImmutableArray<string> Helpers, ImmutableArray<string> Instruments, string Check, int Day, int Minutes, string File,
    string? At = null, int? MinutesAgo = null, string? Proves = null, decimal? Air = null, ImmutableArray<decimal>? Top = null, ImmutableArray<decimal>? Bottom = null);

public sealed record DemoRelease(string Hold, string Person, int Day, string At);

/// <summary>What a test expects of the loaded demo.</summary>
public sealed record DemoExpected(
    string Serial, string Line, double ValueUm, double WithinUm, double LimitUm, double UUm, Verdict Verdict, double? AgainUm = null, double? RejectAboveUm = null,
    bool Certificate = false);
