using System.Collections.Immutable;
using System.Security.Cryptography;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Plant;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Certificates;

/// <summary>Takes certificate numbers inside an act: number, frozen record and promise to render stand or fall with it.</summary>
public sealed class CertificateIssuer(ICertificateRenderer renderer, FileStore files)
{
    /// <summary>Issues for every scope that a released hold point completes; or says what blocks it.</summary>
    internal async Task<(CertificateRow? Certificate, string? Blocked)> WhenComplete(ActContext act, string serial, string hold, CancellationToken ct)
    {
        var machine = await MachineReader.Load(act.Db, serial, ct);
        foreach (var scope in machine.Revision.Scopes.Where(s => s.Holds.Contains(hold) && CertificateRules.WhyNotComplete(machine, s) is null))
        {
            return await WhyBlocked(act.Db, machine, scope, ct) is { } blocked ? (null, blocked) : (await Take(act, machine, scope, ct), null);
        }

        return (null, null);
    }

    /// <summary>What blocks a certificate although its hold points are released: the punch list, an open nonconformance, a step that was opened again, evidence that is missing or was changed on disk.</summary>
    internal async Task<string?> WhyBlocked(Db db, MachineRecord machine, CertificateScope scope, CancellationToken ct)
    {
        if (!await db.Plants.AnyAsync(ct))
        {
            return "the plant's name, prefix and time zone are not set; an administrator sets them, then an inspector issues";
        }

        if (CertificateRules.WhyBlocked(machine, scope) is { } blocked)
        {
            return blocked;
        }

        if (await StepFileReader.WhyNotSound(files, machine.Files, ct) is { } unsound)
        {
            return $"{unsound}; restore it from the backup, then issue the certificate";
        }

        var surveys = scope.Holds.SelectMany(h => machine.SurveysOfHold(h)).ToHashSet();
        foreach (var run in machine.Measurements.Where(m => surveys.Contains(m.Survey)).SelectMany(m => m.Runs))
        {
            foreach (var hash in run.Readings.Select(r => r.Value.FileHash).Append(run.FileHash).OfType<string>().Distinct())
            {
                if (await files.WhyNotSound(hash, ct) is { } why)
                {
                    return $"evidence of run {run.No}: {why}; restore it from the backup, then issue the certificate";
                }
            }
        }

        return null;
    }

    internal async Task<CertificateRow> Take(ActContext act, MachineRecord machine, CertificateScope scope, CancellationToken ct)
    {
        var plant = await PlantReader.Get(act.Db, ct);
        var time = new PlantTime(plant.TimeZone);
        var last = machine.Certificates.Where(c => c.Scope == scope.Id).MaxBy(c => c.Issue);
        var number = last?.Number ?? await NextNumber(act, plant, time.Year(act.Now), ct);
        var issue = (last?.Issue ?? 0) + 1;
        var supersedes = last is null ? null
            : $"Amendment: replaces issue {last.Issue} of {time.Day(last.At)}{(last.VoidReason is { } why ? $", void: {why}" : machine.Changes.LastOrDefault(c => c.Id > last.Id) is { } change ? $", after {change.Sentence(machine.Revision)}" : "")}.";
        var record = await new CertificateWriter(act.Db, machine, scope, plant, time, renderer.KeyFingerprint)
            .Write(number, issue, supersedes, act.Now, new HistoryCheckpoint(act.Sequence - 1, act.PreviousHash), ct);
        var text = CanonicalJson.Of(record);
        var row = new CertificateRow
        {
            Id = act.NewId(), Serial = machine.Serial, Scope = scope.Id, Number = number, Issue = issue, Stage = (int)CertificateStage.Numbered,
            AtUs = act.Now.Microseconds, RecordText = text, RecordHash = CanonicalJson.Hash(text),
        };
        act.Db.Certificates.Add(row);
        act.Db.Outbox.Add(new OutboxRow
        {
            Id = act.NewId(), Kind = OutboxWorker.RenderCertificate, Subject = row.Id, CreatedUs = act.Now.Microseconds, NextUs = act.Now.Microseconds,
        });
        return row;
    }

    // The number is taken in the act that needs it and given back with it: no gap, no number twice.
    private static async Task<string> NextNumber(ActContext act, PlantSettings plant, int year, CancellationToken ct)
    {
        var row = await act.Db.Numbers.SingleOrDefaultAsync(n => n.Year == year, ct);
        if (row is null)
        {
            row = new NumberRow { Year = year, Last = plant.FirstNumber - 1 };
            act.Db.Numbers.Add(row);
        }

        row.Last++;
        return CertificateNumber.Of(plant.Prefix, year, row.Last);
    }
}

/// <summary>Gathers what a certificate says.</summary>
internal sealed class CertificateWriter(Db db, MachineRecord machine, CertificateScope scope, PlantSettings plant, PlantTime time, string fingerprint)
{
    public async Task<CertificateRecord> Write(string number, int issue, string? supersedes, Instant now, HistoryCheckpoint history, CancellationToken ct)
    {
        var checklist = await db.Checklists.AsNoTracking().SingleAsync(c => c.Hash == machine.Revision.Hash, ct);
        var holds = scope.Holds.Select(id => machine.StandingOfHold(machine.Revision.Holds.Single(h => h.Id == id))).ToImmutableArray();
        var results = holds.SelectMany(h => h.Characteristics)
            .Select(c => CertifiedResult.Of(c.Agreed.Characteristic.Line, c.Agreed.Characteristic.Title, c.Evaluation!.Hash, c.Evaluation.Record)).ToImmutableArray();
        var releases = holds.Select(h => Release(h.Hold, h.Released!)).ToImmutableArray();
        var surveys = scope.Holds.SelectMany(h => machine.SurveysOfHold(h)).ToHashSet();
        var replaced = machine.Measurements.Where(m => surveys.Contains(m.Survey) && machine.Current(m.Survey, m.Feature)!.Id != m.Id)
            .Select(m => new ReplacedMeasurement(
                m.Survey, machine.Revision.Survey(m.Survey).Title, m.No, time.Long(m.Begun),
                machine.Measurements.First(n => n.Survey == m.Survey && n.Feature == m.Feature && n.No == m.No + 1).RepeatedBecause ?? "",
                [.. m.Runs.SelectMany(r => r.Hands).Distinct()])).ToImmutableArray();
        var named = machine.Measurements.Where(m => surveys.Contains(m.Survey)).SelectMany(m => m.Runs).SelectMany(r => r.Hands)
            .Concat(releases.Select(r => r.Person)).Concat(releases.SelectMany(r => new[] { r.ConfirmedBy, r.For }).OfType<string>()).Append(checklist.ApprovedBy!).Concat(machine.Order.Select(t => t.ApprovedBy)).ToHashSet();
        named.UnionWith(machine.Concessions.SelectMany(c => c.Approvals.Select(a => a.Person).Concat(c.Consent is { } k ? [k.Person] : [])));
        var witnesses = holds.Where(h => h.Hold.Witness is not null).Select(h => WitnessStanding.Of(machine, h.Hold)).Where(w => w.Outcome is not null).Select(Witness).ToImmutableArray();
        named.UnionWith(witnesses.Select(w => w.AttestedBy));
        named.UnionWith(machine.Disclosure is { } list ? new[] { list.Person, list.ApprovedBy }.OfType<string>() : []);
        named.UnionWith(machine.OpenPunch.Where(i => !i.Outside).Select(i => i.Owner));
        var fitted = holds.Any(h => h.Hold.AsBuilt) ? AsBuiltList.Of(machine).Places.Where(p => p.Fitted is not null).ToImmutableArray() : [];
        named.UnionWith(fitted.SelectMany(p => p.TakenOut.Select(t => t.New.Person).Append(p.Fitted!.Person)));
        var papers = Papers(surveys).ToImmutableArray();
        named.UnionWith(papers.SelectMany(p => new[] { p.MeasuredBy, p.EnteredBy, p.ConfirmedBy }));
        var people = (await db.Persons.AsNoTracking().Where(p => named.Contains(p.Person)).ToListAsync(ct))
            .ToImmutableSortedDictionary(p => p.Person, p => new CertifiedPerson(p.Name, p.Roles), StringComparer.Ordinal);
        return new CertificateRecord(
            CertificateRecord.CurrentFormat, number, issue, scope.Id, scope.Title, new Domain.Certificates.Plant(plant.Name, plant.Prefix, plant.TimeZone), now, time.Long(now),
            supersedes, new CertifiedMachine(machine.Serial, machine.Model.Id, machine.Model.Name, machine.Model.Class, machine.Customer, machine.Model.SeatLengthMm, machine.Model.GaugeMm),
            new ApprovedLimits(machine.Revision.Edition, machine.Revision.Hash, checklist.ApprovedBy!, time.Long(new Instant(checklist.ApprovedUs!.Value))),
            results, releases, people, replaced, history, fingerprint, [.. machine.Concessions.Select(Concession)],
            [.. machine.OpenPunch.Select(i => new CertifiedPunchItem(i.No, i.Class.ToString(), i.Text, i.Owner, i.Due))],
            witnesses.IsEmpty ? null : witnesses, fitted.IsEmpty ? null : [.. fitted.Select(Component)], machine.Disclosure is { List.IsEmpty: false } agreed ? Disclosure(agreed) : null,
            papers.IsEmpty ? null : papers);
    }

    // Every run from paper that counts is confirmed, or the certificate is blocked (R-PAPER-09).
    private IEnumerable<CertifiedPaper> Papers(HashSet<string> surveys) =>
        from survey in machine.Revision.Surveys.Where(s => surveys.Contains(s.Id))
        from measurement in machine.Currents(survey.Id).OfType<Measurement>()
        from run in measurement.Runs
        where run.Counts && run.Kind != RunKind.SpotCheck
        let standing = PaperStanding.Of(machine, run)
        where standing is { Confirmed: true }
        select new CertifiedPaper(
            survey.Id, survey.Title, measurement.No, measurement.Feature, run.No, standing.Paper.Code, standing.Scan.Name, standing.Scan.Hash, standing.Paper.MeasuredBy, standing.Paper.Person,
            standing.Compared!.Person, time.Long(standing.Compared.At), standing.Compared.Remark);

    private CertifiedDisclosure Disclosure(DisclosureRevision agreed) => new(
        agreed.List, agreed.Revision, AgreedAtReview.PointOf(machine.Revision).Id, agreed.AgreedWith, agreed.Reason, agreed.Person, agreed.ApprovedBy, time.Long(agreed.At),
        Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16)));

    private CertifiedComponent Component(ComponentPlace place)
    {
        var fitted = place.Fitted!;
        return new CertifiedComponent(
            place.Id, place.Name, place.Plan.Assembly, fitted.Serial, fitted.Firmware, fitted.Certificate, fitted.Begins is null && fitted.Ends is null ? null : $"{fitted.Begins ?? "end"} to {fitted.Ends ?? "end"}",
            fitted.Person, time.Long(fitted.At), place.TakenOut.IsEmpty ? null : [.. place.TakenOut.Select(t => new CertifiedSwap(t.Old.Serial, t.New.Reason ?? "", t.New.Person, time.Long(t.New.At)))]);
    }

    private CertifiedWitness Witness(WitnessStanding standing)
    {
        var (invited, outcome) = (standing.Invitation, standing.Outcome!);
        return new CertifiedWitness(
            standing.Hold.Id, standing.Hold.Name, outcome.Witness, outcome.Organisation, WitnessStanding.Words(outcome.Act), invited?.Visit, invited?.Notice, outcome.Letter ?? invited?.Letter,
            outcome.Remark, outcome.Statement, outcome.FileHash, outcome.Person, time.Long(outcome.At));
    }

    private CertifiedRelease Release(HoldPoint hold, HoldDecision released) => new(
        hold.Id, hold.Name, released.Person, released.At, time.Long(released.At), released.Sheet,
        ReleaseRules.HandsOf(machine, hold).Any(h => h.Person == released.Person) ? true : null, released.ConfirmedBy is null ? null : released.Reason, released.ConfirmedBy,
        released.For?.Person, released.For?.Delegation);

    private CertifiedConcession Concession(Concession concession) => new(
        concession.Name, concession.Of.Name, Approval.Word(concession.Proposal.Detail.Disposition!.Value), concession.Of.Required, concession.Of.Found, concession.Of.Result,
        concession.Proposal.Detail.Text, [.. concession.Approvals.Select(a => new CertifiedApproval(a.Person, string.Join(", ", a.Detail.Roles), time.Long(a.At)))],
        concession.Consent is { Detail.Consent: { } consent } entry ? new CertifiedConsent(consent.Person, consent.Letter, entry.Person, time.Long(entry.At)) : null);
}
