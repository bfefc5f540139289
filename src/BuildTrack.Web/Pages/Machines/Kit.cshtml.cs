using BuildTrack.Domain.Kits;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Records.Kits;
using BuildTrack.Records.Machines;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The kit and the ready date of a machine: what is missing, when it is likely ready, what decides it, and for which day it was promised.</summary>
public sealed class KitModel(KitActs kits, PromiseActs promises, MachineReader machines, ReadyDateReader reader) : SheetPage
{
    [BindProperty]
    public KitForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public KitStanding Kit { get; private set; } = null!;

    public PlantPlanToday Today { get; private set; } = null!;

    /// <summary>Null where the machine has left.</summary>
    public ReadyDate? Date { get; private set; }

    /// <summary>The part whose form is shown: the one asked for, else the first that is missing.</summary>
    public KitLine? Chosen { get; private set; }

    public bool MayRecord => May(ActKind.RecordKitPart);

    public bool MayPromise => May(ActKind.PromiseMachine);

    public (int Early, int Likely, int Late)? Slip => Date?.Slip(Clock, Today.Holidays);

    public Task<IActionResult> OnGet(string serial, string? part)
    {
        Form.Part = part;
        return Show(serial);
    }

    public Task<IActionResult> OnPostOrdered(string serial) => Record(serial, KitAct.Ordered, Empty(Form.Due), Form.Note, "ordered");

    public Task<IActionResult> OnPostReceived(string serial) => Record(serial, KitAct.Received, null, Form.Note, "received");

    public Task<IActionResult> OnPostTakenBack(string serial) => Record(serial, KitAct.TakenBack, null, Form.Note, "taken back");

    public Task<IActionResult> OnPostPromise(string serial) => Act(
        () => promises.Promise(Me, new PromiseRequest(serial, Form.Day?.Trim() ?? "", Form.Reason ?? ""), Key, Cancel), _ => (Here(serial), $"{serial} is promised for {Form.Day}."), () => Show(serial));

    private Task<IActionResult> Record(string serial, KitAct act, string? due, string? note, string word) => Act(
        () => kits.Record(Me, new KitRequest(serial, Form.Part ?? "", act, due, note), Key, Cancel), _ => (Here(serial), $"Recorded of {Form.Part}: {word}."), () => Show(serial));

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Kit = KitStanding.Of(Machine);
        Today = await reader.Today(Cancel);
        Date = Today.Plan.Of(serial);
        Chosen = string.IsNullOrEmpty(Form.Part) ? Kit.Missing.FirstOrDefault() : Kit.Lines.FirstOrDefault(l => l.Part.Id == Form.Part);
        Name(Machine, "Kit and ready date", "Planner's sheet", "kit and ready date", "–", Kit.Sentence, Here(serial));
        return Page();
    }

    private static string? Empty(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();

    private static string Here(string serial) => $"{SheetSets.UrlOf(serial)}/kit";

    /// <summary>What is typed into one of the forms.</summary>
    public sealed class KitForm
    {
        public string? Part { get; set; }

        public string? Due { get; set; }

        public string? Note { get; set; }

        public string? Day { get; set; }

        public string? Reason { get; set; }
    }
}
