using System.Globalization;
using BuildTrack.Records.LongWork;

namespace BuildTrack.Web.Sheets;

/// <summary>Where a long work stands, in words; the same on sheets and in the interface for programs.</summary>
internal static class LongWorkWords
{
    public static string Of(LongWorkLine work) => work switch
    {
        { State: LongWorkState.Waiting, Fault: { } fault } => $"The last try ended with: {fault} It is begun again by itself.",
        { State: LongWorkState.Waiting } => "Waits to be begun.",
        { State: LongWorkState.UnderWay, Progress.Stage: 0 } => "Begins.",
        { State: LongWorkState.UnderWay, Progress: var p } => string.Create(CultureInfo.InvariantCulture, $"Stage {p.Stage} of {p.Stages}, {p.What}: {p.Done:#,0} of {p.Total:#,0}."),
        { State: LongWorkState.Cancelled } => "Cancelled.",
        { State: LongWorkState.GivenUp } => $"Given up after {LongWorker.MostTries} tries: {work.Fault}",
        _ => "Done.",
    };
}
