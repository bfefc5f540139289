using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Delegations;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Delegations;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Releases;
using BuildTrack.Web.Jobs;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Every hold point of a machine that only waits for a name, on one sheet: those that are ticked are released with one password.</summary>
public sealed class ReleaseSheetModel(ReleaseActs acts, MachineReader machines, QualificationReader qualified, DelegationReader delegations) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<Point> Points { get; private set; } = [];

    public QualifiedPeople People { get; private set; } = QualifiedPeople.Nobody;

    /// <summary>The points that were ticked when the act was refused.</summary>
    public IReadOnlySet<string> Ticked { get; private set; } = new HashSet<string>();

    public bool IsInspector => May(ActKind.Release);

    /// <summary>One point of the sheet.</summary>
    /// <param name="WhyNot">The rule that forbids this person to release it, those before it being released with it.</param>
    /// <param name="Seen">Hold point and hash of its sheet, as they are sent back.</param>
    public sealed record Point(HoldStanding Hold, BrokenRule? WhyNot, string Seen, ImmutableArray<string> Hands);

    public Task<IActionResult> OnGet(string serial) => Show(serial);

    public Task<IActionResult> OnPost(string serial, string[]? points, string? password) => Act(
        async () =>
        {
            var seen = (points ?? []).Select(p => p.Split(' ', 2)).ToList();
            Ticked = seen.Select(p => p[0]).ToHashSet();
            var receipt = await acts.ReleaseSheet(Me, new ReleaseSheetRequest(serial, [.. seen.Select(p => new SeenPoint(p[0], p.ElementAtOrDefault(1) ?? ""))], password ?? ""), Key, Cancel);
            HttpContext.SoonRender();
            return receipt;
        },
        done => (SheetSets.UrlOf(serial), string.Join(" ", done.Points.Select(ReleaseModel.Told))),
        () => Show(serial));

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        People = await qualified.Today(Cancel);
        var limit = DelegationRules.Limit(Me.Own, Me.Person, await delegations.InForce(Me.Person, Cancel));
        Points = [.. ReleaseRules.Together(Machine, Me.Person, People, limit).Select(p => new Point(
            p.Hold, p.WhyNot, $"{p.Hold.Hold.Id} {Machine.SheetHash(p.Hold.Hold.Id)}",
            [.. ReleaseRules.HandsOf(Machine, p.Hold.Hold).Select(h => NameOf(h.Person)).Distinct()]))];
        Name(Machine, "Sheet of points", "Release sheet", "", "–", Points.Length == 0 ? "Nothing waits" : $"{Points.Length} wait");
        return Page();
    }
}
