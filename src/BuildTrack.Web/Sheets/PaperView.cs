using System.Collections.Immutable;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.People;
using BuildTrack.Web.Api;

namespace BuildTrack.Web.Sheets;

/// <summary>The block "Protocol on paper" of a run: from which paper it is, what a second person found, and the forms for both.</summary>
/// <param name="Standing">Null while the run is not said to be from paper.</param>
/// <param name="MayName">This person may say from which paper it is.</param>
/// <param name="WhyNotCompare">The rule that forbids this person to compare it; null where none does.</param>
/// <param name="Scans">The photos and PDFs of the step that may be named.</param>
/// <param name="People">Who may have measured.</param>
public sealed record PaperView(
    SheetPage Page, RunView View, PaperStanding? Standing, bool MayName, BrokenRule? WhyNotCompare, ImmutableArray<StepFile> Scans, ImmutableArray<PersonLine> People)
{
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
        return standing is null && !mayName ? null : new PaperView(
            page, view, standing, mayName, open && page.May(ActKind.ComparePaper) ? PaperRules.WhyNotCompare(machine, view.Survey, run, page.Me.Person) : Closed,
            [.. FileRules.At(machine, view.Survey.Step).Where(f => f.SetAside is null && PaperRules.IsScan(f))],
            mayName ? [.. (await people.List(ct)).Where(p => !p.Disabled && p.Roles.Any(r => r is Roles.Technician or Roles.Inspector)).OrderByDescending(p => p.Person == page.Me.Person)] : []);
    }

    // Nobody compares what is released or set aside: there is nothing to say about it.
    private static BrokenRule Closed { get; } = new("", "");

    public bool MayCompare => Standing is not null && WhyNotCompare is null;

    /// <summary>Why this person does not compare it, worth a line; null where there is nothing to say.</summary>
    public BrokenRule? Waits => Standing is { Confirmed: false } && WhyNotCompare is { Id.Length: > 0 } rule ? rule : null;

    public string ContentOf(StepFile file) => FilesApi.UrlOf(View.Machine.Serial, file);

    public string FilesUrl => StepFilesView.UrlOf(View.Machine.Serial, View.Survey.Step);

    /// <summary>A confirmation of what was found to differ, with nothing corrected since, says why.</summary>
    public bool NeedsWhy => Standing?.Compared is { Differs: not null };
}
