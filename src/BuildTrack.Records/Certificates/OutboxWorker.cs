using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Machines;
using BuildTrack.Records.Files;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Logging;

namespace BuildTrack.Records.Certificates;

/// <summary>Does what acts have promised. Whoever calls it, however often, at once or after a kill: each promise is kept exactly once.</summary>
/// <remarks>Renders outside any lock; one conditional update decides whose document counts.</remarks>
public sealed class OutboxWorker(Store store, FileStore files, ICertificateRenderer renderer, TimeProvider clock, ILogger<OutboxWorker> log)
{
    public const string RenderCertificate = "render certificate";
    private const int MostAttempts = 20;

    /// <summary>Works off everything that is due; returns how many promises were kept by this call.</summary>
    public async Task<int> Drain(CancellationToken ct)
    {
        var now = Instant.Now(clock).Microseconds;
        List<OutboxRow> due;
        await using (var db = store.OpenToRead())
        {
            due = await db.Outbox.Where(o => o.DoneUs == null && !o.Dead && o.NextUs <= now).OrderBy(o => o.Id).ToListAsync(ct);
        }

        var kept = 0;
        foreach (var row in due)
        {
            kept += await One(row, ct) ? 1 : 0;
        }

        return kept;
    }

    private async Task<bool> One(OutboxRow row, CancellationToken ct)
    {
        try
        {
            return await Render(row, ct);
        }
        catch (Exception error) when (error is not OperationCanceledException)
        {
            log.LogError(error, "Outbox row {Id} ({Kind} {Subject}) failed at attempt {Attempt}", row.Id, row.Kind, row.Subject, row.Attempts + 1);
            await using var db = store.Open();
            var attempts = row.Attempts + 1;
            var wait = TimeSpan.FromSeconds(Math.Min(600, 1 << Math.Min(attempts, 9)));
            await db.Outbox.Where(o => o.Id == row.Id && o.DoneUs == null).ExecuteUpdateAsync(s => s
                .SetProperty(o => o.Attempts, attempts)
                .SetProperty(o => o.LastError, error.Message)
                .SetProperty(o => o.Dead, attempts >= MostAttempts)
                .SetProperty(o => o.NextUs, Instant.Now(clock).Microseconds + (long)wait.TotalMicroseconds), CancellationToken.None);
            return false;
        }
    }

    private async Task<bool> Render(OutboxRow row, CancellationToken ct)
    {
        await using var db = store.Open();
        var certificate = await db.Certificates.AsNoTracking().SingleAsync(c => c.Id == row.Subject, ct);
        var first = false;
        if (certificate.Stage == (int)CertificateStage.Numbered)
        {
            var hash = await files.Put(renderer.Render(certificate.RecordText), ct);
            var copy = CanonicalJson.Read<CertificateRecord>(certificate.RecordText).Disclosure is null ? null : await files.Put(renderer.Render(CustomersCopy.TextOf(certificate.RecordText)), ct);
            first = await db.Certificates.Where(c => c.Id == row.Subject && c.Stage == (int)CertificateStage.Numbered)
                .ExecuteUpdateAsync(s => s.SetProperty(c => c.Stage, (int)CertificateStage.Issued).SetProperty(c => c.FileHash, hash).SetProperty(c => c.CopyHash, copy), ct) == 1;
        }

        await db.Outbox.Where(o => o.Id == row.Id && o.DoneUs == null)
            .ExecuteUpdateAsync(s => s.SetProperty(o => o.DoneUs, Instant.Now(clock).Microseconds).SetProperty(o => o.Attempts, row.Attempts + 1), ct);
        return first;
    }
}
