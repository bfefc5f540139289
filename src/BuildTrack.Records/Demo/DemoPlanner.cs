using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Kits;
using BuildTrack.Records.ReadyDates;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records.Demo;

/// <summary>What the planner of the demo entered: holidays, promises, long-lead parts.</summary>
public sealed record DemoPlanned(string Person, ImmutableArray<DemoHoliday> Holidays, ImmutableArray<DemoPromise> Promises, ImmutableArray<DemoKitEntry> Kit);

/// <param name="Day">Working day from the day of loading.</param>
/// <param name="At">"-20 09:00": working day and plant time.</param>
/// <param name="Back">When it was taken back; null while it counts.</param>
public sealed record DemoHoliday(int Day, string Name, string At, string? Back = null, string? Reason = null);

/// <param name="Day">Working day from the day of loading.</param>
public sealed record DemoPromise(string Serial, int Day, string At, string Reason);

/// <param name="Due">Working day of the supplier's promise; null for none.</param>
public sealed record DemoKitEntry(string Serial, string Part, KitAct Act, string At, int? Due = null, string? Note = null);

/// <summary>Lets the demo's planner enter holidays, promises and parts, each at its own moment.</summary>
internal static class DemoPlanner
{
    public static IEnumerable<(DateTimeOffset At, Func<Task> Do)> Acts(
        IServiceProvider provider, IReadOnlyDictionary<string, Caller> people, DemoPlanned planned, DateOnly loaded, Func<int, string, DateTimeOffset> moment, CancellationToken ct)
    {
        var who = people[planned.Person];
        var calendar = provider.GetRequiredService<CalendarActs>();
        foreach (var holiday in planned.Holidays)
        {
            yield return (At(holiday.At), () => calendar.Enter(who, new EnterHolidayRequest(Day(holiday.Day), holiday.Name), null, ct));
            if (holiday.Back is { } back)
            {
                yield return (At(back), async () => await calendar.TakeBack(who, new TakeBackHolidayRequest(
                    (await provider.GetRequiredService<CalendarReader>().Entered(ct)).Last(h => h.Day == Day(holiday.Day)).Id, holiday.Reason ?? ""), null, ct));
            }
        }

        foreach (var promise in planned.Promises)
        {
            yield return (At(promise.At), () => provider.GetRequiredService<PromiseActs>().Promise(who, new PromiseRequest(promise.Serial, Day(promise.Day), promise.Reason), null, ct));
        }

        foreach (var entry in planned.Kit)
        {
            yield return (At(entry.At), () => provider.GetRequiredService<KitActs>().Record(
                who, new KitRequest(entry.Serial, entry.Part, entry.Act, entry.Due is { } due ? Day(due) : null, entry.Note), null, ct));
        }

        DateTimeOffset At(string text) => DemoStep.Parts(text) is var (day, at) ? moment(day, at) : default;

        string Day(int day) => WorkingDays.Plus(loaded, day, Holidays.None).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
    }
}
