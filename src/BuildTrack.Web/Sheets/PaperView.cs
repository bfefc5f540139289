using System.Collections.Immutable;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.People;
using BuildTrack.Web.Api;

namespace BuildTrack.Web.Sheets;

/// <summary>What is typed into the forms of that block: it stays there when it is refused.</summary>
/// <param name="Scan">Id of the file that is named.</param>
/// <param name="Differs">The place that is named; null where none was.</param>
public sealed record PaperTyped(long? Scan = null, string? Code = null, string? MeasuredBy = null, string? Differs = null, string? Remark = null);

/// <summary>The block "Protocol on paper" of a run: from which paper it is, what a second person found, and the forms for both.</summary>
/// <param name="Standing">Null while the run is not said to be from paper.</param>
/// <param name="MayName">This person may say from which paper it is.</param>
/// <param name="MayCompare">This person may compare it now.</param>
/// <param name="Waits">Why this person may not, worth a line; null where there is nothing to say.</param>
/// <param name="Scans">The photos and PDFs of the step that may be named.</param>
/// <param name="People">Who may have measured.</param>
public sealed record PaperView(
    SheetPage Page, RunView View, PaperStanding? Standing, bool MayName, bool MayCompare, BrokenRule? Waits, ImmutableArray<StepFile> Scans, ImmutableArray<PersonLine> People)
{
    public PaperTyped Typed { get; init; } = new();

    /// <summary>The form that names the paper stands open: it was refused, or the scan that was named is set aside.</summary>
    public bool Naming => Typed.Code is not null || Standing?.Scan.SetAside is not null;

    /// <summary>The block of a run; null where it is neither from paper nor may be said to be.</summary>
    public static async Task<PaperView?> Of(SheetPage page, RunView view, PeopleReader people, CancellationToken ct)
    {
        ArgumentNullException.ThrowIfNull(page);
        ArgumentNullException.ThrowIfNull(view);
        ArgumentNullException.ThrowIfNull(people);
        var (machine, run) = (view.Machine, view.Run);
        var standing = PaperStanding.Of(machine, run);
        var open = run.Discarded is null && machine.ReleasedOver(view.Survey.Id) is null;
        var mayName = open && run.Person == page.Me.Person && page.May(ActKind.NamePaper) && PaperRules.IsOnProtocol(machine, view.Survey);
        var asked = standing is not null && open && page.May(ActKind.ComparePaper);
        var forbids = asked ? PaperRules.WhyNotCompare(machine, view.Survey, run, page.Me.Person) : null;
        return standing is null && !mayName ? null : new PaperView(
            page, view, standing, mayName, asked && forbids is null, standing is { Confirmed: false } ? forbids : null,
            [.. FileRules.At(machine, view.Survey.Step).Where(f => f.SetAside is null && PaperRules.IsScan(f))],
            mayName ? [.. (await people.List(ct)).Where(p => !p.Disabled && p.Roles.Any(r => r is Roles.Technician or Roles.Inspector)).OrderByDescending(p => p.Person == page.Me.Person)] : []);
    }

    public string ContentOf(StepFile file) => FilesApi.UrlOf(View.Machine.Serial, file);

    public string FilesUrl => StepFilesView.UrlOf(View.Machine.Serial, View.Survey.Step);

    /// <summary>A confirmation of what was found to differ, with nothing corrected since, says why.</summary>
    public bool NeedsWhy => Standing?.Compared is { Differs: not null };
}
