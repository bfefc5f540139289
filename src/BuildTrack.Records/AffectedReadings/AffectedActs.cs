using System.Globalization;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.AffectedReadings;

/// <summary>Enters that an instrument was found out of its limits.</summary>
/// <param name="Found">Largest error as found, without sign, with unit: 9 µm.</param>
/// <param name="Allowed">Largest error allowed, with unit.</param>
/// <param name="LastGood">Day of the last check that was in order, yyyy-MM-dd; null: the day of the last good check before use, else of the last calibration.</param>
/// <param name="Reference">The certificate or record that shows the error.</param>
public sealed record RecordUnfitRequest(string Instrument, string Found, string Allowed, string? LastGood, string Reference);

/// <summary>Decides about one machine of a review.</summary>
public sealed record DecideAffectedRequest(long Finding, string Serial, AffectedDecisionKind? Kind, string Note);

/// <param name="Finding">Number of the finding, whose review is open now.</param>
public sealed record UnfitReceipt(long Sequence, string Instrument, long Finding);

/// <summary>An instrument found out of its limits, and what is decided about the machines that rest on it.</summary>
public sealed class AffectedActs(ActRunner acts)
{
    /// <summary>Puts the instrument out of use and every result that rests on it, since its last good check, in doubt: one act.</summary>
    public Task<UnfitReceipt> RecordUnfit(Caller who, RecordUnfitRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.RecordUnfit, request, key, async act =>
        {
            var row = await act.Db.Instruments.AsNoTracking().Where(i => i.Id == request.Instrument).OrderByDescending(i => i.Revision).FirstOrDefaultAsync(ct)
                ?? throw new NotFoundException($"There is no instrument {request.Instrument}.");
            var entry = CanonicalJson.Read<RegisterEntry>(row.Entry);
            var today = (await PlantReader.Time(act.Db, ct)).Day(act.Now);
            var lastGood = string.IsNullOrWhiteSpace(request.LastGood) ? InstrumentRules.LastGood(entry, (await InstrumentReader.Find(act.Db, entry.Id, ct))!.Value.Checks) : request.LastGood.Trim();
            var faults = MachineActs.Texts(("reference", request.Reference));
            var found = AmountOf("error found", request.Found, entry, faults);
            var allowed = AmountOf("error allowed", request.Allowed, entry, faults);
            if (!DateOnly.TryParseExact(lastGood, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out _) || string.CompareOrdinal(lastGood, today) > 0)
            {
                faults.Add(new InputFault("last good check", $"'{lastGood}'", $"a date like 2026-11-25, not after {today}"));
            }

            MachineActs.Throw(faults);
            if (AffectedRules.WhyNotFind(entry, found!, allowed!) is { } rule)
            {
                throw new RefusedException(rule);
            }

            entry = entry with { Revision = row.Revision + 1, State = InstrumentState.OutOfLimits, IntervalReason = null };
            act.Db.Instruments.Add(new InstrumentRow { Id = entry.Id, Revision = entry.Revision, Entry = CanonicalJson.Of(entry), AtUs = act.Now.Microseconds, By = who.Person });
            var finding = new UnfitFindingRow
            {
                Id = act.NewId(), Instrument = entry.Id, Revision = entry.Revision, Found = found!.ToString(), Allowed = allowed!.ToString(), LastGood = lastGood, FoundOn = today,
                Reference = request.Reference.Trim(), Person = who.Person, AtUs = act.Now.Microseconds,
            };
            act.Db.UnfitFindings.Add(finding);
            foreach (var serial in await act.Db.RunInstruments.Where(i => i.Instrument == entry.Id && i.Day.CompareTo(lastGood) >= 0).Select(i => i.Serial).Distinct().ToListAsync(ct))
            {
                await act.Touch(serial, ct);
            }

            return new ActResult<UnfitReceipt>(new UnfitReceipt(act.Sequence, entry.Id, finding.Id), entry.Id, new { request, Finding = finding.Id, LastGood = lastGood, Entry = entry });
        }, ct);

    /// <summary>Records a decision about a machine; "negligible" only where every affected result stays accepted with the error found.</summary>
    public Task<ActReceipt> Decide(Caller who, DecideAffectedRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.DecideAffected, request, key, async act =>
        {
            var finding = await AffectedReader.Find(act.Db, request.Finding, ct);
            var faults = MachineActs.Texts(("note", request.Note));
            if (request.Kind is null || !Enum.IsDefined(request.Kind.Value))
            {
                faults.Add(new InputFault("decision", request.Kind is null ? "nothing" : $"'{request.Kind}'", string.Join(" or ", Enum.GetNames<AffectedDecisionKind>())));
            }

            MachineActs.Throw(faults);
            var affected = AffectedMachine.Of(await MachineReader.Load(act.Db, request.Serial, ct), finding);
            if (AffectedRules.WhyNotDecide(request.Serial, finding, affected, request.Kind!.Value) is { } rule)
            {
                throw new RefusedException(rule);
            }

            act.Db.AffectedDecisions.Add(new AffectedDecisionRow
            {
                Id = act.NewId(), FindingId = finding.Id, Serial = request.Serial, Kind = (int)request.Kind.Value, Person = who.Person, AtUs = act.Now.Microseconds, Note = request.Note.Trim(),
                Recalculated = CanonicalJson.Of(affected!.Results),
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, new { request, affected.Results });
        }, ct);

    private static Amount? AmountOf(string where, string? typed, RegisterEntry entry, List<InputFault> faults)
    {
        if (NumberText.TryAmount(typed, out var amount) && amount.Value > 0 && Units.Calculated(amount.Unit) == Units.Calculated(entry.Unit))
        {
            return amount;
        }

        faults.Add(new InputFault(where, string.IsNullOrWhiteSpace(typed) ? "nothing" : $"'{typed}'", $"a size above 0 with a unit like {entry.Unit}"));
        return null;
    }
}
