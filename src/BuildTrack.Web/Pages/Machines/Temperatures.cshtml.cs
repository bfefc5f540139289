using System.Collections.Immutable;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Temperatures;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Conditions before measuring: rounds of the bed's temperatures, until when to wait, and the comparison of the probes.</summary>
public sealed class TemperaturesModel(TemperatureActs acts, TemperatureReader temperatures, MachineReader machines, InstrumentReader register) : SheetPage
{
    /// <summary>Repeats on the block that the form offers.</summary>
    public const int Repeats = 3;

    [BindProperty]
    public RoundForm Form { get; set; } = new();

    [BindProperty]
    public BlockForm Block { get; set; } = new();

    public MachineRecord Machine { get; private set; } = null!;

    public GradientStanding Standing { get; private set; } = null!;

    public ImmutableArray<int> Steps { get; private set; } = [];

    public ImmutableArray<RegisterEntry> Probes { get; private set; } = [];

    /// <summary>Today's comparison; null where there is none.</summary>
    public ComparedProbes? Compared { get; private set; }

    public int Pairs => TemperatureRules.PairsOf(Machine.Model);

    public bool MayRecord => May(ActKind.RecordTemperatures);

    public bool Waits => GradientStanding.WaitingAt(Machine, Standing.Step) is not null;

    /// <summary>The time that was told is over.</summary>
    public bool Due => Standing.Forecast is { } f && Now > f.Ready;

    public string NameOfPlace(int i, int of) => i == 0 ? "operator's end" : i == of - 1 ? "far end" : of == 3 ? "middle" : $"place {i + 1}";

    /// <summary>A probe for each place unless one was chosen: those of the register in turn.</summary>
    public string? ProbeFor(IReadOnlyList<string?> chosen, int i, int offset)
    {
        var fit = Probes.Where(p => Compared?.Find(p.Id)?.Disagrees is null).ToArray();
        return chosen.ElementAtOrDefault(i) ?? (fit.Length == 0 ? null : fit[(offset + i) % fit.Length].Id);
    }

    public Task<IActionResult> OnGet(string serial, int? step) => Show(serial, step);

    public Task<IActionResult> OnPost(string serial, int? step) => Act(
        () => acts.Round(Me, new RecordRoundRequest(serial, Form.Step, Form.Air, Typed(Form.Top), Typed(Form.Bottom), Typed(Form.TopProbes), Typed(Form.BottomProbes), Form.Note), Key, Cancel),
        done => (UrlOf(serial, Form.Step), $"The round is recorded: {done.Sentence}."),
        () => Show(serial, step));

    public Task<IActionResult> OnPostCompare(string serial, int? step) => Act(
        () => acts.Compare(Me, Block.Request(), Key, Cancel),
        done => (UrlOf(serial, step ?? 0), $"The comparison is recorded: {done.Sentence}."),
        () => Show(serial, step));

    public static string UrlOf(string serial, int step) => $"{SheetSets.UrlOf(serial)}/temperatures{(step == 0 ? "" : $"?step={step}")}";

    private static ImmutableArray<string> Typed(IEnumerable<string?> texts) => [.. texts.Select(t => t ?? "")];

    private async Task<IActionResult> Show(string serial, int? step)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Steps = TemperatureRules.StepsOf(Machine.Revision);
        if (Steps.IsEmpty || (step is { } asked && !Steps.Contains(asked)))
        {
            throw new NotFoundException($"No survey{(step is null ? "" : $" of step {step}")} asks for bed temperatures.");
        }

        var at = step ?? (Machine.Route.Current?.Step.Number is { } current && Steps.Contains(current) ? current : Steps[0]);
        Standing = GradientStanding.Of(Machine, at);
        var today = Clock.Day(Now);
        Probes = [.. (await register.List(Cancel)).Where(e => e.Quantity == TemperatureRules.Quantity && e.Unit == "°C" && e.WhyNotValidOn(today) is null)];
        Compared = await temperatures.ComparisonOf(today, Cancel);
        Name(Machine, "Conditions before measuring", "Temperature sheet", $"{at}", "–", Standing.State switch
        {
            GradientState.NotRead => "Not read", GradientState.Met => "Conditions met", _ => "Waiting for conditions",
        }, $"{SheetSets.UrlOf(serial)}/step/{at}");
        return Page();
    }

    public sealed class RoundForm
    {
        public int Step { get; set; }

        public string? Air { get; set; }

        public List<string?> Top { get; set; } = [];

        public List<string?> Bottom { get; set; } = [];

        public List<string?> TopProbes { get; set; } = [];

        public List<string?> BottomProbes { get; set; } = [];

        public string? Note { get; set; }
    }

    public sealed class BlockForm
    {
        public string? Step { get; set; }

        /// <summary>Every probe of the form, in order.</summary>
        public List<string?> Probes { get; set; } = [];

        /// <summary>One reading after the other, probe by probe; a probe that was left empty took no part.</summary>
        public List<string?> Read { get; set; } = [];

        public CompareProbesRequest Request() => new(
            Step ?? "",
            [.. Probes.Select((p, i) => new BlockReadings(p ?? "", [.. Read.Skip(i * Repeats).Take(Repeats).Select(r => r?.Trim() ?? "").Where(r => r.Length > 0)])).Where(b => !b.Read.IsEmpty)]);
    }
}
