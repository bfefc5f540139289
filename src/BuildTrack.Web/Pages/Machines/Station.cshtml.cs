using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Surveys;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The measuring sheet: one place of an open run at a time, taken back by a touch, asked about where it is doubtful.</summary>
public sealed class StationModel(SurveyActs acts, MachineReader machines) : SheetPage
{
    public StationView View { get; private set; } = null!;

    /// <summary>What was typed, by field: kept when it was refused or asked about.</summary>
    public IReadOnlyDictionary<string, string> Typed { get; private set; } = new Dictionary<string, string>();

    /// <summary>What the person is asked about the values typed, before they are recorded.</summary>
    public ImmutableArray<string> Questions { get; private set; } = [];

    /// <summary>Id of the entry that took something back just now; told once.</summary>
    [TempData]
    public string? Back { get; set; }

    /// <summary>"R2-06: 12", which it took back.</summary>
    public string? TookBack => View.Run.Readings.FirstOrDefault(r => r.Id.ToString(CultureInfo.InvariantCulture) == Back)?.Supersedes is { } old && View.Run.Readings.FirstOrDefault(r => r.Id == old) is { } was
        ? View.WordsOf([was]) : null;

    /// <summary>The picture and the form of the present place.</summary>
    public StationPlace Place => new(View, NewKey, Typed, Questions.Length > 0, Chosen);

    /// <summary>The run as a tablet takes it along: canonical text.</summary>
    public string TakenRun => CanonicalJson.Of(Domain.TakenAlong.TakenRun.Of(View.View.Machine, View.View.Survey, View.View.Measurement, View.Run));

    public string Table => RunView.UrlOf(View.View.Machine.Serial, View.Run.Id);

    public bool Mine => May(ActKind.Record) && View.View.IsOpenTo(Me.Person);

    public async Task<IActionResult> OnGet(string serial, long id, string? at)
    {
        var page = await Show(serial, id, at);
        return Mine ? page : LocalRedirect(Table);
    }

    /// <summary>Every place of the run with what calculates with it, for a tablet that may lose its network.</summary>
    public async Task<IActionResult> OnGetTakeAlong(string serial, long id)
    {
        await Show(serial, id, null);
        return Mine ? Partial("_TakenAlong", this) : NotFound();
    }

    /// <param name="confirmed">The person was asked about these values, and records them all the same.</param>
    /// <param name="gauge">They came faster than a person types.</param>
    /// <param name="typedUs">When they were typed, by the tablet's clock; empty without script.</param>
    /// <param name="sentUs">The tablet's clock as it sends.</param>
    public async Task<IActionResult> OnPostRecord(string serial, long id, string? at, string? from, string? to, bool confirmed, bool gauge, long? typedUs, long? sentUs)
    {
        Typed = Request.Form.Where(f => f.Key.StartsWith("v:", StringComparison.Ordinal) && !string.IsNullOrWhiteSpace(f.Value)).ToDictionary(f => f.Key, f => f.Value.ToString());
        var readings = Typed.Select(t => (Key: t.Key.Split(':', 3), t.Value))
            .Select(t => new TypedReading(t.Key[1].Length > 0 ? t.Key[1] : $"{from}→{to}", t.Key[^1], t.Value.Trim(), null)).ToImmutableArray();
        try
        {
            return await Act(
                () => acts.Record(Me, new RecordRequest(serial, id, gauge ? EntryRoute.Gauge : EntryRoute.Typed, readings, confirmed, typedUs), Key, Cancel, sentUs),
                _ => (RunView.SheetUrlOf(serial, id), ""),
                () => Show(serial, id, at));
        }
        catch (DoubtfulReadingException doubt)
        {
            Questions = doubt.Questions;
            return await Show(serial, id, at);
        }
    }

    public Task<IActionResult> OnPostTakeBack(string serial, long id, long reading) => Act(
        () => acts.TakeBack(Me, new TakeBackRequest(serial, reading), Key, Cancel),
        done =>
        {
            Back = done.Ids[0].ToString(CultureInfo.InvariantCulture);
            return (RunView.SheetUrlOf(serial, id), "");
        },
        () => Show(serial, id, null));

    // The two stations of a free pair, as they were chosen.
    private Dictionary<string, string> Chosen => Request.HasFormContentType
        ? new[] { "From", "To" }.Where(Request.Form.ContainsKey).ToDictionary(n => n, n => Request.Form[n].ToString()) : [];

    private async Task<IActionResult> Show(string serial, long id, string? at)
    {
        await Open();
        var run = RunView.Of(await machines.Load(serial, Cancel), id);
        View = new StationView(run, at);
        Name(run.Machine, $"{run.Survey.Title}, run {run.Run.No}", "Measuring sheet", $"run {id}", "–",
            View.Free ? $"{run.Run.Standing.Count()} readings" : $"{View.Done} of {View.Entries.Length} done", $"{SheetSets.UrlOf(serial)}/step/{run.Survey.Step}");
        return Page();
    }
}
