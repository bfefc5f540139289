using System.Collections.Immutable;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.PaperProtocols;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Api;

/// <summary>Runs whose readings are from a signed protocol on paper, and their comparison with the scan.</summary>
internal static class PaperApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/runs/{run:long}/paper", Get).WithSummary("From which signed protocol on paper a run is, and how it stands; with the code that a protocol printed now bears.");
        api.MapPost("/machines/{serial}/runs/{run:long}/paper", Name).RequireAuthorization(ActKind.NamePaper)
            .WithSummary("Says that the readings of one's own run are from a signed protocol: its scan, a file of the run's step, the code it bears, and who measured.");
        api.MapPost("/machines/{serial}/runs/{run:long}/paper/comparison", Compare).RequireAuthorization(ActKind.ComparePaper)
            .WithSummary("Says that every reading equals the scan; or, with 'differs' and 'remark', which place does not. 'sheet': what was compared, as the answer about the paper has it.");
    }

    /// <param name="File">Id of the scan.</param>
    /// <param name="MeasuredBy">Sign-in name of who measured and signed.</param>
    public sealed record NameBody(long? File, string? Code, string? MeasuredBy);

    /// <param name="Differs">A place that the scan has otherwise; null or left out where all is equal.</param>
    public sealed record CompareBody(string? Sheet, string? Differs, string? Remark);

    public sealed record ComparisonAnswer(string Person, string At, string? Differs, string? Remark, bool OfWhatStandsNow);

    /// <param name="Paper">Null where the run is not from paper.</param>
    public sealed record PaperAnswer(long Run, string CodeNow, NamedPaper? Paper);

    /// <param name="Sheet">Changes with the scan and with every reading that stands.</param>
    public sealed record NamedPaper(
        long File, string Url, string Code, string MeasuredBy, string Person, string At, bool Confirmed, string Stands, string Sheet, ImmutableArray<ComparisonAnswer> Comparisons);

    private static async Task<PaperAnswer> Get(string serial, long run, MachineReader machines, CancellationToken ct)
    {
        var view = RunView.Of(await machines.Load(serial, ct), run);
        var standing = PaperStanding.Of(view.Machine, view.Run);
        return new PaperAnswer(run, SitePack.Code(view.Machine, SitePack.Of(view.Machine).Surveys), standing is null ? null : new NamedPaper(
            standing.Scan.Id, FilesApi.UrlOf(serial, standing.Scan), standing.Paper.Code, standing.Paper.MeasuredBy, standing.Paper.Person, standing.Paper.At.ToString(), standing.Confirmed,
            standing.Sentence(p => p, at => at.InWords), standing.Sheet,
            [.. standing.Paper.Comparisons.Select(c => new ComparisonAnswer(c.Person, c.At.ToString(), c.Differs, c.Remark, c.Sheet == standing.Sheet))]));
    }

    private static Task<ActReceipt> Name(string serial, long run, NameBody body, PaperActs acts, HttpContext context, CancellationToken ct) =>
        acts.Name(context.Caller(), new NamePaperRequest(
            serial, run, body.File ?? throw new BadInputException("file", "nothing", "the id of the scan among the files of the run's step"), body.Code, body.MeasuredBy), context.Key(), ct);

    private static Task<ActReceipt> Compare(string serial, long run, CompareBody body, PaperActs acts, HttpContext context, CancellationToken ct) =>
        acts.Compare(context.Caller(), new ComparePaperRequest(serial, run, body.Sheet, body.Differs, body.Remark), context.Key(), ct);
}
