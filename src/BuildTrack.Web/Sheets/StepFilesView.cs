using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Web.Api;

namespace BuildTrack.Web.Sheets;

/// <summary>The block "Photos and files" of a step.</summary>
public sealed record StepFilesView(SheetPage Page, MachineRecord Machine, RouteStep Step)
{
    /// <summary>What was chosen in a form that was refused, or the missing photo that was touched.</summary>
    public string? Subject { get; init; }

    public string? Shows { get; init; }

    public ImmutableArray<StepFile> Photos { get; } = [.. FileRules.At(Machine, Step.Number).Where(f => f.IsPhoto)];

    public ImmutableArray<StepFile> Others { get; } = [.. FileRules.At(Machine, Step.Number).Where(f => !f.IsPhoto)];

    public ImmutableArray<RequiredPhoto> Missing { get; } = FileRules.Missing(Machine, Step);

    public bool MayAttach => Page.May(ActKind.AttachFile);

    public bool MaySetAside => Page.May(ActKind.SetFileAside);

    public string Url => UrlOf(Machine.Serial, Step.Number);

    public static string UrlOf(string serial, int step) => $"{SheetSets.UrlOf(serial)}/step/{step}/files";

    public string ContentOf(StepFile file) => FilesApi.UrlOf(Machine.Serial, file);

    /// <summary>"Renna Tallworth, 28 Nov 07:41, 2.1 MB".</summary>
    public string About(StepFile file) => $"{Page.NameOf(file.Person)}, {Page.Clock.Short(file.At)}, {FileContent.SizeInWords(file.Size)}";

    public string Aside(FileSetAside aside) => $"set aside by {Page.NameOf(aside.Person)}, {Page.Clock.Short(aside.At)}: {aside.Reason}";

    /// <summary>It counted before the step was opened again.</summary>
    public bool Earlier(StepFile file) =>
        file.SetAside is null && Step.Photos.FirstOrDefault(p => p.Id == file.Subject) is { } required && Missing.Contains(required);
}
