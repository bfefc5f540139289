using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Disclosure;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>Disclosure lists, and the customer's copies made by them.</summary>
internal static class DisclosureApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/disclosure", Get).WithSummary("What the customer's copy of a machine's certificates leaves out, with every list that was agreed. ETag: the machine's version.");
        api.MapPut("/machines/{serial}/disclosure", Set).RequireAuthorization(ActKind.SetDisclosure)
            .WithSummary("Sets the disclosure list. If-Match: the version seen. Once its hold point is released, a second person approves with the own password and a reason.");
        api.MapGet("/certificates/{number}/{issue:int}/copy", Copy).WithSummary("The sealed customer's copy; there is none where no disclosure list was agreed when the number was taken.");
    }

    /// <param name="Readings">Lines whose readings are withheld; "all" alone for every line.</param>
    /// <param name="Approval">Only once the hold point is released.</param>
    public sealed record DisclosureBody(ImmutableArray<string>? Readings, bool Names, bool Replaced, bool Reasons, bool Serials, string? AgreedWith, Approval? Approval = null);

    /// <param name="Point">The hold point at which the list is agreed.</param>
    /// <param name="Frozen">The point is released: the list changes only by an approved revision.</param>
    public sealed record DisclosureAnswer(string Serial, string Point, bool Frozen, ImmutableArray<DisclosureRevision> Revisions, long Version);

    private static async Task<DisclosureAnswer> Get(string serial, MachineReader machines, HttpContext context, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        context.Response.Headers.ETag = $"\"{machine.Version}\"";
        return new DisclosureAnswer(machine.Serial, AgreedAtReview.PointOf(machine.Revision).Id, AgreedAtReview.IsFrozen(machine), machine.DisclosureRevisions, machine.Version);
    }

    private static async Task<ActReceipt> Set(string serial, DisclosureBody body, DisclosureActs acts, HttpContext context, CancellationToken ct) =>
        long.TryParse(context.Request.Headers.IfMatch.ToString().Trim('"'), out var version)
            ? await acts.Set(
                context.Caller(), new SetDisclosureRequest(serial, new DisclosureList(body.Readings ?? [], body.Names, body.Replaced, body.Reasons, body.Serials), body.AgreedWith ?? "", version, body.Approval),
                context.Key(), ct)
            : throw new IfMatchMissingException();

    private static async Task<IResult> Copy(string number, int issue, CertificateReader certificates, HttpContext context, CancellationToken ct)
    {
        if (await certificates.Copy(number, issue, ct) is { } pdf)
        {
            return TypedResults.File(pdf, "application/pdf", string.Create(CultureInfo.InvariantCulture, $"{number}-{issue}-copy.pdf"));
        }

        var record = await certificates.RecordText(number, issue, ct);
        var follows = record is not null && CanonicalJson.Read<CertificateRecord>(record).Disclosure is not null;
        context.Response.Headers.RetryAfter = follows ? "2" : default(string);
        throw new NotFoundException(record is null ? $"There is no certificate {number} issue {issue}."
            : follows ? $"Certificate {number} issue {issue} is numbered but its copy is not rendered yet; ask again in a moment."
            : $"Certificate {number} issue {issue} carries no disclosure list: it is itself the customer's copy.");
    }
}
