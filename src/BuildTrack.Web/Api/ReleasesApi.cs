using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Releases;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Hold points and certificates. A token alone never signs: the password travels in the body of that one request.</summary>
internal static class ReleasesApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapPost("/machines/{serial}/holds/{hold}/release", Release).RequireAuthorization(ActKind.Release).WithSummary("Releases a hold point. If-Match: the sheet hash seen; the body carries the password, and in an emergency the second person's with the reason.");
        api.MapPost("/machines/{serial}/releases", ReleaseSheet).RequireAuthorization(ActKind.Release).WithSummary("Releases several hold points with one password, all or none. The body names each with the sheet hash seen.");
        api.MapPost("/machines/{serial}/holds/{hold}/return", Return).RequireAuthorization(ActKind.Return).WithSummary("Gives a hold point back, with the reason. If-Match: the sheet hash seen.");
        api.MapGet("/certificates", List).WithSummary("All certificates, void ones too; newest first.");
        api.MapGet("/certificates/{number}/{issue:int}/pdf", Pdf).WithSummary("The sealed document.");
        api.MapGet("/certificates/{number}/{issue:int}/record", Record).WithSummary("The canonical record that is embedded in the document.");
        api.MapPost("/machines/{serial}/certificates/{scope}", Issue).RequireAuthorization(ActKind.IssueCertificate).WithSummary("Issues the certificate of a completed scope whose last release was blocked.");
        api.MapPost("/certificates/{number}/{issue:int}/void", Void).RequireAuthorization(ActKind.VoidCertificate).WithSummary("Makes an issue void, with the reason; it stays listed.");
    }

    public sealed record PasswordBody(string Password);

    /// <param name="Emergency">Only where who releases had a hand in the measurement: the reason, and the second person with the own password.</param>
    public sealed record ReleaseBody(string Password, EmergencyRequest? Emergency = null);

    public sealed record PointsBody(ImmutableArray<SeenPoint> Points, string Password);

    public sealed record ReasonBody(string Reason);

    public sealed record VoidBody(string Reason, string Password);

    private static async Task<ReleaseReceipt> Release(string serial, string hold, ReleaseBody body, ReleaseActs acts, HttpContext context, CancellationToken ct)
    {
        var receipt = await acts.Release(context.Caller(), new ReleaseRequest(serial, hold, body.Password, Sheet(context), body.Emergency), context.Key(), ct);
        context.SoonRender();
        return receipt;
    }

    private static async Task<ReleaseSheetReceipt> ReleaseSheet(string serial, PointsBody body, ReleaseActs acts, HttpContext context, CancellationToken ct)
    {
        var receipt = await acts.ReleaseSheet(context.Caller(), new ReleaseSheetRequest(serial, body.Points, body.Password), context.Key(), ct);
        context.SoonRender();
        return receipt;
    }

    private static async Task<ActReceipt> Return(string serial, string hold, ReasonBody body, ReleaseActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Return(context.Caller(), new ReturnRequest(serial, hold, body.Reason, Sheet(context)), context.Key(), ct);

    private static async Task<ImmutableArray<CertificateLine>> List(CertificateReader certificates, CancellationToken ct) => await certificates.List(ct);

    private static async Task<IResult> Pdf(string number, int issue, CertificateReader certificates, HttpContext context, CancellationToken ct)
    {
        if (await certificates.Pdf(number, issue, ct) is { } pdf)
        {
            return TypedResults.File(pdf, "application/pdf", string.Create(CultureInfo.InvariantCulture, $"{number}-{issue}.pdf"));
        }

        var known = await certificates.RecordText(number, issue, ct) is not null;
        context.Response.Headers.RetryAfter = known ? "2" : default(string);
        throw new NotFoundException(known
            ? $"Certificate {number} issue {issue} is numbered but not rendered yet; ask again in a moment."
            : $"There is no certificate {number} issue {issue}.");
    }

    private static async Task<IResult> Record(string number, int issue, CertificateReader certificates, CancellationToken ct) =>
        await certificates.RecordText(number, issue, ct) is { } text
            ? TypedResults.Text(text, "application/json")
            : throw new NotFoundException($"There is no certificate {number} issue {issue}.");

    private static async Task<ReleaseReceipt> Issue(string serial, string scope, PasswordBody body, CertificateActs acts, HttpContext context, CancellationToken ct)
    {
        var receipt = await acts.Issue(context.Caller(), new IssueRequest(serial, scope, body.Password), context.Key(), ct);
        context.SoonRender();
        return receipt;
    }

    private static async Task<ActReceipt> Void(string number, int issue, VoidBody body, CertificateActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Void(context.Caller(), new VoidRequest(number, issue, body.Reason, body.Password), context.Key(), ct);

    private static string Sheet(HttpContext context) =>
        context.Request.Headers.IfMatch.ToString().Trim('"') is { Length: > 0 } sheet ? sheet : throw new IfMatchMissingException();
}
