using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Machines;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Records.Route;
using BuildTrack.Records.Trends;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Hosting;

/// <summary>After a start, what the sheets over all machines need of each one is read beside the work: the first person of the day does not wait for two thousand machines.</summary>
internal sealed partial class DigestsAtStart(MachineDigests digests, ILogger<DigestsAtStart> log) : BackgroundService
{
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        MachineReader.Needs(digests);
        WorkCentreReader.Needs(digests);
        ReadyDateReader.Needs(digests);
        TrendReader.Needs(digests);
        AffectedReader.Needs(digests);
        WorkLine.Needs(digests);
        Pages.Certificates.IndexModel.Needs(digests);
        try
        {
            await digests.Prepare(stoppingToken);
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            // Nothing rests on it: whoever asks first reads the machines, and is told what is wrong.
            NotPrepared(log, e);
        }
    }

    [LoggerMessage(EventId = 41, Level = LogLevel.Warning, Message = "What the sheets over all machines need was not prepared; it is read when the first of them is opened")]
    private static partial void NotPrepared(ILogger logger, Exception e);
}
