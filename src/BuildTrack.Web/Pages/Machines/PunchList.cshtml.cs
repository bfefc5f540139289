using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.PunchList;
using BuildTrack.Records.Machines;
using BuildTrack.Records.People;
using BuildTrack.Records.PunchList;
using BuildTrack.Records.Surveys;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>A machine's punch list: what is open, who sees to it and until when; items are added, given another class, and closed.</summary>
[RequestSizeLimit(2 * 1024 * 1024 + 64 * 1024)]
public sealed class PunchListModel(PunchActs acts, SurveyActs files, MachineReader machines, PeopleReader people) : SheetPage
{
    [BindProperty]
    public ItemForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<PersonLine> People { get; private set; } = [];

    /// <summary>The item whose acts are shown; null for none.</summary>
    public PunchItem? Chosen { get; private set; }

    public bool MayAdd => May(ActKind.AddPunchItem);

    public bool MayChangeClass => May(ActKind.ChangePunchClass);

    public bool MayClose => May(ActKind.ClosePunchItem);

    public string OwnerOf(PunchItem item) => item.Outside ? $"{item.Owner} (outside)" : NameOf(item.Owner);

    public Task<IActionResult> OnGet(string serial, int? item)
    {
        Form.No = item;
        return Show(serial);
    }

    public Task<IActionResult> OnPostAdd(string serial) => Act(
        () => acts.Add(Me, new AddPunchRequest(
            serial, Form.Text ?? "", Form.Class, (string.IsNullOrWhiteSpace(Form.Outside) ? Form.Owner : Form.Outside) ?? "", !string.IsNullOrWhiteSpace(Form.Outside), Form.Due?.Trim() ?? ""), Key, Cancel),
        done => (Here(serial), $"Item {done.No} is on the list."),
        () => Show(serial));

    public Task<IActionResult> OnPostClass(string serial) => Act(
        () => acts.ChangeClass(Me, new ChangePunchClassRequest(serial, Form.No ?? 0, Form.Class, Form.Text ?? ""), Key, Cancel),
        done => (Here(serial), $"Item {done.No} is of class {Form.Class} now."),
        () => Show(serial));

    public Task<IActionResult> OnPostClose(string serial, IFormFile? file) => Act(
        async () => await acts.Close(Me, new ClosePunchRequest(serial, Form.No ?? 0, Form.Text ?? "", await Kept(file)), Key, Cancel),
        done => (Here(serial), $"Item {done.No} is closed."),
        () => Show(serial));

    private async Task<string?> Kept(IFormFile? file)
    {
        if (file is null)
        {
            return null;
        }

        using var bytes = new MemoryStream();
        await file.CopyToAsync(bytes, Cancel);
        return await files.KeepFile(Me, Path.GetFileName(file.FileName), file.ContentType, bytes.ToArray(), $"{Key}f", Cancel);
    }

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        People = [.. (await people.List(Cancel)).Where(p => !p.Disabled)];
        Chosen = Machine.OpenPunch.FirstOrDefault(i => i.No == Form.No);
        Name(Machine, "Punch list", "Punch list", "punch list", "–", $"{Machine.OpenPunch.Count()} open", Here(serial));
        return Page();
    }

    private static string Here(string serial) => $"{SheetSets.UrlOf(serial)}/punch-list";

    /// <summary>What is typed into one of the forms.</summary>
    public sealed class ItemForm
    {
        public int? No { get; set; }

        public string? Text { get; set; }

        public PunchClass? Class { get; set; }

        public string? Owner { get; set; }

        public string? Outside { get; set; }

        public string? Due { get; set; }
    }
}
