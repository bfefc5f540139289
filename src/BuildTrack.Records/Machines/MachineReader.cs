using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.PunchList;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Corrections;
using BuildTrack.Records.Disclosure;
using BuildTrack.Records.Kits;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.PaperProtocols;
using BuildTrack.Records.Plant;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Records.RecordReviews;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Temperatures;
using BuildTrack.Records.Witnessing;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Machines;

/// <summary>Reads a machine's record whole: rules and pages then look at one and the same thing.</summary>
public sealed class MachineReader(Store store, MachineDigests digests)
{
    /// <exception cref="NotFoundException">No such serial number.</exception>
    public async Task<MachineRecord> Load(string serial, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Load(db, serial, ct);
    }

    /// <summary>Says what is needed of each machine, before the first who asks.</summary>
    public static void Needs(MachineDigests digests) => digests.Needs(Line);

    public Task<ImmutableArray<MachineLine>> List(CancellationToken ct) => digests.Of(Line, ct);

    /// <summary>Every machine's record whole, by serial number: for checks and exports, not for a list that somebody waits for.</summary>
    public async Task<ImmutableArray<MachineRecord>> LoadAll(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var serials = await Serials(db, ct);
        var all = ImmutableArray.CreateBuilder<MachineRecord>(serials.Count);
        foreach (var serial in serials)
        {
            all.Add(await Load(db, serial, ct));
        }

        return all.ToImmutable();
    }

    /// <summary>Every serial number, in order.</summary>
    public async Task<IReadOnlyList<string>> Serials(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Serials(db, ct);
    }

    private static Task<List<string>> Serials(Db db, CancellationToken ct) => db.Machines.Select(m => m.Serial).OrderBy(s => s).ToListAsync(ct);

    internal static async Task<MachineRecord> Load(Db db, string serial, CancellationToken ct)
    {
        var row = await db.Machines.AsNoTracking().SingleOrDefaultAsync(m => m.Serial == serial, ct)
            ?? throw new NotFoundException($"There is no machine {serial}.");
        var (plan, approved) = await ChecklistReader.Of(db, row.ChecklistHash, ct);
        var points = await CustomersPointActs.Of(db, serial, ct);
        var revision = CustomersPoints.Apply(plan, points.LastOrDefault());
        var readings = await KeptReadings.Of(db, serial, ct);
        var runs = (await db.Runs.AsNoTracking().Where(r => r.Serial == serial).ToListAsync(ct)).ToLookup(r => r.MeasurementId, r => r.ToRun(readings.GetValueOrDefault(r.Id, [])));
        var measurements = await db.Measurements.AsNoTracking().Where(m => m.Serial == serial).OrderBy(m => m.Id).ToListAsync(ct);
        var changes = await db.BedChanges.AsNoTracking().Where(c => c.Serial == serial).OrderBy(c => c.Id).ToListAsync(ct);
        var latest = await db.Evaluations.AsNoTracking().Where(e => e.Serial == serial).GroupBy(e => e.Line).Select(g => g.Max(e => e.Id)).ToListAsync(ct);
        var evaluations = await EvaluationCache.Read(db, latest, ct);
        var decisions = await db.Decisions.AsNoTracking().Where(d => d.Serial == serial).OrderBy(d => d.Id).ToListAsync(ct);
        var certificates = await db.Certificates.AsNoTracking().Where(c => c.Serial == serial).OrderBy(c => c.Id)
            .Select(c => new { c.Id, c.Scope, c.Number, c.Issue, c.Stage, c.AtUs, c.RecordHash, c.FileHash, c.VoidReason, c.VoidedBy, c.CopyHash }).ToListAsync(ct);
        var route = await db.Route.AsNoTracking().Where(e => e.Serial == serial).OrderBy(e => e.Id).ToListAsync(ct);
        return new MachineRecord(
            row.Serial, revision.Model(row.Model), row.Customer, revision, approved,
            CanonicalJson.Read<ImmutableArray<OrderTerm>>(row.Order),
            [.. measurements.Select(m => m.ToMeasurement(runs[m.Id]))],
            [.. changes.Select(c => new BedChange(c.Id, c.Change, c.Note, c.Person, new Instant(c.AtUs)))],
            evaluations,
            [.. decisions.Select(d => new HoldDecision(d.Id, d.Hold, (HoldDecisionKind)d.Kind, d.Person, new Instant(d.AtUs), d.Reason, d.Sheet, CanonicalJson.Read<ImmutableArray<string>>(d.Evaluations), d.Act) {
                ConfirmedBy = d.ConfirmedBy, For = d is { ForPerson: { } person, Delegation: { } no } ? new ActingFor(person, no) : null,
            })],
            [.. certificates.Select(c => new CertificateState(c.Id, c.Scope, c.Number, c.Issue, (CertificateStage)c.Stage, new Instant(c.AtUs), c.RecordHash, c.FileHash, c.VoidReason, c.VoidedBy, c.CopyHash))],
            [.. route.Select(e => new RouteEntry(
                e.Id, e.Step, (RouteAct)e.Act, e.Person, new Instant(e.AtUs), e.Reason, e is { Trigger: { } trigger, FoundAt: { } found } ? new SentBack(trigger, found) : null))],
            new Instant(row.OrderedUs), row.Version)
        {
            Nonconformances = await NonconformanceReader.Load(db, n => n.Serial == serial, ct),
            Punch = await PunchOf(db, serial, ct),
            Temperatures = await TemperatureReader.RoundsOf(db, serial, ct),
            FootRounds = await FootReader.Of(db, serial, ct),
            Choices = await CorrectionActs.Of(db, serial, ct),
            Findings = await AffectedReader.FindingsOf(db, serial, ct),
            Files = await StepFileReader.Of(db, serial, ct),
            Reviews = await RecordReviewActs.Of(db, serial, ct),
            Papers = await PaperActs.Of(db, serial, ct),
            Components = await ComponentReader.Of(db, serial, ct),
            Witness = await WitnessActs.Of(db, serial, ct),
            Promises = await PromiseActs.Of(db, serial, ct),
            Kit = await KitActs.Of(db, serial, ct),
            Plan = plan,
            CustomersPointsRevisions = points,
            DisclosureRevisions = await DisclosureActs.Of(db, serial, ct),
        };
    }

    private static async Task<ImmutableArray<PunchItem>> PunchOf(Db db, string serial, CancellationToken ct)
    {
        var items = await db.PunchItems.AsNoTracking().Where(i => i.Serial == serial).OrderBy(i => i.No).ToListAsync(ct);
        if (items.Count == 0)
        {
            return [];
        }

        var ids = items.Select(i => i.Id).ToList();
        var entries = (await db.PunchEntries.AsNoTracking().Where(e => ids.Contains(e.ItemId)).ToListAsync(ct)).ToLookup(e => e.ItemId);
        return [.. items.Select(i => i.ToPunchItem(entries[i.Id]))];
    }

    /// <summary>Where a machine stands, what it really waits for, and since when.</summary>
    /// <param name="time">The plant's clock: a bed that is too warm waits until a time of day.</param>
    public static MachineLine Line(MachineRecord machine, PlantTime time)
    {
        var route = machine.Route;
        MachineLine Says(string state, string next, Instant? since) =>
            new(machine.Serial, machine.Model.Id, machine.Model.Class, machine.Customer, state, next, since ?? machine.Ordered, route.Current is null && route.OnHold is null);

        if (route.OnHold is { } held)
        {
            return Says("on hold", held.Reason ?? "", held.At);
        }

        if (route.Current is not { } at)
        {
            return Says("route complete", machine.Certificates.LastOrDefault() is { } c ? $"certificate {c.Number}" : "", route.Steps.Max(s => s.Since));
        }

        var state = $"{at.Step.Number} {at.Step.Name}, {at.Word}";
        if (GradientStanding.WaitingAt(machine, at.Step.Number) is { } gradient)
        {
            return Says(state, gradient.Sentence(time), gradient.Latest!.At);
        }

        if (at.State is StepState.Paused or StepState.Rework)
        {
            return Says(state, at.Because ?? "", at.Since);
        }

        if (at.Holds.FirstOrDefault(h => h.Released is null) is { } hold && at.State != StepState.Ready)
        {
            return Says(state, hold switch
            {
                { Ready: true, Returned: { } back } => $"{hold.Hold.Id} returned: {back.Reason}",
                { Ready: true } => $"release of {hold.Hold.Id}",
                { Worst: null, Blocked: { } blocked } => blocked.Sentence,
                _ => hold.Worst!.RepeatBecause is { } why ? $"{hold.Hold.Id}: {hold.Worst.Agreed.Characteristic.Title} to be repeated: {why}"
                    : $"{hold.Hold.Id}: {hold.Worst.Agreed.Characteristic.Title} {hold.Worst.Word}. {hold.Worst.Evaluation?.Record.Result.Next.Sentence}",
            }, at.Since);
        }

        if (at is { State: StepState.InProgress, Step.Leaves: true })
        {
            return Says(state, "arrival at the customer", at.Since);
        }

        return Says(state, at.State == StepState.Ready ? $"work to begin: {machine.Revision.WorkCentres.FirstOrDefault(c => c.Id == at.Step.WorkCentre)?.Name ?? at.Step.WorkCentre}" : "", at.Since);
    }
}
