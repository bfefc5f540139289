using System.Collections.Immutable;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.AsBuilt;

/// <summary>Lists a component as fitted.</summary>
public sealed record FitComponentRequest(string Serial, ScannedComponent Component);

/// <summary>Lists a component as swapped for another.</summary>
/// <param name="Old">Serial number scanned from what comes out.</param>
public sealed record SwapComponentRequest(string Serial, string Old, ScannedComponent Component, string Reason);

/// <summary>A component on the machine where it is or was.</summary>
/// <param name="Removed">When it was taken out; null while it is fitted.</param>
public sealed record ComponentWhereabouts(FittedComponent Component, Instant? Removed, string? RemovedBy);

/// <summary>Looks for a component over all machines.</summary>
public sealed class ComponentReader(Store store)
{
    /// <summary>Every component with this serial number, whatever its kind, the latest first: where it is, and where it was.</summary>
    public async Task<ImmutableArray<ComponentWhereabouts>> WithSerial(string number, CancellationToken ct)
    {
        var wanted = number.Trim();
        await using var db = store.OpenToRead();
        var rows = await db.Components.AsNoTracking().Where(c => c.Number == wanted).OrderByDescending(c => c.Id)
            .Select(c => new { Row = c, By = db.Components.Where(n => n.Replaces == c.Id).Select(n => new { n.AtUs, n.Person }).FirstOrDefault() }).ToListAsync(ct);
        return [.. rows.Select(r => new ComponentWhereabouts(ToComponent(r.Row), r.By is null ? null : new Instant(r.By.AtUs), r.By?.Person))];
    }

    /// <summary>One entry of a machine's as-built list, fitted still or not; null where there is none.</summary>
    public async Task<FittedComponent?> Entry(string machine, long id, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await db.Components.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id && c.Serial == machine, ct) is { } row ? ToComponent(row) : null;
    }

    internal static async Task<ImmutableArray<FittedComponent>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.Components.AsNoTracking().Where(c => c.Serial == serial).OrderBy(c => c.Id).ToListAsync(ct)).Select(ToComponent)];

    /// <summary>Where a component of a kind is fitted now; null for nowhere.</summary>
    internal static async Task<FittedComponent?> FittedNow(Db db, string kind, string number, CancellationToken ct) =>
        await db.Components.AsNoTracking().FirstOrDefaultAsync(c => c.Kind == kind && c.Number == number && !db.Components.Any(n => n.Replaces == c.Id), ct) is { } row ? ToComponent(row) : null;

    private static FittedComponent ToComponent(ComponentRow row) => new(
        row.Id, row.Serial, row.Place, row.Kind, row.Number, row.Firmware, row.Certificate, row.Begins, row.Ends, row.Replaces, row.Reason, row.Person, new Instant(row.AtUs));
}

/// <summary>Components fitted and swapped. A swap keeps both serial numbers, and is an act on the bed where the plan says so: what it makes void is to be repeated.</summary>
public sealed class ComponentActs(ActRunner acts)
{
    public Task<ActReceipt> Fit(Caller who, FitComponentRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.FitComponent, request, key, async act =>
        {
            var faults = MachineActs.Texts(("serial number", request.Component.Serial), ("place", request.Component.Place));
            faults.AddRange(Faults(request.Component));
            MachineActs.Throw(faults);
            var scanned = Plain(request.Component);
            var list = AsBuiltList.Of(await MachineReader.Load(act.Db, request.Serial, ct));
            RunRules.Refuse(ComponentRules.WhyNotFit(list, scanned, await Elsewhere(act.Db, list, scanned, ct)));
            Add(act, request.Serial, list.Find(scanned.Place)!, scanned, null);
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    public Task<ActReceipt> Swap(Caller who, SwapComponentRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.SwapComponent, request, key, async act =>
        {
            var faults = MachineActs.Texts(("old serial number", request.Old), ("new serial number", request.Component.Serial), ("place", request.Component.Place), ("reason", request.Reason));
            faults.AddRange(Faults(request.Component));
            MachineActs.Throw(faults);
            var scanned = Plain(request.Component);
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var list = AsBuiltList.Of(machine);
            RunRules.Refuse(ComponentRules.WhyNotSwap(list, request.Old.Trim(), scanned, await Elsewhere(act.Db, list, scanned, ct)));
            var place = list.Find(scanned.Place)!;
            if (place.Plan.AfterSwap is { } change)
            {
                MachineActs.NoOpenRun(machine);
                MachineActs.AddBedChange(act, request.Serial, change, $"{place.Name}: {place.Fitted!.Serial} swapped for {scanned.Serial}");
            }

            Add(act, request.Serial, place, scanned, request.Reason.Trim());
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, request);
        }, ct);

    private static void Add(ActContext act, string serial, ComponentPlace place, ScannedComponent scanned, string? reason) => act.Db.Components.Add(new ComponentRow
    {
        Id = act.NewId(), Serial = serial, Place = place.Id, Kind = place.Plan.Kind, Number = scanned.Serial, Firmware = scanned.Firmware, Certificate = scanned.Certificate, Begins = scanned.Begins,
        Ends = scanned.Ends, Replaces = place.Fitted?.Id, Reason = reason, Person = act.Who.Person, AtUs = act.Now.Microseconds,
    });

    private static async Task<FittedComponent?> Elsewhere(Db db, AsBuiltList list, ScannedComponent scanned, CancellationToken ct) =>
        list.Find(scanned.Place) is { } place ? await ComponentReader.FittedNow(db, place.Plan.Kind, scanned.Serial, ct) : null;

    private static List<InputFault> Faults(ScannedComponent scanned) => MachineActs.Texts(
        [.. new (string Where, string? Text)[] { ("firmware", scanned.Firmware), ("certificate", scanned.Certificate), ("joint it begins at", scanned.Begins), ("joint it ends at", scanned.Ends) }
            .Where(t => !string.IsNullOrWhiteSpace(t.Text))]);

    private static ScannedComponent Plain(ScannedComponent c) => new(c.Place.Trim(), c.Serial.Trim(), MachineActs.Plain(c.Firmware), MachineActs.Plain(c.Certificate), MachineActs.Plain(c.Begins)?.ToUpperInvariant(), MachineActs.Plain(c.Ends)?.ToUpperInvariant());
}
