using BuildTrack.Domain.Calendars;

namespace BuildTrack.Domain.ReadyDates;

/// <summary>A step in the queue of its work centre.</summary>
/// <param name="From">Minutes of working time of the centre since the beginning of the plan, as <paramref name="To"/>.</param>
public sealed record QueuedJob(long From, long To, string Serial, int Step);

/// <summary>The queue of one work centre from a moment on. On the axis of its working time a job is one piece without a gap, whatever nights and holidays lie in it.</summary>
/// <param name="capacity">How many machines at once; null for any number.</param>
/// <param name="origin">Minute of UTC at which the axis begins.</param>
public sealed class CentreQueue(WorkingTime time, int? capacity, long origin)
{
    // Busy[i] machines from At[i] up to At[i + 1]; nothing after the last.
    private readonly List<long> at = [0];
    private readonly List<int> busy = [0];
    private readonly List<QueuedJob> jobs = [];

    public WorkingTime Time => time;

    public int? Capacity => capacity;

    public IReadOnlyList<QueuedJob> Jobs => jobs;

    /// <summary>Minutes of working time from the beginning up to a moment.</summary>
    public long Position(long minute) => time.Between(origin, minute);

    /// <summary>The moment at which the working minute of this number begins.</summary>
    public long Start(long position) => time.Next(time.After(origin, position));

    /// <summary>The moment at which so many working minutes are over.</summary>
    public long End(long position) => time.After(origin, position);

    /// <summary>The first place at or after a position that is free for so many minutes without a break.</summary>
    public long FirstFree(long from, long minutes)
    {
        if (capacity is not { } most)
        {
            return from;
        }

        var start = from;
        for (var i = Segment(from); ; i++)
        {
            if (busy[i] >= most)
            {
                start = at[i + 1];
            }
            else if (i + 1 == at.Count || at[i + 1] - start >= minutes)
            {
                return start;
            }
        }
    }

    /// <summary>Takes a place, free or not: what is recorded as being worked on is worked on.</summary>
    public void Take(QueuedJob job)
    {
        ArgumentNullException.ThrowIfNull(job);
        var (first, last) = (Split(job.From), Split(job.To));
        for (var i = first; i < last; i++)
        {
            busy[i]++;
        }

        jobs.Add(job);
    }

    /// <summary>The job whose end freed this position; null where none ends there.</summary>
    public QueuedJob? EndingAt(long position) => jobs.Where(j => j.To == position).OrderBy(j => j.Serial, StringComparer.Ordinal).ThenBy(j => j.Step).FirstOrDefault();

    private int Segment(long position)
    {
        var found = at.BinarySearch(position);
        return found >= 0 ? found : ~found - 1;
    }

    private int Split(long position)
    {
        var i = Segment(position);
        if (at[i] == position)
        {
            return i;
        }

        at.Insert(i + 1, position);
        busy.Insert(i + 1, busy[i]);
        return i + 1;
    }
}
