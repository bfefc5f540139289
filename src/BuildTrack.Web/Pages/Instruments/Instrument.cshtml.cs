using System.Collections.Immutable;
using BuildTrack.Domain.AffectedReadings;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.People;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Instruments;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Instruments;

/// <summary>One instrument: its states in the register, and when it was found out of limits.</summary>
public sealed class InstrumentModel(AffectedActs acts, AffectedReader affected, InstrumentReader register) : SheetPage
{
    [BindProperty]
    public UnfitForm Form { get; set; } = new();

    public ImmutableArray<RegisterState> States { get; private set; } = [];

    public RegisterEntry Entry => States[0].Entry;

    public ImmutableArray<FindingLine> Findings { get; private set; } = [];

    public bool MayFind => May(ActKind.RecordUnfit);

    public string Today => Clock.Day(Now);

    public string ReviewUrl(UnfitFinding finding) => $"/instruments/{Uri.EscapeDataString(finding.Instrument)}/reviews/{finding.Id}";

    public Task<IActionResult> OnGet(string id) => Show(id);

    public Task<IActionResult> OnPost(string id) => Act(
        () => acts.RecordUnfit(Me, new RecordUnfitRequest(id, Form.Found ?? "", Form.Allowed ?? "", Form.LastGood, Form.Reference ?? ""), Key, Cancel),
        done => ($"/instruments/{Uri.EscapeDataString(id)}/reviews/{done.Finding}", $"{done.Instrument} is out of use. Decide about each machine below."),
        () => Show(id));

    private async Task<IActionResult> Show(string id)
    {
        await Open();
        States = await register.States(id, Cancel);
        Findings = await affected.List(id, Cancel);
        Name($"{Entry.Id} {Entry.Name}", "Register", Entry.WhyNotValidOn(Today) is null ? "Valid today" : "Proves nothing today", "/instruments");
        return Page();
    }

    public sealed class UnfitForm
    {
        public string? Found { get; set; }

        public string? Allowed { get; set; }

        public string? LastGood { get; set; }

        public string? Reference { get; set; }
    }
}
