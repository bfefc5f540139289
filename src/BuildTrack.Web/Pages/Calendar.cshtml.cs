using System.Collections.Immutable;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.People;
using BuildTrack.Records.Calendars;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages;

/// <summary>The plant's calendar: holidays, entered and taken back, and the shifts of the work centres.</summary>
public sealed class CalendarModel(CalendarActs acts, CalendarReader reader) : SheetPage
{
    public ImmutableArray<PlantHoliday> Holidays { get; private set; } = [];

    public ImmutableArray<WorkCentre> Centres { get; private set; } = [];

    public bool MayEnter => May(ActKind.EnterHoliday);

    [BindProperty]
    public HolidayForm Form { get; set; } = new();

    public Task<IActionResult> OnGet() => Show();

    public Task<IActionResult> OnPostEnter() => Act(
        () => acts.Enter(Me, new EnterHolidayRequest(Form.Day?.Trim() ?? "", Form.Name ?? ""), Key, Cancel),
        _ => ("/calendar", $"{Form.Day} is entered as a holiday; notices and ready dates are counted with it from now on."), Show);

    public Task<IActionResult> OnPostTakeBack() => Act(
        () => acts.TakeBack(Me, new TakeBackHolidayRequest(Form.Holiday, Form.Reason ?? ""), Key, Cancel),
        _ => ("/calendar", "The holiday is taken back; it stays in the list, with the reason."), Show);

    private async Task<IActionResult> Show()
    {
        await Open();
        (Holidays, Centres) = (await reader.Entered(Cancel), await reader.WorkCentres(Cancel));
        Name("Calendar", "Calendar sheet", $"holidays ahead: {Holidays.Count(h => h.TakenBack is null && string.CompareOrdinal(h.Day, Clock.Day(Now)) >= 0)}", "/calendar");
        return Page();
    }

    /// <summary>What is typed into one of the forms.</summary>
    public sealed class HolidayForm
    {
        public string? Day { get; set; }

        public string? Name { get; set; }

        public long Holiday { get; set; }

        public string? Reason { get; set; }
    }
}
