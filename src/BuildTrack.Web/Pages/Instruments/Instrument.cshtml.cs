using System.Collections.Immutable;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.People;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Instruments;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Instruments;

/// <summary>One instrument: its states in the register, checks before use, reversals, gauge studies, and when it was found out of limits.</summary>
public sealed class InstrumentModel(AffectedActs acts, AffectedReader affected, InstrumentRecordActs records, InstrumentReader register) : SheetPage
{
    private const int MostChecks = 20;

    [BindProperty]
    public UnfitForm Form { get; set; } = new();

    [BindProperty]
    public CheckForm Looked { get; set; } = new();

    [BindProperty]
    public ReversalForm Turned { get; set; } = new();

    public InstrumentHistory History { get; private set; } = null!;

    public ImmutableArray<InstrumentCheck> ShownChecks => [.. History.Checks.Take(MostChecks)];

    public InstrumentCheck? LastCheck => History.Checks.FirstOrDefault();

    public bool CheckedToday => LastCheck is { Good: true } last && last.Day == Today;

    public ImmutableArray<FindingLine> Findings { get; private set; } = [];

    public bool MayFind => May(ActKind.RecordUnfit);

    public bool MayCheck => May(ActKind.CheckInstrument);

    public bool MayReverse => May(ActKind.RecordReversal);

    public bool MayStudy => May(ActKind.RecordGaugeStudy);

    public bool MayRegister => May(ActKind.RegisterInstrument);

    public string Today => Clock.Day(Now);

    public string ReviewUrl(UnfitFinding finding) => $"{UrlOf(finding.Instrument)}/reviews/{finding.Id}";

    public static string UrlOf(string id) => $"/instruments/{Uri.EscapeDataString(id)}";

    public Task<IActionResult> OnGet(string id) => Show(id);

    public Task<IActionResult> OnPost(string id) => Act(
        () => acts.RecordUnfit(Me, new RecordUnfitRequest(id, Form.Found ?? "", Form.Allowed ?? "", Form.LastGood, Form.Reference ?? ""), Key, Cancel),
        done => ($"{UrlOf(id)}/reviews/{done.Finding}", $"{done.Instrument} is out of use. Decide about each machine below."),
        () => Show(id));

    public Task<IActionResult> OnPostCheck(string id) => Act(
        () => records.Check(Me, new CheckInstrumentRequest(id, Looked.Reference ?? "", Looked.Found ?? "", Looked.Limit ?? ""), Key, Cancel),
        done => (UrlOf(id), done.Good ? $"{Words.Sentence(done.Sentence)}" : $"{Words.Sentence(done.Sentence)} It proves nothing until a good check or a calibration."),
        () => Show(id));

    public Task<IActionResult> OnPostReversal(string id) => Act(
        () => records.Reverse(Me, new ReverseLevelRequest(id, Turned.Place ?? "", Turned.First ?? "", Turned.Second ?? ""), Key, Cancel),
        done => (UrlOf(id), $"The reversal is recorded: {done.Sentence}."),
        () => Show(id));

    private async Task<IActionResult> Show(string id)
    {
        await Open();
        History = await register.History(id, Cancel);
        Findings = await affected.List(id, Cancel);
        Name($"{History.Entry.Id} {History.Entry.Name}", "Register", History.Entry.WhyNotValidOn(Today) is null ? "Valid today" : "Proves nothing today", "/instruments");
        return Page();
    }

    public sealed class UnfitForm
    {
        public string? Found { get; set; }

        public string? Allowed { get; set; }

        public string? LastGood { get; set; }

        public string? Reference { get; set; }
    }

    public sealed class CheckForm
    {
        public string? Reference { get; set; }

        public string? Found { get; set; }

        public string? Limit { get; set; }
    }

    public sealed class ReversalForm
    {
        public string? Place { get; set; }

        public string? First { get; set; }

        public string? Second { get; set; }
    }
}
