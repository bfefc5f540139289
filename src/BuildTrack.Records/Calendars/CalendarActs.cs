using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Calendars;

/// <summary>Enters a day on which the plant does not work.</summary>
/// <param name="Day">yyyy-MM-dd, a day of the plant's calendar.</param>
public sealed record EnterHolidayRequest(string Day, string Name);

/// <summary>Takes a holiday back that was entered by mistake or is worked after all.</summary>
public sealed record TakeBackHolidayRequest(long Holiday, string Reason);

/// <param name="Holiday">Id of the holiday.</param>
public sealed record HolidayReceipt(long Sequence, string Subject, long Holiday);

/// <summary>Holidays and the shifts of the work centres.</summary>
public sealed class CalendarReader(Store store)
{
    /// <summary>Every holiday that was entered, by day, those that were taken back among them.</summary>
    public async Task<ImmutableArray<PlantHoliday>> Entered(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Entered(db, ct);
    }

    /// <summary>The holidays that count.</summary>
    public async Task<Holidays> Holidays(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await Holidays(db, ct);
    }

    /// <summary>Work centres of the edition in force, with shifts and capacity; empty before one is approved.</summary>
    public async Task<ImmutableArray<WorkCentre>> WorkCentres(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        return await ChecklistReader.Current(db, ct) is { } row ? ChecklistReader.Parse(row).WorkCentres : [];
    }

    internal static async Task<Holidays> Holidays(Db db, CancellationToken ct) => Domain.Calendars.Holidays.Of(await Entered(db, ct));

    internal static async Task<ImmutableArray<PlantHoliday>> Entered(Db db, CancellationToken ct)
    {
        var ends = (await db.HolidayEnds.AsNoTracking().ToListAsync(ct)).ToDictionary(e => e.HolidayId, e => new HolidayTakenBack(e.Person, new Instant(e.AtUs), e.Reason));
        return [.. (await db.Holidays.AsNoTracking().OrderBy(h => h.Day).ThenBy(h => h.Id).ToListAsync(ct))
            .Select(h => new PlantHoliday(h.Id, h.Day, h.Name, h.Person, new Instant(h.AtUs), ends.GetValueOrDefault(h.Id)))];
    }
}

/// <summary>Holidays of the plant, entered and taken back. Nothing is changed or deleted; from the act on, days of notice and working time are counted with it.</summary>
public sealed class CalendarActs(ActRunner acts)
{
    private const string Subject = "calendar";

    public Task<HolidayReceipt> Enter(Caller who, EnterHolidayRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.EnterHoliday, request, key, async act =>
        {
            var faults = MachineActs.Texts(("name", request.Name));
            faults.AddRange(Day("day", request.Day));
            MachineActs.Throw(faults);
            RunRules.Refuse(HolidayRules.WhyNotEnter(await CalendarReader.Entered(act.Db, ct), request.Day));
            var row = new HolidayRow { Id = act.NewId(), Day = request.Day, Name = request.Name.Trim(), Person = who.Person, AtUs = act.Now.Microseconds };
            act.Db.Holidays.Add(row);
            return new ActResult<HolidayReceipt>(new HolidayReceipt(act.Sequence, Subject, row.Id), Subject, new { request, Holiday = row.Id });
        }, ct);

    /// <exception cref="NotFoundException">No such holiday.</exception>
    public Task<HolidayReceipt> TakeBack(Caller who, TakeBackHolidayRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.TakeBackHoliday, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var holiday = (await CalendarReader.Entered(act.Db, ct)).FirstOrDefault(h => h.Id == request.Holiday) ?? throw new NotFoundException($"There is no holiday {request.Holiday} in the calendar.");
            RunRules.Refuse(HolidayRules.WhyNotTakeBack(holiday));
            act.Db.HolidayEnds.Add(new HolidayEndRow { Id = act.NewId(), HolidayId = holiday.Id, Reason = request.Reason.Trim(), Person = who.Person, AtUs = act.Now.Microseconds });
            return new ActResult<HolidayReceipt>(new HolidayReceipt(act.Sequence, Subject, holiday.Id), Subject, new { request, holiday.Day, holiday.Name });
        }, ct);

    /// <summary>What is wrong with a day: one of 2000 to 2199, so that working days are counted in bounded time.</summary>
    internal static IEnumerable<InputFault> Day(string where, string? day)
    {
        if (!DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var date) || date.Year is < 2000 or > 2199)
        {
            yield return new InputFault(where, string.IsNullOrEmpty(day) ? "nothing" : $"'{day}'", "a day, as in 2026-12-24");
        }
    }
}
