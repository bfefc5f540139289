using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.People;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Kits;
using BuildTrack.Records.Machines;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>What the planner works with: calendar, ready dates, loads, notices, kits.</summary>
internal static class ReadyDatesApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/calendar", Calendar).WithSummary("Every holiday that was entered, with who took it back and why, and the shifts and places of every work centre.");
        api.MapPost("/calendar/holidays", Enter).RequireAuthorization(ActKind.EnterHoliday).WithSummary("Enters a day on which the plant does not work; days of notice and working time are counted with it from then on.");
        api.MapPost("/calendar/holidays/{holiday:long}/take-back", TakeBack).RequireAuthorization(ActKind.TakeBackHoliday).WithSummary("Takes a holiday back, with the reason; it stays, with both dates.");
        api.MapGet("/ready-dates", Dates).WithSummary("Of every machine in the plant: the day promised, the ready date as a band (early, likely, late), its slip in working days, and the step that decides it.");
        api.MapGet("/machines/{serial}/ready-date", Date).WithSummary("The ready date of a machine with every step as it is placed, and the steps that decide it.");
        api.MapPost("/machines/{serial}/promises", Promise).RequireAuthorization(ActKind.PromiseMachine).WithSummary("Promises a machine for a day; an earlier promise stays in its record.");
        api.MapGet("/machines/{serial}/kit", Kit).WithSummary("The long-lead parts of a machine: ordered, promised for, received; and what is missing.");
        api.MapPost("/machines/{serial}/kit/{part}", Record).RequireAuthorization(ActKind.RecordKitPart).WithSummary("Records of a long-lead part: ordered (with the supplier's day), received; or takenBack, with the reason.");
        api.MapGet("/work-centres/load", Load).WithSummary("Hours of work and of waiting that are placed at every work centre in this week and the ones after it, beside the hours of its calendar.");
        api.MapGet("/witness-notices", Notices).WithSummary("Invitations that must go out up to a day (yyyy-MM-dd; without one, within twenty working days), the most urgent first.");
    }

    public sealed record HolidayBody(string? Day, string? Name);

    public sealed record ReasonBody(string? Reason);

    public sealed record PromiseBody(string? Day, string? Reason);

    /// <param name="Due">yyyy-MM-dd of the supplier's promise; for an order.</param>
    public sealed record KitBody(KitAct Act, string? Due, string? Note);

    public sealed record CentreAnswer(string Id, string Name, ImmutableArray<string> Shifts, int? Capacity, string? Origin);

    public sealed record CalendarAnswer(ImmutableArray<PlantHoliday> Holidays, ImmutableArray<CentreAnswer> WorkCentres);

    /// <param name="Slip">Working days after the day promised, at the early, likely and late end; negative is before it.</param>
    public sealed record DateAnswer(
        string Serial, string Class, string Customer, string? Promised, string Early, string Likely, string Late, SlipAnswer? Slip, int DecidedAt, string DecidedBy, string? OnHoldBecause, string Kit);

    public sealed record SlipAnswer(int Early, int Likely, int Late);

    /// <param name="Start">When its work begins or goes on; null where no work is left.</param>
    /// <param name="Done">When what comes after it may begin.</param>
    /// <param name="Decides">It is one of the steps that decide the ready date.</param>
    public sealed record PlacedAnswer(int Step, string Name, string WorkCentre, string? Start, string WorkDone, string Done, double HoursLeft, CauseKind WaitsFor, int? Before, string? Behind, string? Part, bool Decides);

    public sealed record MachineDateAnswer(DateAnswer Date, ImmutableArray<PlacedAnswer> Steps, ImmutableArray<MachinePromise> Promises);

    public sealed record KitLineAnswer(string Part, string Name, int Count, int Step, bool Here, string Stands, string? Due, string? Note);

    public sealed record KitAnswer(string Stands, int Percent, int? CompleteBefore, ImmutableArray<KitLineAnswer> Parts, ImmutableArray<KitEntry> Lines);

    private static async Task<CalendarAnswer> Calendar(CalendarReader reader, CancellationToken ct) => new(
        await reader.Entered(ct), [.. (await reader.WorkCentres(ct)).Select(c => new CentreAnswer(c.Id, c.Name, [.. (c.Shifts ?? []).Select(s => s.ToString())], c.Capacity, c.Origin))]);

    private static async Task<IResult> Enter(HolidayBody body, CalendarActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created("/api/v1/calendar", await acts.Enter(context.Caller(), new EnterHolidayRequest(body.Day ?? "", body.Name ?? ""), context.Key(), ct));

    private static async Task<HolidayReceipt> TakeBack(long holiday, ReasonBody body, CalendarActs acts, HttpContext context, CancellationToken ct) =>
        await acts.TakeBack(context.Caller(), new TakeBackHolidayRequest(holiday, body.Reason ?? ""), context.Key(), ct);

    private static async Task<ImmutableArray<DateAnswer>> Dates(ReadyDateReader reader, CancellationToken ct)
    {
        var today = await reader.Today(ct);
        return [.. today.Plan.Dates.Select(d => Of(today, d))];
    }

    private static async Task<MachineDateAnswer> Date(string serial, ReadyDateReader reader, MachineReader machines, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var today = await reader.Today(ct);
        var date = today.Plan.Of(serial) ?? throw new NotFoundException($"{serial} has left the plant, or its route is complete: it has no ready date.");
        var chain = date.Chain.Select(s => s.Number).ToHashSet();
        return new MachineDateAnswer(Of(today, date), [.. date.Steps.Where(s => !date.Machine.Of(s.Number).Complete).Select(s => new PlacedAnswer(
            s.Number, s.Name, s.Centre, s.Start is { } start ? Text(start) : null, Text(s.WorkDone), Text(s.Done), Math.Round(s.Minutes / 60.0, 2), s.Cause.Kind, s.Cause.Step, s.Cause.Other, s.Cause.Part,
            chain.Contains(s.Number)))], machine.Promises);
    }

    private static async Task<IResult> Promise(string serial, PromiseBody body, PromiseActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/machines/{Uri.EscapeDataString(serial)}/ready-date", await acts.Promise(context.Caller(), new PromiseRequest(serial, body.Day ?? "", body.Reason ?? ""), context.Key(), ct));

    private static async Task<KitAnswer> Kit(string serial, MachineReader machines, Records.Plant.PlantReader plant, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var (kit, time) = (KitStanding.Of(machine), await plant.Time(ct));
        return new KitAnswer(
            kit.Sentence, kit.Percent, kit.CompleteBefore, [.. kit.Lines.Select(l => new KitLineAnswer(l.Part.Id, l.Part.Name, l.Count, l.Part.Step, l.Here, l.Sentence(time), l.Entry?.Due, l.Entry?.Note))], machine.Kit);
    }

    private static async Task<IResult> Record(string serial, string part, KitBody body, KitActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/machines/{Uri.EscapeDataString(serial)}/kit", await acts.Record(context.Caller(), new KitRequest(serial, part, body.Act, body.Due, body.Note), context.Key(), ct));

    private static async Task<ImmutableArray<CentreLoad>> Load(ReadyDateReader reader, int? weeks, CancellationToken ct) =>
        weeks is < 1 or > 52 ? throw new BadInputException("weeks", FormattableString.Invariant($"{weeks}"), "1 to 52") : (await reader.Today(ct)).Plan.Loads(weeks ?? 4);

    private static async Task<ImmutableArray<NoticeDue>> Notices(ReadyDateReader reader, string? until, CancellationToken ct)
    {
        var today = await reader.Today(ct);
        return today.Plan.Notices(until is null ? WorkingDays.Plus(today.Today, 20, today.Holidays)
            : DateOnly.TryParseExact(until, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day) ? day : throw new BadInputException("until", $"'{until}'", "a day, as in 2026-12-24"));
    }

    private static DateAnswer Of(PlantPlanToday today, ReadyDate date) => new(
        date.Machine.Serial, date.Machine.Class, date.Machine.Customer, date.Machine.Promised, date.Early.ToString(), date.Likely.ToString(), date.Late.ToString(),
        date.Slip(today.Time, today.Holidays) is var (early, likely, late) ? new SlipAnswer(early, likely, late) : null, date.Decides.Number, date.Because(today.Plan.NameOf), date.Machine.OnHold?.Reason,
        date.Machine.Kit.Sentence);

    private static string Text(long minute) => PlacedStep.Moment(minute).ToString();
}
