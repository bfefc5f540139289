namespace BuildTrack.Web.Https;

/// <summary>The certificate in use. It is read again when its files change, so that a renewal needs no stop.</summary>
/// <remarks>Asked at every new connection: two looks at the file system are nothing beside the handshake, and no timer is needed.</remarks>
public sealed partial class ServerCertificate(HttpsSettings settings, TimeProvider time, CertificateFile first, ILogger<ServerCertificate> log)
{
    /// <summary>Days before the end from which the log and the plant's page ask for a renewal.</summary>
    public const int SoonDays = 30;

    private readonly Lock gate = new();
    private CertificateFile inUse = first;
    private string stamp = StampOf(settings);
    private DateTime? toldOn;

    /// <summary>Why the files as they are now are not used; null where they are.</summary>
    public string? NotTaken { get; private set; }

    /// <summary>Whole days to the end, negative after it.</summary>
    public int DaysLeft => (int)Math.Floor((Current().Until - time.GetUtcNow()).TotalDays);

    /// <summary>The certificate for the next connection.</summary>
    public CertificateFile Current()
    {
        lock (gate)
        {
            var now = time.GetUtcNow();
            if (StampOf(settings) is var found && found != stamp)
            {
                stamp = found;
                TakeNew(now);
            }

            if (toldOn != now.UtcDateTime.Date && inUse.Until - now < TimeSpan.FromDays(SoonDays))
            {
                toldOn = now.UtcDateTime.Date;
                EndsSoon(log, settings.Certificate!, inUse.Until);
            }

            return inUse;
        }
    }

    private void TakeNew(DateTimeOffset now)
    {
        try
        {
            inUse = CertificateFile.Read(settings, now);
            (NotTaken, toldOn) = (null, null);
            Taken(log, settings.Certificate!, inUse.Until);
        }
        catch (StartRefusedException e)
        {
            // Half of a renewal is no reason to stop: the one in use stays, and the files are looked at again when they change again.
            NotTaken = e.Message;
            Kept(log, e.Message);
        }
    }

    private static string StampOf(HttpsSettings settings) => string.Join(' ', new[] { settings.Certificate, settings.Key }.OfType<string>().Select(f => new FileInfo(f)).Select(f =>
        f.ResolveLinkTarget(returnFinalTarget: true) as FileInfo ?? f).Select(f => f.Exists ? $"{f.FullName} {f.LastWriteTimeUtc.Ticks} {f.Length}" : "none"));

    [LoggerMessage(Level = LogLevel.Warning, Message = "The certificate in {File} ends at {Until:u}; put a renewed one in its place, the server takes it without a stop.")]
    private static partial void EndsSoon(ILogger log, string file, DateTimeOffset until);

    [LoggerMessage(Level = LogLevel.Information, Message = "The renewed certificate in {File} is in use, valid until {Until:u}.")]
    private static partial void Taken(ILogger log, string file, DateTimeOffset until);

    [LoggerMessage(Level = LogLevel.Error, Message = "The changed certificate is not used, the one before stays: {Reason}")]
    private static partial void Kept(ILogger log, string reason);
}
