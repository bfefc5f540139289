using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Web.Api;
using Microsoft.AspNetCore.Http.Extensions;

namespace BuildTrack.Web.Sheets;

/// <summary>The block "Photos and files" of a step.</summary>
public sealed record StepFilesView(SheetPage Page, MachineRecord Machine, RouteStep Step)
{
    /// <summary>What was chosen in a form that was refused, or the missing photo that was touched.</summary>
    public string? Subject { get; init; }

    public string? Shows { get; init; }

    /// <summary>The run, place or nonconformance that the form attaches to; null for the step alone.</summary>
    public FileOf? Of { get; init; }

    public ImmutableArray<StepFile> Photos { get; } = [.. FileRules.At(Machine, Step.Number).Where(f => f.IsPhoto)];

    public ImmutableArray<StepFile> Others { get; } = [.. FileRules.At(Machine, Step.Number).Where(f => !f.IsPhoto)];

    public ImmutableArray<RequiredPhoto> Missing { get; } = FileRules.Missing(Machine, Step);

    public bool MayAttach => Page.May(ActKind.AttachFile);

    public bool MaySetAside => Page.May(ActKind.SetFileAside);

    public string Url => UrlOf(Machine.Serial, Step.Number);

    public static string UrlOf(string serial, int step) => $"{SheetSets.UrlOf(serial)}/step/{step}/files";

    /// <summary>The places of the run that the form attaches to; empty where it is none, or one of the whole.</summary>
    public ImmutableArray<string> Places => Of?.Run is { } run && RunView.Of(Machine, run) is { Survey.Places: not PlaceKind.Whole } view ? view.Places : [];

    /// <summary>The form that attaches to a run, place or nonconformance.</summary>
    public static string ToAttach(string serial, int step, FileOf of)
    {
        ArgumentNullException.ThrowIfNull(of);
        var query = new QueryBuilder();
        foreach (var (name, value) in new[] { ("run", of.Run?.ToString(CultureInfo.InvariantCulture)), ("place", of.Place), ("nonconformance", of.Nonconformance?.ToString(CultureInfo.InvariantCulture)) })
        {
            if (value is not null)
            {
                query.Add(name, value);
            }
        }

        return $"{UrlOf(serial, step)}{query}#attach";
    }

    /// <summary>The sheet of a run or nonconformance, at its files.</summary>
    public static string SheetOf(string serial, FileOf of) =>
        (of.Nonconformance is { } number ? FormattableString.Invariant($"{SheetSets.UrlOf(serial)}/nonconformances/{number}") : RunView.UrlOf(serial, of.Run!.Value)) + "#files";

    public string ContentOf(StepFile file) => FilesApi.UrlOf(Machine.Serial, file);

    public string SmallOf(StepFile file) => FilesApi.SmallOf(Machine.Serial, file);

    /// <summary>"Renna Tallworth, 28 Nov 07:41, 2.1 MB".</summary>
    public string About(StepFile file) => $"{Page.NameOf(file.Person)}, {Page.Clock.Short(file.At)}, {FileContent.SizeInWords(file.Size)}";

    public string Aside(FileSetAside aside) => $"set aside by {Page.NameOf(aside.Person)}, {Page.Clock.Short(aside.At)}: {aside.Reason}";

    /// <summary>It counted before the step was opened again.</summary>
    public bool Earlier(StepFile file) =>
        file.SetAside is null && Step.Photos.FirstOrDefault(p => p.Id == file.Subject) is { } required && Missing.Contains(required);
}
