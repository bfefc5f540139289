using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Releases;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Certificates;

/// <summary>Certificates with their documents; making one void; issuing what was blocked.</summary>
public sealed class IndexModel(CertificateActs acts, CertificateReader reader, MachineDigests machines) : SheetPage
{
    public Leaf<CertificateLine> Lines { get; private set; } = Leaf.Of<CertificateLine>([], null);

    /// <summary>Scopes whose hold points are all released, and that have no certificate in force; the first of them, where they are very many.</summary>
    public Leaf<(string Serial, string Scope, string Title)> ToIssue { get; private set; } = Leaf.Of<(string, string, string)>([], null);

    private Dictionary<(string Serial, string Scope), string> titles = [];

    /// <summary>What a certificate covers, as its machine's plan names it: "Factory acceptance".</summary>
    public string Covers(CertificateLine line) => titles.GetValueOrDefault((line.Serial, line.Scope), line.Scope);

    /// <summary>The one that is to be made void, asked for by its address.</summary>
    public CertificateLine? ToVoid { get; private set; }

    public bool MayAct => May(ActKind.VoidCertificate);

    public Task<IActionResult> OnGet(string? number, int issue, int? leaf) => Show(number, issue, leaf);

    public Task<IActionResult> OnPostVoid(string? number, int issue, string? reason, string? password) => Act(
        () => acts.Void(Me, new VoidRequest(number ?? "", issue, reason ?? "", password ?? ""), Key, Cancel),
        _ => ("/certificates", $"{number}, issue {issue}, is void; it stays listed with its reason."),
        () => Show(number, issue));

    public Task<IActionResult> OnPostIssue(string? serial, string? scope, string? password) => Act(
        async () =>
        {
            var receipt = await acts.Issue(Me, new IssueRequest(serial ?? "", scope ?? "", password ?? ""), Key, Cancel);
            HttpContext.SoonRender();
            return receipt;
        },
        done => ("/certificates", $"Certificate {done.Certificate}, issue {done.Issue}, is being written."),
        () => Show(null, 0));

    /// <summary>The scopes of a machine's plan, and those that are released without a certificate in force.</summary>
    private sealed record MachineScopes(string Serial, ImmutableArray<CertificateScope> Scopes, ImmutableArray<CertificateScope> Open);

    /// <summary>Says what is needed of each machine, before the first who asks.</summary>
    public static void Needs(MachineDigests digests) => digests.Needs(Derive);

    private static MachineScopes Derive(MachineRecord m, PlantTime time) => new(m.Serial, m.Revision.Scopes, [.. m.Revision.Scopes
        .Where(s => s.Holds.All(h => m.StandingOfHold(m.Revision.Holds.Single(x => x.Id == h)).Released is { } r
            && m.Certificates.Where(c => c.Scope == s.Id && c.Stage != CertificateStage.Void).All(c => c.At < r.At)))]);

    private async Task<IActionResult> Show(string? number, int issue, int? leaf = null)
    {
        await Open();
        var (count, issued) = await reader.Count(Cancel);
        Lines = await Leaf.Of<CertificateLine>(count, leaf, (skip, take) => reader.Part(skip, take, Cancel));
        ToVoid = number is not null && await reader.Find(number, issue, Cancel) is { Stage: not CertificateStage.Void } line ? line : null;
        var (all, shown) = (await machines.Of(Derive, Cancel), Lines.Lines.Select(l => l.Serial).ToHashSet());
        titles = all.Where(m => shown.Contains(m.Serial)).SelectMany(m => m.Scopes.Select(s => (m.Serial, Scope: s))).ToDictionary(x => (x.Serial, x.Scope.Id), x => x.Scope.Title);
        ToIssue = Leaf.Of([.. all.SelectMany(m => m.Open.Select(s => (m.Serial, s.Id, s.Title)))], 1);
        Name("Certificates", "List of certificates", $"{issued} issued", "/certificates");
        return Page();
    }
}
