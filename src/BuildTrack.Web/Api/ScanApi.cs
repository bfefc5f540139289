using BuildTrack.Web.Scanning;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>What a scanned code names.</summary>
internal static class ScanApi
{
    public static void Map(RouteGroupBuilder api) =>
        api.MapGet("/scan", Find).WithSummary("What a code on paper, or a number typed by a scanner, names: kind (machine, step, station, instrument, component; none for a plain number), the sheet it leads to, the machine, and why it leads nowhere.");

    private static Task<Scanned> Find(string code, CodeFinder finder, HttpContext context, CancellationToken ct) => finder.Find(code, context.Caller().Person, ct);
}
