using System.Collections.Immutable;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Surveys;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>The instrument register, and the form for an instrument's next state.</summary>
public sealed class InstrumentsModel(InstrumentActs acts, InstrumentReader register) : SheetPage
{
    [BindProperty]
    public EntryForm Form { get; set; } = new();

    public ImmutableArray<RegisterEntry> Entries { get; private set; } = [];

    public bool MayRegister => May(ActKind.RegisterInstrument);

    public string Today => Clock.Day(Now);

    public async Task<IActionResult> OnGet(string? id)
    {
        var page = await Show();
        if (Entries.FirstOrDefault(e => e.Id == id) is { } entry)
        {
            Form = EntryForm.Of(entry);
        }

        return page;
    }

    public Task<IActionResult> OnPost() => Act(
        () => acts.Register(Me, new RegisterInstrumentRequest(Form.Entry()), Key, Cancel),
        done => ("/instruments", $"{done.Subject} is in the register."),
        Show);

    private async Task<IActionResult> Show()
    {
        await Open();
        Entries = await register.List(Cancel);
        Name("Instrument register", "Register", $"{Entries.Count(e => e.WhyNotValidOn(Today) is null)} of {Entries.Length} valid today");
        return Page();
    }

    /// <summary>A register entry as typed; up to two uses.</summary>
    public sealed class EntryForm
    {
        public string? Id { get; set; }

        public string? Name { get; set; }

        public string? Serial { get; set; }

        public string? Quantity { get; set; }

        public string? Unit { get; set; }

        public string? CalibratedOn { get; set; }

        public string? ValidTo { get; set; }

        public string? Certificate { get; set; }

        public InstrumentState State { get; set; }

        public List<string?> Use { get; set; } = [];

        public List<string?> A { get; set; } = [];

        public List<string?> PerMetre { get; set; } = [];

        public static EntryForm Of(RegisterEntry e) => new()
        {
            Id = e.Id, Name = e.Name, Serial = e.Serial, Quantity = e.Quantity, Unit = e.Unit, CalibratedOn = e.CalibratedOn, ValidTo = e.ValidTo, Certificate = e.Certificate,
            State = e.State, Use = [.. e.Figures.Select(f => f.Use)], A = [.. e.Figures.Select(f => f.A.ToString())], PerMetre = [.. e.Figures.Select(f => f.BPerMetre?.ToString())],
        };

        /// <exception cref="BadInputException">An uncertainty is no number with a unit.</exception>
        public RegisterEntry Entry() => new(
            T(Id), T(Name), T(Serial), T(Quantity), T(Unit),
            [.. Use.Select((use, i) => (use, i)).Where(u => !string.IsNullOrWhiteSpace(u.use)).Select(u => new RegisterFigure(
                T(u.use), null, Amount(A.ElementAtOrDefault(u.i), $"uncertainty for '{u.use}'"),
                string.IsNullOrWhiteSpace(PerMetre.ElementAtOrDefault(u.i)) ? null : Amount(PerMetre[u.i], $"uncertainty per metre for '{u.use}'"), 2, null, null))],
            T(CalibratedOn), T(ValidTo), T(Certificate), State, 0);

        private static string T(string? text) => text?.Trim() ?? "";

        private static Amount Amount(string? text, string where) =>
            NumberText.TryAmount(text, out var amount) ? amount : throw new BadInputException(where, $"'{text}'", "a number and a unit, like 0.006 mm");
    }
}
