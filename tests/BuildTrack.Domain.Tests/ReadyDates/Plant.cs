using System.Collections.Immutable;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.Tests.ReadyDates;

/// <summary>Small plants in memory. The plant's clock is UTC unless it is told otherwise; time begins on Monday, 2 March 2026, at midnight.</summary>
internal static class Plant
{
    public static readonly Instant Monday = Instant.From(new DateTimeOffset(2026, 3, 2, 0, 0, 0, TimeSpan.Zero));

    /// <summary>Around the clock, any number of machines.</summary>
    public static readonly WorkCentre Free = new("free", "Anywhere");

    public static WorkCentre Centre(string id, int capacity, params string[] shifts) => new(id, id, [.. shifts.Select(s => Shift.Read(s)!)], capacity, "test");

    public static PlannedStep Step(int number, decimal hours, params int[] after) => Ranged(number, hours, hours, hours, after);

    public static PlannedStep Ranged(int number, decimal low, decimal likely, decimal high, params int[] after) =>
        new(number, $"Step {number}", "free", [.. after], StepState.NotStarted, null, false, low, likely, high, default, null, [], null);

    public static PlannedMachine Machine(string serial, string? promised, params IEnumerable<PlannedStep> steps) =>
        new(serial, "B", "Somebody", promised, null, null, false, [Free], [.. steps], new KitStanding([], null), []);

    public static PlantPlan Plan(IEnumerable<WorkCentre> centres, params IEnumerable<PlannedMachine> machines) => new([.. machines], [Free, .. centres], "UTC", Holidays.None, Monday);

    /// <summary>Hours from the beginning.</summary>
    public static double Hours(Instant at) => (at.Microseconds - Monday.Microseconds) / 3.6e9;

    public static Instant At(double hours) => new(Monday.Microseconds + (long)(hours * 3.6e9));
}
