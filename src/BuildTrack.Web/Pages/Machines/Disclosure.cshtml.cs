using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Disclosure;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>What the customer's copy of a machine's certificates leaves out: the list in force, how it came, and setting it.</summary>
public sealed class DisclosureModel(DisclosureActs acts, MachineReader machines, PeopleReader everybody) : SheetPage
{
    [BindProperty]
    public DisclosureForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public HoldPoint Point => AgreedAtReview.PointOf(Machine.Revision);

    /// <summary>The list changes only by an approved revision.</summary>
    public bool Frozen => AgreedAtReview.IsFrozen(Machine);

    public bool MaySet => May(ActKind.SetDisclosure);

    /// <summary>Who could approve a revision.</summary>
    public ImmutableArray<PersonLine> Seconds { get; private set; } = [];

    public async Task<IActionResult> OnGet(string serial)
    {
        Form = DisclosureForm.Of((await machines.Load(serial, Cancel)).Disclosure);
        return await Show(serial);
    }

    public Task<IActionResult> OnPostSet(string serial) => Act(
        () => acts.Set(Me, Form.ToRequest(serial), Key, Cancel), _ => (Here(serial), $"The disclosure list of {serial} is recorded."), () => Show(serial));

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Seconds = Frozen && MaySet ? await ApprovalView.SecondsFor(this, everybody, ActKind.SetDisclosure, Cancel) : [];
        Name(Machine, "Disclosure list", "Order sheet", "disclosure list", "–",
            Machine.Disclosure is { List.IsEmpty: false } now ? $"Revision {now.Revision}{(Frozen ? ", in force" : "")}" : "Everything is disclosed", Here(serial));
        return Page();
    }

    private static string Here(string serial) => $"{SheetSets.UrlOf(serial)}/disclosure";

    /// <summary>What is typed into the form.</summary>
    public sealed class DisclosureForm : ApprovalForm
    {
        public long Version { get; set; }

        public string? Readings { get; set; }

        public bool Names { get; set; }

        public bool Replaced { get; set; }

        public bool Reasons { get; set; }

        public bool Serials { get; set; }

        public string? AgreedWith { get; set; }

        /// <summary>The form filled with the list in force.</summary>
        public static DisclosureForm Of(DisclosureRevision? now) => now is null ? new() : new()
        {
            Readings = string.Join(", ", now.List.Readings), Names = now.List.Names, Replaced = now.List.Replaced, Reasons = now.List.Reasons, Serials = now.List.Serials, AgreedWith = now.AgreedWith,
        };

        public SetDisclosureRequest ToRequest(string serial) => new(
            serial, new DisclosureList([.. (Readings ?? "").Split([',', ';', ' '], StringSplitOptions.RemoveEmptyEntries)], Names, Replaced, Reasons, Serials), AgreedWith ?? "", Version,
            Approval);
    }
}
