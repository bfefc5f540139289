using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Route;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Temperatures;

namespace BuildTrack.Records.Demo;

/// <summary>demo-data/plant.json. Witnesses: the customer's person by customer. Days are working days from the day of loading, calibration dates calendar days.</summary>
public sealed record DemoFile(
    string About, PlantSettings Plant, string Password, ImmutableArray<DemoPerson> People, ImmutableArray<DemoListed> Lists, ImmutableArray<DemoDelegation> Delegations, ImmutableArray<DemoInstrument> Instruments,
    DemoPlanned Planned, DemoUsual Usual, ImmutableArray<DemoMachine> Machines, ImmutableArray<DemoFinding> Findings, ImmutableArray<DemoReversal> Reversals, ImmutableArray<DemoStudy> Studies, ImmutableDictionary<string, string> Witnesses, ImmutableArray<DemoStands> ExpectedStands, ImmutableArray<DemoExpected> Expected)
{
    public const string Name = "plant.json";

    public static DemoFile Read(string folder) =>
        JsonSerializer.Deserialize<DemoFile>(File.ReadAllText(Path.Combine(folder, Name)), CanonicalJson.Options)
        ?? throw new JsonException($"{Name} is empty.");
}

public sealed record DemoPerson(string Person, string Name, ImmutableArray<string> Roles);

/// <summary>A person on a list for special work; days are calendar days from the day of loading.</summary>
public sealed record DemoListed(string List, string Person, int From, int To, string Evidence, DemoTakenOff? Off = null);

/// <param name="At">"-30 09:00": working day and plant time.</param>
public sealed record DemoTakenOff(string At, string Reason);

/// <summary>The release of hold points lent from the day of the act on.</summary>
/// <param name="At">"-3 09:00": working day and plant time.</param>
/// <param name="Until">Calendar day, counted from the day of loading.</param>
public sealed record DemoDelegation(string By, string To, ImmutableArray<string> Holds, string At, int Until, string Reason);

/// <summary>What is used where, and what its check before use found, unless a set says otherwise.</summary>
/// <param name="Instruments">Register ids by survey.</param>
/// <param name="Checks">Findings by register id.</param>
public sealed record DemoUsual(ImmutableDictionary<string, ImmutableArray<string>> Instruments, ImmutableDictionary<string, string> Checks);

/// <param name="Calibrated">Calendar day of the calibration, counted from the day of loading.</param>
/// <param name="Earlier">The states before, the earliest first.</param>
/// <param name="Check">Its check before use on every day it is used; null: none is asked for.</param>
public sealed record DemoInstrument(
    string Id, string Name, string Serial, string Quantity, string Unit, int Calibrated, int Valid, string Certificate, ImmutableArray<DemoFigure> Figures,
    InstrumentState State = InstrumentState.InService, string? AsFound = null, string? AsLeft = null, string? Laboratory = null, string? Reason = null, string? Range = null, string? Holder = null,
    ImmutableArray<DemoState>? Earlier = null, DemoCheck? Check = null, string? Digit = null)
{
    /// <summary>Every state, the earliest first.</summary>
    public IEnumerable<DemoInstrument> States => (Earlier ?? []).Select(e => this with { Calibrated = e.Calibrated, Valid = e.Valid, Certificate = e.Certificate, AsFound = e.AsFound, AsLeft = e.AsLeft, Reason = null }).Append(this);
}

public sealed record DemoState(int Calibrated, int Valid, string Certificate, string? AsFound = null, string? AsLeft = null);

/// <param name="Found">Departures found, day by day in turn.</param>
public sealed record DemoCheck(string Reference, string Limit, ImmutableArray<string> Found);

/// <param name="At">"-2 15:00": working day and plant time.</param>
public sealed record DemoReversal(string Instrument, string Person, string At, string Place, string First, string Second);

/// <param name="File">part,appraiser,trial,value.</param>
public sealed record DemoStudy(string Instrument, string Person, string At, string About, string? Tolerance, string File);

public sealed record DemoFigure(
    string Use, string A, string? BPerMetre = null, double? UpToMm = null, string? Random = null, string? Common = null, double? DegreesOfFreedom = null);

public sealed record DemoMachine(
    string Serial, string Model, string Customer, int Ordered, string OrderedBy, ImmutableArray<DemoRun>? Runs = null, ImmutableArray<DemoTerm>? Order = null,
    ImmutableArray<DemoStep>? Route = null, ImmutableArray<DemoList>? Lists = null, ImmutableArray<DemoRelease>? Releases = null,
    ImmutableArray<DemoSet>? Sets = null, ImmutableArray<DemoNonconformance>? Nonconformances = null, ImmutableArray<DemoPunch>? Punch = null,
    ImmutableArray<DemoCompared>? Compared = null, ImmutableArray<DemoTemperatures>? Temperatures = null, ImmutableArray<DemoFeet>? Feet = null,
    DemoDisclosure? Disclosure = null, ImmutableArray<DemoPhoto>? Files = null, ImmutableArray<DemoInvitation>? Invitations = null,
    DemoCustomersPart? CustomersPart = null, ImmutableArray<DemoReview>? Reviews = null);

/// <summary>The record of a step that is reviewed: a drawn chart, attached by one person and looked at by another, or not yet.</summary>
/// <param name="At">"-47 08:00": working day and plant time it was attached.</param>
/// <param name="By">Who looked at it; null where nobody did yet.</param>
public sealed record DemoReview(int Step, string Shows, string Name, string Person, string At, string? By = null, string? LookedAt = null, string? Note = null);

/// <summary>A photo of a transport indicator: a drawn picture.</summary>
/// <param name="At">"-1 15:10": working day and plant time.</param>
public sealed record DemoPhoto(int Step, string Shows, string Name, string Person, string At);

/// <summary>An invitation to a visit that is still to come.</summary>
/// <param name="Visit">Working day of the visit.</param>
/// <param name="At">"-11 09:00": working day and plant time.</param>
public sealed record DemoInvitation(string Hold, int Visit, string At);

/// <summary>Probes compared on one block.</summary>
/// <param name="At">"-1 29:20": working day and hours after its midnight, here the morning after it.</param>
public sealed record DemoCompared(string Person, string At, string Step, ImmutableArray<BlockReadings> Probes);

/// <summary>A round of foot moves, raise only and to the level.</summary>
/// <param name="Moves">mm as typed, by foot.</param>
public sealed record DemoFeet(string Line, string Person, string At, ImmutableSortedDictionary<string, string> Moves, string? Note = null);

/// <summary>A round of the bed's temperatures, as typed.</summary>
public sealed record DemoTemperatures(
    string Person, string At, int Step, string Air, ImmutableArray<string> Top, ImmutableArray<string> Bottom, ImmutableArray<string> TopProbes, ImmutableArray<string> BottomProbes);

/// <summary>Work at a step. Moments are "-41 07:10": working day and plant time; work over several days rests between the two times of day.</summary>
/// <param name="To">When it was finished, or left with a reason; null while somebody works on it.</param>
/// <param name="Paused">Why it was left unfinished.</param>
public sealed record DemoStep(int Step, string Person, string From, string? To = null, string? Paused = null)
{
    /// <summary>The lines of the route card that this work leaves.</summary>
    public IEnumerable<(int Day, string At, RouteAct Act, string? Reason)> Lines()
    {
        var (day, at) = Parts(From);
        if (To is null)
        {
            yield return (day, at, RouteAct.Start, null);
            yield break;
        }

        var (last, until) = Parts(To);
        for (; day < last; day++)
        {
            yield return (day, at, RouteAct.Start, null);
            yield return (day, until, RouteAct.Pause, "end of shift");
        }

        yield return (day, at, RouteAct.Start, null);
        yield return (last, until, Paused is null ? RouteAct.Finish : RouteAct.Pause, Paused);
    }

    internal static (int Day, string At) Parts(string moment) =>
        moment.Split(' ') is [var day, var at] ? (int.Parse(day, CultureInfo.InvariantCulture), at) : throw new FormatException($"demo plant: found '{moment}', expected a working day and a time.");
}

/// <summary>All runs of a step that stand in the machine's file of readings, one after the other.</summary>
/// <param name="Surveys">Only these of the step's surveys; null for all.</param>
/// <param name="Instruments">Register ids by survey, where they are not the usual ones.</param>
public sealed record DemoSet(
    int Step, string Person, ImmutableArray<string> Helpers, int Day, string At, decimal? Air = null, ImmutableArray<decimal>? Top = null, ImmutableArray<decimal>? Bottom = null,
    ImmutableDictionary<string, ImmutableArray<string>>? Instruments = null, DemoAnyway? Anyway = null, ImmutableArray<string>? Surveys = null)
{
    public bool Takes(Survey survey) => survey.Step == Step && (Surveys is not { } only || only.Contains(survey.Id));
}

/// <summary>A survey of a set that was measured in spite of the gradient, with the temperatures of its runs and the reason.</summary>
public sealed record DemoAnyway(string Survey, ImmutableArray<decimal> Top, ImmutableArray<decimal> Bottom, string Reason);

/// <summary>One run of a set, as it stands in the file: survey, feature, run, direction, place, column, typed.</summary>
public sealed record DemoSetRun(string Survey, string? Feature, Direction? Direction, ImmutableArray<(string Place, string Column, string Typed)> Readings)
{
    /// <summary>The runs of a machine's file in their order.</summary>
    public static IEnumerable<DemoSetRun> Read(string file) => File.ReadAllLines(file).Skip(1).Select(l => l.Split(','))
        .GroupBy(c => (Survey: c[0], Feature: c[1], Run: c[2], Direction: c[3]))
        .Select(g => new DemoSetRun(
            g.Key.Survey, g.Key.Feature.Length == 0 ? null : g.Key.Feature, g.Key.Direction.Length == 0 ? null : Enum.Parse<Direction>(g.Key.Direction, ignoreCase: true),
            [.. g.Select(c => (c[4], c[5], c[6]))]));
}

/// <summary>A nonconformance, from the result of a line or for something seen, with what was done about it.</summary>
/// <param name="At">"-42 13:20": working day and plant time.</param>
public sealed record DemoNonconformance(
    Severity Severity, string Person, string At, ImmutableArray<DemoEntry> Entries, string? Line = null, int? Step = null, SeenFault? Seen = null, string? Note = null);

public sealed record DemoEntry(
    NonconformanceAct Act, string Person, string At, string Text, Containment? Containment = null, CauseCategory? Cause = null, Disposition? Disposition = null, CustomerConsent? Consent = null);

/// <param name="Due">Working day.</param>
public sealed record DemoPunch(string Text, PunchClass Class, string Person, string At, string Owner, int Due, bool Outside = false);

/// <summary>An instrument found out of its limits, with what was decided about machines that rest on it.</summary>
/// <param name="At">"-2 15:00": working day and plant time.</param>
public sealed record DemoFinding(string Instrument, string Found, string Allowed, string Reference, string Person, string At, ImmutableArray<DemoAffectedDecision> Decisions);

public sealed record DemoAffectedDecision(string Serial, AffectedDecisionKind Kind, string Person, string At, string Note);

/// <summary>A yes/no list in which every question is answered yes.</summary>
public sealed record DemoList(string Survey, string Person, int Day, string At);

public sealed record DemoTerm(
    string Characteristic, string Origin, string Edition, string ApprovedBy, string Reason, string? Upper = null, string? Lower = null, string? Reference = null,
    DecisionRule? Rule = null);

/// <param name="At">HH:mm in plant time; null with <paramref name="MinutesAgo"/> before the moment of loading.</param>
public sealed record DemoRun(
    string Survey, RunKind Kind, string Person, ImmutableArray<string> Helpers, ImmutableArray<string> Instruments, string Check, int Day, int Minutes, string File,
    string? At = null, int? MinutesAgo = null, string? Proves = null, decimal? Air = null, ImmutableArray<decimal>? Top = null, ImmutableArray<decimal>? Bottom = null);

public sealed record DemoRelease(string Hold, string Person, int Day, string At);

/// <summary>Where a test expects a machine to stand, and a part of what it waits for.</summary>
/// <param name="HoursOf">Steps whose actual and planned hours of work are added up.</param>
public sealed record DemoStands(string Serial, int Step, string State, string Waits, double? Hours = null, decimal? PlannedHours = null, ImmutableArray<int>? HoursOf = null);

/// <summary>What a test expects of the loaded demo.</summary>
/// <param name="Certificates">How many the machine has, of all scopes.</param>
public sealed record DemoExpected(
    string Serial, string Line, double ValueUm, double WithinUm, double LimitUm, Verdict Verdict, double? UUm = null, double? AgainUm = null, double? RejectAboveUm = null,
    int Certificates = 0);
