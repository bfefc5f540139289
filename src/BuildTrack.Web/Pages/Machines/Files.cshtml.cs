using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.RecordReviews;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Machines;
using BuildTrack.Records.RecordReviews;
using BuildTrack.Records.StepFiles;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.ModelBinding;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Photos and files of a step: those that are there, those that are missing, and the form that attaches one.</summary>
[RequestSizeLimit(LargestBody)]
[RequestFormLimits(MultipartBodyLengthLimit = LargestBody)]
public sealed class FilesModel(StepFileActs acts, RecordReviewActs reviews, MachineReader machines) : SheetPage
{
    /// <summary>The longest file and room for the form around it; one a little too long is refused by the rule, in words.</summary>
    private const int LargestBody = FileContent.LongestOther + (1024 * 1024);

    /// <summary>The required photo it is; empty for any other.</summary>
    [BindProperty(SupportsGet = true)]
    public string? Subject { get; set; }

    [BindProperty]
    public string? Shows { get; set; }

    /// <summary>Id of the run that it shows; empty for none.</summary>
    [BindProperty(SupportsGet = true)]
    public long? Run { get; set; }

    /// <summary>The place of that run; empty for the run as a whole.</summary>
    [BindProperty(SupportsGet = true)]
    public string? Place { get; set; }

    /// <summary>Number of the nonconformance that it shows; empty for none.</summary>
    [BindProperty(SupportsGet = true)]
    public int? Nonconformance { get; set; }

    /// <summary>What the form attaches to beside the step; null where that was not sound, and for the step alone.</summary>
    public FileOf? Of { get; private set; }

    public MachineRecord Machine { get; private set; } = null!;

    public RouteStep Step { get; private set; } = null!;

    public string Root => SheetSets.UrlOf(Machine.Serial);

    public bool HasSheet => Machine.Revision.Surveys.Any(s => s.Step == Step.Number);

    /// <summary>The review that counts; null where the record is to be looked at, or the route asks for none.</summary>
    public RecordReview? Reviewed => RecordReviewRules.Of(Machine, Step.Number);

    /// <summary>What was typed about the record, where it was refused.</summary>
    [BindProperty]
    public string? Note { get; set; }

    /// <summary>Why this person does not review the record now; null where nothing forbids it.</summary>
    public BrokenRule? WhyNotReview => RecordReviewRules.WhyNot(Machine, Step.Number, Me.Person);

    public bool MayReview => May(ActKind.ReviewRecord);

    public Task<IActionResult> OnPostReview(string serial, int number) => Act(
        () => reviews.Review(Me, new ReviewRecordRequest(serial, number, Note ?? ""), Key, Cancel),
        _ => (StepFilesView.UrlOf(serial, number), $"The record of step {number} is noted as looked at."),
        () => Show(serial, number));

    public Task<IActionResult> OnGet(string serial, int number) => Show(serial, number);

    public Task<IActionResult> OnPost(string serial, int number, IFormFile? photo, IFormFile? file) => Act(
        async () => await acts.Attach(Me, new AttachFileRequest(serial, number, Subject, Shows, (photo ?? file)?.FileName, Sent()), await Bytes(photo, file), Key, Cancel),
        done => Sent() is { } of
            ? (StepFilesView.SheetOf(serial, of), $"'{done.Name}' is attached to {(of.Nonconformance is not null ? "this nonconformance" : of.Place is { } place ? $"{place} of this run" : "this run")}.")
            : (StepFilesView.UrlOf(serial, number), $"'{done.Name}' is attached to step {number}."),
        () => Show(serial, number));

    public Task<IActionResult> OnPostAside(string serial, int number, long id, string? reason) => Act(
        () => acts.SetAside(Me, new SetFileAsideRequest(serial, id, reason ?? ""), Key, Cancel),
        _ => (StepFilesView.UrlOf(serial, number), "It is set aside; it stays here, crossed out, with the reason."),
        () => Show(serial, number));

    /// <exception cref="BadInputException">What was sent for the run or nonconformance is no number: the file would belong to the step alone.</exception>
    private FileOf? Sent()
    {
        foreach (var (name, field) in new[] { ("run", nameof(Run)), ("nonconformance", nameof(Nonconformance)) })
        {
            if (ModelState.GetFieldValidationState(field) == ModelValidationState.Invalid)
            {
                throw new BadInputException(name, $"'{ModelState[field]!.AttemptedValue}'", "a number, or nothing");
            }
        }

        return FileOf.Sent(Run, Place, Nonconformance);
    }

    private async Task<byte[]> Bytes(IFormFile? photo, IFormFile? file)
    {
        if ((photo is null) == (file is null))
        {
            throw new BadInputException("photo or file", photo is null ? "nothing" : "a photo and a file", "one photo or one file");
        }

        using var bytes = new MemoryStream();
        await (photo ?? file)!.CopyToAsync(bytes, Cancel);
        return bytes.ToArray();
    }

    private async Task<IActionResult> Show(string serial, int number)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Step = Machine.Revision.FindStep(number) ?? throw new NotFoundException($"There is no step {number} on the route of {serial}.");
        Of = FileOf.Sent(Run, Place, Nonconformance) is { } of && of.Faults(Machine, number).IsEmpty ? of : null;
        var missing = FileRules.Missing(Machine, Step).Length;
        Name(Machine, $"Photos and files, {Step.Name}", "Photos and files", $"{number}", "–", missing > 0 ? $"{missing} missing" : $"{FileRules.At(Machine, number).Length} attached", $"{Root}/{(HasSheet ? $"step/{number}" : "route")}");
        return Page();
    }
}
