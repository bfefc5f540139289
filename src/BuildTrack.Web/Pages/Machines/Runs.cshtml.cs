using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Records.PaperProtocols;
using BuildTrack.Records.People;
using BuildTrack.Records.Surveys;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>A run: a survey file with its preview, or a table to type; corrections with a reason; set aside; finish.</summary>
[RequestSizeLimit(2 * 1024 * 1024 + 64 * 1024)]
public sealed class RunsModel(SurveyActs acts, PaperActs papers, OwnColumnsLook columns, MachineReader machines, PeopleReader people) : SheetPage
{
    /// <summary>A survey file is small; a larger one is not a survey file.</summary>
    private const int LargestFile = 2 * 1024 * 1024;

    public RunView View { get; private set; } = null!;

    public SurveyPreview? Preview { get; private set; }

    /// <summary>A file whose columns somebody has to name.</summary>
    public OwnColumns? Own { get; private set; }

    /// <summary>What is chosen in the form for them.</summary>
    public IReadOnlyDictionary<string, string> Chosen { get; private set; } = OwnColumnsForm.Nothing;

    /// <summary>What was said of the columns before, where the preview rests on it.</summary>
    public RememberedColumns? AsLastTime { get; private set; }

    /// <summary>How the file was read that this run came from, where its columns were its own.</summary>
    public string? ReadAs { get; private set; }

    /// <summary>What was typed, by place and column: kept when it was refused.</summary>
    public IReadOnlyDictionary<string, string> Typed { get; private set; } = new Dictionary<string, string>();

    public Reading? ToCorrect { get; private set; }

    public string Root => SheetSets.UrlOf(View.Machine.Serial);

    public bool Mine => May(ActKind.Record) && View.IsOpenTo(Me.Person);

    /// <summary>Where somebody else goes on from an open run; null where nobody can.</summary>
    public string? HandOver => View.IsOpen && !View.Spot && View.Run.Person != Me.Person && May(ActKind.BeginRun) && View.Machine.ReleasedOver(View.Survey.Id) is null
        ? $"{Root}/step/{View.Survey.Step}?survey={View.Survey.Id}&feature={View.Measurement.Feature}&again={View.Run.Proves}&handOver={View.Run.Id}#begin" : null;

    public bool MayCorrect => View.Run.Discarded is null && View.Machine.ReleasedOver(View.Survey.Id) is null && May(ActKind.Correct)
        && (Me.Roles.Contains(Roles.Inspector) || (View.Run.Shown is null && View.Run.Person == Me.Person));

    public bool MayDiscard => MayCorrect && May(ActKind.Discard);

    private PaperTyped typedOfPaper = new();

    /// <summary>The block about the signed protocol that the readings are from; null for a run that needs none.</summary>
    public PaperView? Paper { get; private set; }

    public static string Field(string place, string column) => $"v:{place}:{column}";

    /// <summary>Leads back to the form for the columns of a file, filled in as its preview has them.</summary>
    public string ToChange(SurveyPreview preview)
    {
        ArgumentNullException.ThrowIfNull(preview);
        return $"{Here(View.Machine.Serial, View.Run.Id)}{QueryString.Create("file", preview.FileHash).Add("name", preview.FileName).Add("mapping", CanonicalJson.Of(preview.Mapping))}";
    }

    /// <param name="correct">A reading to correct.</param>
    /// <param name="file">The hash of a file whose columns are named anew.</param>
    public async Task<IActionResult> OnGet(string serial, long id, long? correct, string? file, string? name, string? mapping)
    {
        if (file is not null)
        {
            await Try(async () => await Look(serial, id, name ?? "", await columns.Kept(file, Cancel), MappingOf(mapping)));
        }

        return await Show(serial, id, correct);
    }

    public async Task<IActionResult> OnPostPreview(string serial, long id, IFormFile? file)
    {
        (_, Preview) = await Try(async () =>
        {
            var (name, bytes) = (Path.GetFileName(file?.FileName ?? ""), await Bytes(file));
            if (!await Look(serial, id, name, bytes, null))
            {
                return await acts.Preview(Me, serial, id, name, bytes, Cancel);
            }

            AsLastTime = Own!.Last;
            return AsLastTime is { } last ? await acts.Preview(Me, serial, id, name, bytes, Cancel, last.Mapping) : null;
        });
        return await Show(serial, id, null);
    }

    public async Task<IActionResult> OnPostColumns(string serial, long id, string? fileHash, string? fileName)
    {
        (_, Preview) = await Try(async () =>
        {
            var (name, bytes) = (fileName ?? "", await columns.Kept(fileHash ?? "", Cancel));
            await Look(serial, id, name, bytes, null);
            Chosen = OwnColumnsForm.FieldsOf(Request.Form);
            return await acts.Preview(Me, serial, id, name, bytes, Cancel, OwnColumnsForm.MappingOf(Chosen));
        });
        return await Show(serial, id, null);
    }

    public Task<IActionResult> OnPostFile(string serial, long id, string? fileHash, string? fileName, string? mapping) => Act(
        () => acts.RecordFile(Me, new RecordFileRequest(serial, id, fileHash ?? "", fileName ?? "", MappingOf(mapping)), Key, Cancel),
        done => (Here(serial, id), Recorded(done.Count)),
        () => Show(serial, id, null));

    public Task<IActionResult> OnPostType(string serial, long id)
    {
        Typed = Request.Form.Where(f => f.Key.StartsWith("v:", StringComparison.Ordinal) && !string.IsNullOrWhiteSpace(f.Value)).ToDictionary(f => f.Key, f => f.Value.ToString());
        var readings = Typed.Select(t => t.Key.Split(':', 3)).Select(k => new TypedReading(k[1], k[2], Typed[string.Join(':', k)].Trim(), null)).ToImmutableArray();
        return Act(
            () => acts.Record(Me, new RecordRequest(serial, id, EntryRoute.Typed, readings), Key, Cancel),
            done => (Here(serial, id), Recorded(done.Count)),
            () => Show(serial, id, null));
    }

    public Task<IActionResult> OnPostCorrect(string serial, long id, long reading, string? value, string? reason) => Act(
        () => acts.Correct(Me, new CorrectRequest(serial, reading, value ?? "", null, reason ?? ""), Key, Cancel),
        done => (Here(serial, id), "The correction is recorded; the first value stays, struck through."),
        () => Show(serial, id, reading));

    public Task<IActionResult> OnPostDiscard(string serial, long id, string? reason) => Act(
        () => acts.Discard(Me, new DiscardRequest(serial, id, reason ?? ""), Key, Cancel),
        done => (Here(serial, id), "The run is set aside; it is kept with its reason."),
        () => Show(serial, id, null));

    public Task<IActionResult> OnPostFinish(string serial, long id) => Act(
        () => acts.Finish(Me, new FinishRequest(serial, id), Key, Cancel),
        done => (done.Results.Length > 0 && !done.Spot ? $"{SheetSets.UrlOf(serial)}/results/{done.Results[0].Line}" : Here(serial, id), done.Spot ? "The spot check is finished; it is compared with the passes." : "The run is finished and its result calculated."),
        () => Show(serial, id, null));

    public Task<IActionResult> OnPostPaper(string serial, long id, long scan, string? code, string? measuredBy) => Act(
        () => papers.Name(Me, new NamePaperRequest(serial, id, scan, code, measuredBy), Key, Cancel),
        done => (Here(serial, id), "The paper is named; a second person compares the readings with its scan."),
        () => ShowAgain(serial, id, new PaperTyped(scan, code ?? "", measuredBy)));

    public Task<IActionResult> OnPostEqual(string serial, long id, string? sheet, string? remark) => Act(
        () => papers.Compare(Me, new ComparePaperRequest(serial, id, sheet, null, remark), Key, Cancel),
        done => (Here(serial, id), "The run is confirmed: its readings equal the scan."),
        () => ShowAgain(serial, id, new PaperTyped(Remark: remark)));

    public Task<IActionResult> OnPostDiffers(string serial, long id, string? sheet, string? place, string? remark) => Act(
        () => papers.Compare(Me, new ComparePaperRequest(serial, id, sheet, place ?? "", remark), Key, Cancel),
        done => (Here(serial, id), "The difference is recorded; the run is corrected or set aside, and compared again."),
        () => ShowAgain(serial, id, new PaperTyped(Differs: place ?? "", Remark: remark)));

    private Task<IActionResult> ShowAgain(string serial, long id, PaperTyped typed)
    {
        typedOfPaper = typed;
        return Show(serial, id, null);
    }

    private static ColumnMapping? MappingOf(string? json) => string.IsNullOrEmpty(json) ? null : ColumnMapping.Parse(json);

    /// <summary>Whether a file has columns of its own; the form is then filled in, with what is given or as last time.</summary>
    private async Task<bool> Look(string serial, long id, string name, byte[] bytes, ColumnMapping? mapping)
    {
        Own = await columns.Look(Me, serial, id, name, bytes, Cancel);
        Chosen = Own is { } own ? OwnColumnsForm.FieldsOf(mapping ?? own.Last?.Mapping, own) : OwnColumnsForm.Nothing;
        return Own is not null;
    }

    private async Task<byte[]> Bytes(IFormFile? file)
    {
        if (file is null or { Length: 0 } or { Length: > LargestFile })
        {
            throw new BadInputException("survey file", file is null ? "nothing" : $"{file.Length} bytes", $"a text table with a header row, at most {LargestFile} bytes");
        }

        using var bytes = new MemoryStream();
        await file.CopyToAsync(bytes, Cancel);
        return bytes.ToArray();
    }

    private static string Here(string serial, long id) => RunView.UrlOf(serial, id);

    private async Task<IActionResult> Show(string serial, long id, long? correct)
    {
        await Open();
        View = RunView.Of(await machines.Load(serial, Cancel), id);
        ReadAs = View.Run.FileHash is null ? null : (await columns.Of(id, Cancel))?.Said();
        Paper = await PaperView.Of(this, View, people, Cancel) is { } paper ? paper with { Typed = typedOfPaper } : null;
        ToCorrect = correct is { } reading ? View.Run.Standing.FirstOrDefault(r => r.Id == reading) : null;
        Name(View.Machine, $"{View.Survey.Title}, run {View.Run.No}", "Run sheet", $"run {id}", "–", RunView.State(View.Run), $"{Root}/step/{View.Survey.Step}");
        return Page();
    }

    private static string Recorded(int count) => count == 1 ? "1 reading is recorded." : $"{count} readings are recorded.";
}
