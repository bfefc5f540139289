using System.Collections.Immutable;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Witnessing;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The customer's witness at a machine's witness points: who is invited, what came of it, what each point still waits for.</summary>
public sealed class WitnessModel(WitnessActs acts, MachineReader machines, CalendarReader calendars, LookOnLinks links) : SheetPage
{
    [BindProperty]
    public WitnessForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<WitnessStanding> Points { get; private set; } = [];

    /// <summary>The point whose forms are shown: the one asked for, else the first that waits; null where none does.</summary>
    public WitnessStanding? Chosen { get; private set; }

    public string Today { get; private set; } = "";

    public Holidays Holidays { get; private set; } = Holidays.None;

    public bool MayInvite => May(ActKind.InviteWitness);

    public bool MayRecord => May(ActKind.RecordWitness);

    public bool MayLetIn => May(ActKind.LetWitnessLookOn);

    /// <summary>The link of the chosen point that is in force; null for none.</summary>
    public WitnessEntry? Link => Chosen is null ? null : LookingOn.At(Machine, Chosen.Hold, Today);

    /// <summary>Address of the sheet, as the witness types or scans it.</summary>
    public string Address(WitnessEntry link) => $"{Request.Scheme}://{Request.Host}{links.PathOf(Machine.Serial, link.Id)}";

    public BrokenRule? Waits(WitnessStanding point) => Released(point) ? null : WitnessRules.WhyBlocked(Machine, point.Hold);

    public bool Released(WitnessStanding point) => Machine.StandingOfHold(point.Hold).Released is not null;

    /// <summary>Files among which the scan of the signed statement is named.</summary>
    public IEnumerable<StepFile> Scans => Machine.Files.Where(f => f.SetAside is null && f.Step == Chosen?.Hold.Step);

    public Task<IActionResult> OnGet(string serial, string? hold)
    {
        Form.Hold = hold;
        return Show(serial);
    }

    public Task<IActionResult> OnPostInvite(string serial) => Act(
        () => acts.Invite(Me, new InviteRequest(serial, Form.Hold ?? "", Form.Witness ?? "", Form.Organisation ?? "", Form.Visit?.Trim() ?? "", Form.Letter), Key, Cancel),
        _ => (Here(serial), $"{Form.Witness} is invited to {Form.Hold} for {Form.Visit}."), () => Show(serial));

    public Task<IActionResult> OnPostRecord(string serial) => Act(
        () => acts.Record(Me, new WitnessRequest(serial, Form.Hold ?? "", Form.Outcome, Form.Witness, Form.Organisation, Form.Remark, Form.Statement, Form.Scan, Form.Letter), Key, Cancel),
        _ => (Here(serial), $"Recorded at {Form.Hold}: {WitnessStanding.Words(Form.Outcome)}."), () => Show(serial));

    public Task<IActionResult> OnPostLetIn(string serial) => Act(
        () => acts.LetIn(Me, new LookOnRequest(serial, Form.Hold ?? "", Form.Until?.Trim() ?? ""), Key, Cancel),
        made => ($"{Here(serial)}?hold={Uri.EscapeDataString(made.Hold)}#act", $"A link to look on at {made.Hold} until {made.Until}."), () => Show(serial));

    public Task<IActionResult> OnPostEndLooking(string serial) => Act(
        () => acts.EndLookingOn(Me, serial, Form.Hold ?? "", Key, Cancel),
        _ => ($"{Here(serial)}?hold={Uri.EscapeDataString(Form.Hold ?? "")}#act", $"The link to look on at {Form.Hold} is ended."), () => Show(serial));

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Today = Clock.Day(Now);
        Holidays = await calendars.Holidays(Cancel);
        Points = [.. Machine.Revision.Holds.Where(h => h.Witness is not null).Select(h => WitnessStanding.Of(Machine, h))];
        Chosen = Points.FirstOrDefault(p => p.Hold.Id == Form.Hold && !Released(p)) ?? Points.FirstOrDefault(p => Waits(p) is not null);
        Form.Hold = Chosen?.Hold.Id;
        Name(Machine, "Customer's witness", "List", "witness", "–", $"{Points.Count(p => p.Outcome is not null)} of {Points.Length} recorded", Here(serial));
        return Page();
    }

    private static string Here(string serial) => $"{SheetSets.UrlOf(serial)}/witness";

    /// <summary>What is typed into one of the forms.</summary>
    public sealed class WitnessForm
    {
        public string? Hold { get; set; }

        public string? Witness { get; set; }

        public string? Organisation { get; set; }

        public string? Visit { get; set; }

        public string? Letter { get; set; }

        public WitnessAct Outcome { get; set; } = WitnessAct.Present;

        public string? Remark { get; set; }

        public string? Statement { get; set; }

        public string? Scan { get; set; }

        public string? Until { get; set; }
    }
}
