namespace BuildTrack.Records.Tests.Support;

/// <summary>A clock that stands where it is set; time between time stamps passes with it.</summary>
internal sealed class PinnedClock(DateTimeOffset at) : TimeProvider
{
    private long ticks = at.UtcTicks;

    public DateTimeOffset Now
    {
        get => new(Interlocked.Read(ref ticks), TimeSpan.Zero);
        set => Interlocked.Exchange(ref ticks, value.UtcTicks);
    }

    public override long TimestampFrequency => TimeSpan.TicksPerSecond;

    public void Advance(TimeSpan time) => Interlocked.Add(ref ticks, time.Ticks);

    public override DateTimeOffset GetUtcNow() => Now;

    public override long GetTimestamp() => Interlocked.Read(ref ticks);
}
