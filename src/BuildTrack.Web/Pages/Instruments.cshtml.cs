using System.Collections.Immutable;
using System.Globalization;
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
        var due = Entries.Count(e => CalibrationHistory.StateOn(e, Today, Plant.DueDays) == CalibrationState.Due);
        Name("Instrument register", "Register", $"{Entries.Count(e => e.WhyNotValidOn(Today) is null)} of {Entries.Length} valid today{(due > 0 ? $", {due} due" : "")}");
        return Page();
    }

    /// <summary>A register entry as typed.</summary>
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

        public string? Laboratory { get; set; }

        public string? AsFound { get; set; }

        public string? AsLeft { get; set; }

        public string? IntervalReason { get; set; }

        public string? Range { get; set; }

        public string? Holder { get; set; }

        public string? Division { get; set; }

        public string? Digit { get; set; }

        public bool NeedsCheck { get; set; }

        public InstrumentState State { get; set; }

        public List<string?> Use { get; set; } = [];

        public List<string?> A { get; set; } = [];

        public List<string?> PerMetre { get; set; } = [];

        public List<string?> UpTo { get; set; } = [];

        public List<string?> Random { get; set; } = [];

        public List<string?> Common { get; set; } = [];

        public List<string?> Degrees { get; set; } = [];

        public List<string?> K { get; set; } = [];

        /// <summary>The form of an instrument's next state: what a calibration finds anew is left empty.</summary>
        public static EntryForm Of(RegisterEntry e) => new()
        {
            Id = e.Id, Name = e.Name, Serial = e.Serial, Quantity = e.Quantity, Unit = e.Unit, CalibratedOn = e.CalibratedOn, ValidTo = e.ValidTo, Certificate = e.Certificate,
            Laboratory = e.Laboratory, AsFound = e.AsFound?.ToString(), AsLeft = e.AsLeft?.ToString(), Range = e.Range, Holder = e.Holder, Division = e.Division?.ToString(), NeedsCheck = e.NeedsCheck == true,
            State = e.State, Use = [.. e.Figures.Select(f => f.Use)], A = [.. e.Figures.Select(f => f.A.ToString())], PerMetre = [.. e.Figures.Select(f => f.BPerMetre?.ToString())],
            UpTo = [.. e.Figures.Select(f => f.UpToMm?.ToString(CultureInfo.InvariantCulture))], Random = [.. e.Figures.Select(f => f.Random?.ToString())], Common = [.. e.Figures.Select(f => f.Common?.ToString())],
            Digit = e.Digit?.ToString(), Degrees = [.. e.Figures.Select(f => f.DegreesOfFreedom?.ToString(CultureInfo.InvariantCulture))], K = [.. e.Figures.Select(f => f.K.ToString(CultureInfo.InvariantCulture))],
        };

        /// <exception cref="BadInputException">A figure is no number with a unit.</exception>
        public RegisterEntry Entry() => new(
            T(Id), T(Name), T(Serial), T(Quantity), T(Unit),
            [.. Use.Select((use, i) => (use, i)).Where(u => !string.IsNullOrWhiteSpace(u.use)).Select(u => Figure(T(u.use), u.i))],
            T(CalibratedOn), T(ValidTo), T(Certificate), State, 0, Optional(Division, "worth of a division"), NeedsCheck ? true : null, N(IntervalReason),
            Optional(AsFound, "error as found"), Optional(AsLeft, "error as left"), N(Laboratory), N(Range), N(Holder), Optional(Digit, "smallest digit"));

        private RegisterFigure Figure(string use, int i) => new(
            use, Distance(UpTo.ElementAtOrDefault(i), $"distance for '{use}'"), Amount(A.ElementAtOrDefault(i), $"uncertainty for '{use}'"),
            Optional(PerMetre.ElementAtOrDefault(i), $"uncertainty per metre for '{use}'"),
            Plain(K.ElementAtOrDefault(i), $"k for '{use}'") ?? 2,
            Optional(Random.ElementAtOrDefault(i), $"random part for '{use}'"), Optional(Common.ElementAtOrDefault(i), $"common part for '{use}'"),
            Plain(Degrees.ElementAtOrDefault(i), $"degrees of freedom for '{use}'"));

        private static string T(string? text) => text?.Trim() ?? "";

        private static string? N(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();

        private static double? Distance(string? text, string where) =>
            string.IsNullOrWhiteSpace(text) ? null
            : NumberText.TryIn(text, "mm", out var mm, out _) ? (double)mm
            : throw new BadInputException(where, $"'{text}'", "a number of mm, like 2000");

        private static double? Plain(string? text, string where) =>
            string.IsNullOrWhiteSpace(text) ? null
            : NumberText.TryIn(text, "1", out var number, out _) ? (double)number
            : throw new BadInputException(where, $"'{text}'", "a number");

        private static Amount? Optional(string? text, string where) => string.IsNullOrWhiteSpace(text) ? null : Amount(text, where);

        private static Amount Amount(string? text, string where) =>
            NumberText.TryAmount(text, out var amount) ? amount : throw new BadInputException(where, $"'{text}'", "a number and a unit, like 0.006 mm");
    }
}
