using System.Text;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Records.Instruments;
using BuildTrack.Web.Api;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Instruments;

/// <summary>A gauge study made with an instrument: the form for a new one, or one that is recorded.</summary>
public sealed class GaugeStudyModel(InstrumentRecordActs acts, InstrumentReader register) : SheetPage
{
    /// <summary>Longest table that may be typed or sent.</summary>
    public const int LargestTable = 200_000;

    [BindProperty]
    public StudyForm Form { get; set; } = new();

    public RegisterEntry Entry { get; private set; } = null!;

    /// <summary>The recorded study; null for the form.</summary>
    public StoredGaugeStudy? Study { get; private set; }

    public bool MayStudy => May(ActKind.RecordGaugeStudy);

    /// <summary>The models of a study with their names, that which counts first.</summary>
    public static IEnumerable<(string Name, GaugeModel Model, bool Counts)> ModelsOf(GaugeStudyResult result)
    {
        var variance = new[] { ("Analysis of variance, pooled", result.Pooled, result.IsPooled), ("Analysis of variance, with interaction", result.WithInteraction, !result.IsPooled) }.OrderByDescending(m => m.Item3);
        return variance.Append(("Average and range", result.AverageAndRange, false)).Where(m => m.Item2 is not null).Select(m => (m.Item1, m.Item2!, m.Item3));
    }

    public Task<IActionResult> OnGet(string id, long? study) => Show(id, study);

    public Task<IActionResult> OnPost(string id, IFormFile? file) => Act(
        async () =>
        {
            using var table = new StringReader(await Table(file));
            return await acts.Study(
                Me, new GaugeStudyRequest(id, Form.About ?? "", Form.Unit, InstrumentsApi.Width(Form.Tolerance), InstrumentsApi.Readings(table, file is { Length: > 0 } ? Path.GetFileName(file.FileName) : "table")), Key, Cancel);
        },
        done => ($"{InstrumentModel.UrlOf(id)}/gauge-study/{done.Id}", $"The study is recorded: {done.Sentence}."),
        () => Show(id, null));

    private async Task<string> Table(IFormFile? file)
    {
        if (file is not { Length: > 0 })
        {
            return Form.Table?.Length <= LargestTable ? Form.Table : throw new BadInputException("readings", Form.Table is { } t ? $"{t.Length} characters" : "nothing", $"a table or a file, at most {LargestTable} characters");
        }

        if (file.Length > LargestTable)
        {
            throw new BadInputException(Path.GetFileName(file.FileName), $"{file.Length} bytes", $"at most {LargestTable} bytes");
        }

        using var reader = new StreamReader(file.OpenReadStream(), Encoding.UTF8);
        return await reader.ReadToEndAsync(Cancel);
    }

    private async Task<IActionResult> Show(string id, long? study)
    {
        await Open();
        var history = await register.History(id, Cancel);
        Entry = history.Entry;
        Study = history.Studies.FirstOrDefault(s => s.Id == study);
        if (study is not null && Study is null)
        {
            return NotFound();
        }

        Name($"Gauge study with {Entry.Id}", "Gauge study", Study is null ? "Not recorded" : $"{Words.Percent(Study.GaugeShare)} of all variation", "/instruments");
        return Page();
    }

    public sealed class StudyForm
    {
        public string? About { get; set; }

        public string? Unit { get; set; }

        public string? Tolerance { get; set; }

        public string? Table { get; set; }
    }
}
