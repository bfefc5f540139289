using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.People;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Web.Api;

namespace BuildTrack.Web.Sheets;

/// <summary>The block "Photos and files" of a run or a nonconformance: what belongs to it, drawn small, and the way to attach one more.</summary>
/// <param name="Step">The step that it is attached at.</param>
/// <param name="What">"this run".</param>
/// <param name="To">What a further one is attached to.</param>
public sealed record FilesOfView(SheetPage Page, MachineRecord Machine, int Step, string What, FileOf To, ImmutableArray<StepFile> Files)
{
    public static FilesOfView Of(SheetPage page, RunView view)
    {
        ArgumentNullException.ThrowIfNull(view);
        return new(page, view.Machine, view.Survey.Step, "this run", new FileOf(view.Run.Id, null, null), FileRules.OfRun(view.Machine, view.Run.Id));
    }

    /// <summary>Files of one that belongs to no step are kept at the step where the machine stands.</summary>
    public static FilesOfView Of(SheetPage page, MachineRecord machine, Nonconformance of)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(of);
        var step = of.Step ?? machine.Route.Current?.Step.Number ?? machine.Revision.Steps.Max(s => s.Number);
        return new(page, machine, step, "this nonconformance", new FileOf(null, null, of.Number), FileRules.OfNonconformance(machine, of.Number));
    }

    public IEnumerable<StepFile> Photos => Files.Where(f => f.IsPhoto);

    public IEnumerable<StepFile> Others => Files.Where(f => !f.IsPhoto);

    public bool MayAttach => Page.May(ActKind.AttachFile);

    public string Url => StepFilesView.UrlOf(Machine.Serial, Step);

    public string ToAttach => StepFilesView.ToAttach(Machine.Serial, Step, To);

    public string ContentOf(StepFile file) => FilesApi.UrlOf(Machine.Serial, file);

    public string SmallOf(StepFile file) => FilesApi.SmallOf(Machine.Serial, file);

    /// <summary>"Renna Tallworth, 28 Nov 07:41"; of one that was set aside, by whom and why.</summary>
    public string About(StepFile file)
    {
        ArgumentNullException.ThrowIfNull(file);
        return file.SetAside is { } aside ? $"set aside by {Page.NameOf(aside.Person)}, {Page.Clock.Short(aside.At)}: {aside.Reason}" : $"{Page.NameOf(file.Person)}, {Page.Clock.Short(file.At)}";
    }
}
