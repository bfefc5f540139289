using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Scanning;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The as-built list: what a machine must carry, what is fitted, and what was taken out; components are fitted and swapped by scanning.</summary>
public sealed class AsBuiltModel(ComponentActs acts, MachineReader machines, CodeFinder codes) : SheetPage
{
    [BindProperty]
    public ComponentForm Form { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public AsBuiltList List { get; private set; } = null!;

    /// <summary>The place whose form is shown: the one asked for, else the first that is missing; null where there is none.</summary>
    public ComponentPlace? Chosen { get; private set; }

    public bool MayFit => May(ActKind.FitComponent);

    public bool MaySwap => May(ActKind.SwapComponent);

    public bool Swaps => Chosen?.Fitted is not null;

    /// <summary>What a swap at the chosen place makes void, in the words of the plan; null for nothing.</summary>
    public string? AfterSwap => Machine.Revision.Invalidation.FirstOrDefault(r => r.Change == Chosen?.Plan.AfterSwap) is { } rule
        ? string.Join(", ", rule.Surveys.Select(s => Machine.Revision.Survey(s).Title)) : null;

    public Task<IActionResult> OnGet(string serial, string? place)
    {
        Form.Place = place;
        return Show(serial);
    }

    public Task<IActionResult> OnPostFit(string serial) => Act(
        async () => await acts.Fit(Me, new FitComponentRequest(serial, await Scanned()), Key, Cancel), _ => ($"{Here(serial)}#scan", $"{Form.Serial} is listed at {Form.Place}."), () => Show(serial));

    public Task<IActionResult> OnPostSwap(string serial) => Act(
        async () => await acts.Swap(Me, new SwapComponentRequest(serial, Form.Old = await codes.ComponentNumber(Form.Old, "what comes out", Cancel), await Scanned(), Form.Reason ?? ""), Key, Cancel),
        _ => (Here(serial), $"{Form.Old} is swapped for {Form.Serial} at {Form.Place}."), () => Show(serial));

    private async Task<ScannedComponent> Scanned() =>
        new(Form.Place ?? "", Form.Serial = await codes.ComponentNumber(Form.Serial, "serial number", Cancel), Form.Firmware, Form.Certificate, Form.Begins, Form.Ends);

    private async Task<IActionResult> Show(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        List = AsBuiltList.Of(Machine);
        Chosen = string.IsNullOrEmpty(Form.Place) ? List.Missing.FirstOrDefault() : List.Find(Form.Place);
        Name(Machine, "As-built list", "List", "as-built list", "–", List.Sentence, Here(serial));
        return Page();
    }

    private static string Here(string serial) => $"{SheetSets.UrlOf(serial)}/as-built";

    /// <summary>What is scanned or typed into one of the forms.</summary>
    public sealed class ComponentForm
    {
        public string? Place { get; set; }

        public string? Old { get; set; }

        public string? Serial { get; set; }

        public string? Firmware { get; set; }

        public string? Certificate { get; set; }

        public string? Begins { get; set; }

        public string? Ends { get; set; }

        public string? Reason { get; set; }
    }
}
