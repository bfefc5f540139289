using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages;

/// <summary>The planner's sheet: ready dates beside the days promised, notices that must go out, kits that are not complete.</summary>
public sealed class ReadyDatesModel(ReadyDateReader reader) : SheetPage
{
    public PlantPlanToday Today { get; private set; } = null!;

    public PlantPlan Plan => Today.Plan;

    /// <summary>Up to which day notices are listed.</summary>
    public DateOnly Until { get; private set; }

    /// <summary>The day that was asked for is none.</summary>
    public string? BadUntil { get; private set; }

    /// <summary>Machines in the plant whose kit is not complete, the earliest promised first.</summary>
    public IEnumerable<PlannedMachine> Kits => Plan.Dates.Select(d => d.Machine).Where(m => m.Kit.Missing.Any());

    public string Day(Instant at) => Clock.Day(at);

    public (int Early, int Likely, int Late)? Slip(ReadyDate date) => date.Slip(Clock, Today.Holidays);

    public async Task OnGet(string? until)
    {
        await Open();
        Today = await reader.Today(Cancel);
        Until = WorkingDays.Plus(Today.Today, 20, Today.Holidays);
        if (!string.IsNullOrWhiteSpace(until))
        {
            if (DateOnly.TryParseExact(until.Trim(), "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
            {
                Until = day;
            }
            else
            {
                BadUntil = until;
            }
        }

        Name("Ready dates", "Planner's sheet", $"{Plan.Dates.Count(d => Slip(d)?.Likely > 0)} of {Plan.Dates.Length} later than promised", "/ready-dates");
    }

    /// <summary>"3 days late", "on the day", "2 days early".</summary>
    public static string Words(int slip) => slip switch
    {
        0 => "on the day",
        > 0 => string.Create(CultureInfo.InvariantCulture, $"{slip} {(slip == 1 ? "day" : "days")} late"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{-slip} {(slip == -1 ? "day" : "days")} early"),
    };
}
