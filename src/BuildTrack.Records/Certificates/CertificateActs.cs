using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.Releases;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Certificates;

/// <summary>A certificate in the list; void ones stay listed.</summary>
/// <param name="CopyHash">SHA-256 of the customer's copy; null where there is none.</param>
public sealed record CertificateLine(
    string Number, int Issue, string Scope, string Serial, CertificateStage Stage, Instant At, string RecordHash, string? FileHash, string? VoidReason, string? VoidedBy, string? CopyHash);

public sealed class CertificateReader(Store store, FileStore files)
{
    /// <summary>Every certificate, the last number first.</summary>
    public async Task<ImmutableArray<CertificateLine>> List(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Lines(LastFirst(db), ct);
    }

    /// <summary>A part of the list, in the same order.</summary>
    public async Task<ImmutableArray<CertificateLine>> Part(int skip, int take, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Lines(LastFirst(db).Skip(skip).Take(take), ct);
    }

    /// <summary>How many there are, and how many of them are issued.</summary>
    public async Task<(int All, int Issued)> Count(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var stages = await db.Certificates.GroupBy(c => c.Stage).Select(g => new { Stage = g.Key, Count = g.Count() }).ToListAsync(ct);
        return (stages.Sum(s => s.Count), stages.Where(s => s.Stage == (int)CertificateStage.Issued).Sum(s => s.Count));
    }

    /// <summary>One certificate; null where there is none of that number.</summary>
    public async Task<CertificateLine?> Find(string number, int issue, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return (await Lines(db.Certificates.Where(c => c.Number == number && c.Issue == issue), ct)).FirstOrDefault();
    }

    private static IQueryable<CertificateRow> LastFirst(Db db) => db.Certificates.OrderByDescending(c => c.Number).ThenByDescending(c => c.Issue);

    private static async Task<ImmutableArray<CertificateLine>> Lines(IQueryable<CertificateRow> rows, CancellationToken ct) =>
        [.. (await rows.Select(c => new { c.Number, c.Issue, c.Scope, c.Serial, c.Stage, c.AtUs, c.RecordHash, c.FileHash, c.VoidReason, c.VoidedBy, c.CopyHash }).ToListAsync(ct))
            .Select(c => new CertificateLine(c.Number, c.Issue, c.Scope, c.Serial, (CertificateStage)c.Stage, new Instant(c.AtUs), c.RecordHash, c.FileHash, c.VoidReason, c.VoidedBy, c.CopyHash))];

    /// <summary>The sealed document; null while it is not rendered yet, or where there is no such certificate.</summary>
    public async Task<byte[]?> Pdf(string number, int issue, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var hash = await db.Certificates.Where(c => c.Number == number && c.Issue == issue).Select(c => c.FileHash).SingleOrDefaultAsync(ct);
        return hash is null ? null : await files.Get(hash, ct);
    }

    /// <summary>The sealed customer's copy; null while it is not rendered yet, and where no disclosure list was agreed: the certificate is the copy then.</summary>
    public async Task<byte[]?> Copy(string number, int issue, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var hash = await db.Certificates.Where(c => c.Number == number && c.Issue == issue).Select(c => c.CopyHash).SingleOrDefaultAsync(ct);
        return hash is null ? null : await files.Get(hash, ct);
    }

    /// <summary>The canonical text of the record.</summary>
    public async Task<string?> RecordText(string number, int issue, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await db.Certificates.Where(c => c.Number == number && c.Issue == issue).Select(c => c.RecordText).SingleOrDefaultAsync(ct);
    }
}

/// <summary>Issuing what was blocked, and making a certificate void.</summary>
public sealed class CertificateActs(ActRunner acts, PasswordCheck passwords, CertificateIssuer issuer)
{
    /// <summary>Issues the certificate of a completed scope whose last release was blocked.</summary>
    public async Task<ReleaseReceipt> Issue(Caller who, IssueRequest request, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.IssueCertificate))
        {
            throw new NotAllowedException(ActKind.IssueCertificate, who);
        }

        await passwords.Demand(who, request.Password, ct);
        return await acts.Do(who, ActKind.IssueCertificate, new { request.Serial, request.Scope }, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var scope = machine.Revision.Scopes.SingleOrDefault(s => s.Id == request.Scope)
                ?? throw new BadInputException("scope", $"'{request.Scope}'", string.Join(" or ", machine.Revision.Scopes.Select(s => s.Id)));
            var why = CertificateRules.WhyNotComplete(machine, scope) ?? await issuer.WhyBlocked(act.Db, machine, scope, ct)
                ?? (CertificateRules.Covering(machine, scope) is { } covering ? $"certificate {covering.Number} issue {covering.Issue} covers these releases already" : null);
            if (why is not null)
            {
                throw new RefusedException(new BrokenRule(CertificateRules.NotIssued, $"No certificate '{scope.Id}' for {request.Serial}: {why}."));
            }

            var row = await issuer.Take(act, machine, scope, ct);
            await act.Touch(request.Serial, ct);
            return new ActResult<ReleaseReceipt>(
                new ReleaseReceipt(act.Sequence, scope.Id, row.Number, row.Issue, null), request.Serial, new { request.Serial, request.Scope, row.Number, row.Issue, row.RecordHash });
        }, ct);
    }

    /// <summary>Makes an issue void. It stays listed, with who and why.</summary>
    public async Task<ActReceipt> Void(Caller who, VoidRequest request, string? key, CancellationToken ct)
    {
        if (!Permissions.May(who.Roles, ActKind.VoidCertificate))
        {
            throw new NotAllowedException(ActKind.VoidCertificate, who);
        }

        await passwords.Demand(who, request.Password, ct);
        return await acts.Do(who, ActKind.VoidCertificate, new { request.Number, request.Issue, request.Reason }, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var row = await act.Db.Certificates.SingleOrDefaultAsync(c => c.Number == request.Number && c.Issue == request.Issue, ct)
                ?? throw new NotFoundException($"There is no certificate {request.Number} issue {request.Issue}.");
            if (row.Stage == (int)CertificateStage.Void)
            {
                throw new RefusedException(new BrokenRule(CertificateRules.VoidAlready, $"Certificate {request.Number} issue {request.Issue} was made void by {row.VoidedBy}: {row.VoidReason}."));
            }

            await act.Touch(row.Serial, ct);
            (row.Stage, row.VoidReason, row.VoidedBy) = ((int)CertificateStage.Void, request.Reason, who.Person);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, row.Serial), row.Serial, new { request.Number, request.Issue, request.Reason });
        }, ct);
    }
}
