using System.Diagnostics;
using System.Runtime.InteropServices;

namespace BuildTrack.Benchmarks;

/// <summary>How long a processor has worked for one thread: what other programs take meanwhile does not count.</summary>
internal static partial class ProcessorTime
{
    private const int ThreadClock = 3;

    /// <summary>Seconds; on a system without such a clock, those of the wall.</summary>
    public static double OfThisThread() =>
        OperatingSystem.IsLinux() && Read(ThreadClock, out var time) == 0 ? time.Seconds + (time.Nanoseconds * 1e-9) : Stopwatch.GetTimestamp() / (double)Stopwatch.Frequency;

    [LibraryImport("libc", EntryPoint = "clock_gettime")]
    private static partial int Read(int clock, out Moment time);

    [StructLayout(LayoutKind.Sequential)]
    private struct Moment
    {
        public long Seconds;
        public long Nanoseconds;
    }
}
