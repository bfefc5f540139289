using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.RecordReviews;
using BuildTrack.Records.StepFiles;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Api;

/// <summary>Photos and files of steps. Their content is at /machines/{serial}/files/{hash}.</summary>
internal static class FilesApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/steps/{step:int}/files", List).WithSummary("Photos and files of a step, with the photos it cannot be finished without and which of them are missing.");
        api.MapPost("/machines/{serial}/steps/{step:int}/files", Attach).RequireAuthorization(ActKind.AttachFile).WithMetadata(new RequestSizeLimitAttribute(FileContent.LongestOther + 1024))
            .WithSummary("Attaches the body, a photo, PDF or text, to a step; what it is, is seen from its content. 'name': its name; 'shows': what it shows; 'subject': the required photo it is. 'run' and perhaps 'place', or 'nonconformance': the id of the run and the place, or the number of the nonconformance of this step, that it shows.");
        api.MapPost("/machines/{serial}/files/{file:long}/set-aside", SetAside).RequireAuthorization(ActKind.SetFileAside).WithSummary("Sets a wrong photo or file aside, with the reason; it stays.");
        api.MapPost("/machines/{serial}/steps/{step:int}/review", Review).RequireAuthorization(ActKind.ReviewRecord).WithSummary("Says that the record of a step which the route wants reviewed was looked at; 'note': what was seen. Nothing waits for it.");
    }

    public sealed record ReasonBody(string? Reason);

    public sealed record ReviewBody(string? Note);

    public sealed record SetAsideAnswer(string Person, string At, string Reason);

    /// <param name="InWords">"run 2 of Bed geometry, R1-04".</param>
    /// <param name="Url">The sheet of the run or nonconformance.</param>
    public sealed record OfAnswer(long? Run, string? Place, int? Nonconformance, string InWords, string Url);

    /// <param name="Url">Where its content is.</param>
    /// <param name="Of">The run, place or nonconformance that it shows; null where it belongs to the step alone.</param>
    public sealed record FileAnswer(
        long Id, string? Subject, string Shows, string Name, string MediaType, long Size, string Hash, string Person, string At, string Url, SetAsideAnswer? SetAside, OfAnswer? Of);

    public sealed record RequiredAnswer(string Id, string Text, bool Missing);

    public sealed record FilesAnswer(string Serial, int Step, ImmutableArray<RequiredAnswer> Required, ImmutableArray<FileAnswer> Files);

    public static string UrlOf(string serial, StepFile file) => $"/machines/{Uri.EscapeDataString(serial)}/files/{file.Hash}";

    /// <summary>The same drawn small, for lists.</summary>
    public static string SmallOf(string serial, StepFile file) => $"{UrlOf(serial, file)}/small";

    private static async Task<FilesAnswer> List(string serial, int step, MachineReader machines, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var at = machine.Revision.FindStep(step) ?? throw new NotFoundException($"There is no step {step} on the route of {serial}.");
        return new FilesAnswer(
            serial, step, [.. at.Photos.Select(p => new RequiredAnswer(p.Id, p.Text, FileRules.PhotoOf(machine, at, p) is null))],
            [.. FileRules.At(machine, step).Select(f => new FileAnswer(
                f.Id, f.Subject, f.Shows, f.Name, f.MediaType, f.Size, f.Hash, f.Person, f.At.ToString(), UrlOf(serial, f),
                f.SetAside is { } aside ? new SetAsideAnswer(aside.Person, aside.At.ToString(), aside.Reason) : null,
                f.Of is { } of ? new OfAnswer(of.Run, of.Place, of.Nonconformance, of.InWords(machine), StepFilesView.SheetOf(serial, of)) : null))]);
    }

    private static async Task<IResult> Attach(
        string serial, int step, string? name, string? shows, string? subject, long? run, string? place, int? nonconformance, StepFileActs acts, HttpContext context, CancellationToken ct)
    {
        var key = context.Key();
        var request = new AttachFileRequest(serial, step, subject, shows, name, FileOf.Sent(run, place, nonconformance));
        var receipt = await acts.Attach(context.Caller(), request, await Body(context, ct), key, ct);
        return TypedResults.Created($"/machines/{Uri.EscapeDataString(serial)}/files/{receipt.Hash}", receipt);
    }

    private static Task<ActReceipt> SetAside(string serial, long file, ReasonBody body, StepFileActs acts, HttpContext context, CancellationToken ct) =>
        acts.SetAside(context.Caller(), new SetFileAsideRequest(serial, file, body.Reason ?? ""), context.Key(), ct);

    private static Task<ActReceipt> Review(string serial, int step, ReviewBody body, RecordReviewActs acts, HttpContext context, CancellationToken ct) =>
        acts.Review(context.Caller(), new ReviewRecordRequest(serial, step, body.Note ?? ""), context.Key(), ct);

    /// <summary>The body, read no further than the longest file; one byte more and the rule about length names it.</summary>
    private static async Task<byte[]> Body(HttpContext context, CancellationToken ct)
    {
        using var bytes = new MemoryStream();
        var buffer = new byte[81920];
        while (bytes.Length <= FileContent.LongestOther && await context.Request.Body.ReadAsync(buffer, ct) is var read and > 0)
        {
            bytes.Write(buffer, 0, read);
        }

        return bytes.ToArray();
    }
}
