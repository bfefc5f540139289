using System.Diagnostics;
using BuildTrack.Domain.Canonical;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Query;
using Microsoft.Extensions.Logging;

namespace BuildTrack.Records.LongWork;

/// <summary>A kind of long work.</summary>
/// <param name="Name">As sheets say it.</param>
/// <param name="Do">Does it from its beginning, however often it was begun before, and tells how far it is; what it returns is kept as canonical JSON.</param>
public sealed record LongWorkKind(string Name, Func<Func<Progress, Task>, CancellationToken, Task<object>> Do);

/// <summary>Does what was asked for, one after the other. Whoever calls it, however often, at once or after a kill: a work is in one hand at a time, and its end is written once.</summary>
public sealed class LongWorker(Store store, IEnumerable<LongWorkKind> kinds, TimeProvider clock, ILogger<LongWorker> log)
{
    /// <summary>Without a sign of life for so long a work is taken over: its host was killed.</summary>
    public static readonly TimeSpan Silence = TimeSpan.FromSeconds(30);

    /// <summary>Begun so often without coming to its end, it is given up.</summary>
    public const int MostTries = 5;

    // A sheet that looks on every second sees it move; the database is not written to for every row.
    private static readonly TimeSpan BetweenTelling = TimeSpan.FromMilliseconds(500);

    private long Now => Instant.Now(clock).Microseconds;

    /// <summary>Does everything that is due; returns how many works came to their end by this call.</summary>
    public async Task<int> Drain(CancellationToken ct)
    {
        var (now, ended) = (Now, 0);
        var silent = now - (long)Silence.TotalMicroseconds;
        List<LongWorkRow> due;
        await using (var db = store.OpenToRead())
        {
            due = await db.LongWorks.Where(w => w.EndedUs == null && w.NextUs <= now && (w.BeatUs == null || w.BeatUs < silent)).OrderBy(w => w.AskedUs).ToListAsync(ct);
        }

        foreach (var row in due)
        {
            var hand = Guid.NewGuid().ToString("N");
            if (await Take(row, hand, ct))
            {
                ended += await One(row, hand, ct) ? 1 : 0;
            }
        }

        return ended;
    }

    private async Task<bool> Take(LongWorkRow row, string hand, CancellationToken ct)
    {
        var now = Now;
        await using var db = store.Open();
        return await db.LongWorks.Where(w => w.Work == row.Work && w.EndedUs == null && w.Hand == row.Hand && w.BeatUs == row.BeatUs).ExecuteUpdateAsync(s => s
            .SetProperty(w => w.Hand, hand).SetProperty(w => w.BeatUs, now).SetProperty(w => w.Begun, row.Begun + 1)
            .SetProperty(w => w.Stage, 0).SetProperty(w => w.Done, 0).SetProperty(w => w.Total, 0), ct) == 1;
    }

    private async Task<bool> One(LongWorkRow row, string hand, CancellationToken ct)
    {
        try
        {
            if (row.Begun >= MostTries)
            {
                await GiveUp(row, hand, row.Fault ?? $"it was begun {row.Begun} times and never came to its end");
                return false;
            }

            var kind = kinds.Single(k => k.Name == row.Kind);
            var outcome = CanonicalJson.Of(await kind.Do(new Teller(this, row.Work, hand).Tell, ct));
            var now = Now;
            return await Update(row.Work, hand, s => s.SetProperty(w => w.Outcome, outcome).SetProperty(w => w.EndedUs, now).SetProperty(w => w.Fault, (string?)null));
        }
        catch (OutOfHandException)
        {
            return false;
        }
        catch (OperationCanceledException) when (ct.IsCancellationRequested)
        {
            // The host goes: the next one begins at once, and this was no try of the work's own.
            await Update(row.Work, hand, s => s.SetProperty(w => w.Hand, (string?)null).SetProperty(w => w.BeatUs, (long?)null).SetProperty(w => w.Begun, row.Begun));
            throw;
        }
        catch (Exception error)
        {
            log.LogError(error, "Long work {Work} ({Kind}) failed at try {Try}", row.Work, row.Kind, row.Begun + 1);
            if (row.Begun + 1 >= MostTries)
            {
                await GiveUp(row, hand, error.Message);
                return false;
            }

            var next = Now + (long)TimeSpan.FromSeconds(1 << (row.Begun + 1)).TotalMicroseconds;
            await Update(row.Work, hand, s => s.SetProperty(w => w.Hand, (string?)null).SetProperty(w => w.BeatUs, (long?)null).SetProperty(w => w.Fault, error.Message).SetProperty(w => w.NextUs, next));
            return false;
        }
    }

    private Task<bool> GiveUp(LongWorkRow row, string hand, string fault)
    {
        var now = Now;
        return Update(row.Work, hand, s => s.SetProperty(w => w.EndedUs, now).SetProperty(w => w.Fault, fault));
    }

    /// <returns>False where the work is in another hand now, or was cancelled.</returns>
    private async Task<bool> Update(string work, string hand, Action<UpdateSettersBuilder<LongWorkRow>> set)
    {
        await using var db = store.Open();
        return await db.LongWorks.Where(w => w.Work == work && w.Hand == hand && w.EndedUs == null).ExecuteUpdateAsync(set, CancellationToken.None) == 1;
    }

    private sealed class OutOfHandException : Exception;

    private sealed class Teller(LongWorker worker, string work, string hand)
    {
        private long told;
        private int stage;

        /// <exception cref="OutOfHandException">Cancelled, or taken over: there is nothing more to do here.</exception>
        public async Task Tell(Progress progress)
        {
            if (progress.Stage == stage && Stopwatch.GetElapsedTime(told) < BetweenTelling)
            {
                return;
            }

            var now = worker.Now;
            if (!await worker.Update(work, hand, s => s
                .SetProperty(w => w.BeatUs, now).SetProperty(w => w.Stage, progress.Stage).SetProperty(w => w.Stages, progress.Stages)
                .SetProperty(w => w.What, progress.What).SetProperty(w => w.Done, progress.Done).SetProperty(w => w.Total, progress.Total)))
            {
                throw new OutOfHandException();
            }

            (stage, told) = (progress.Stage, Stopwatch.GetTimestamp());
        }
    }
}
