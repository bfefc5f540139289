using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Calendars;
using BuildTrack.Records.Kits;
using BuildTrack.Records.Machines;
using BuildTrack.Records.ReadyDates;
using BuildTrack.Records.Route;
using BuildTrack.Records.Tests.Support;
using BuildTrack.Records.Witnessing;

namespace BuildTrack.Records.Tests.Calendars;

/// <summary>Holidays, kits and promises by acts, in both databases, and the plan that follows from them; the plant stands on Monday, 2 March 2026, 08:00 UTC.</summary>
public sealed class CalendarActsTests
{
    private static Task<HolidayReceipt> Enter(TestPlant plant, string day, Caller? who = null) => plant.Get<CalendarActs>().Enter(who ?? TestPlant.Planner, new EnterHolidayRequest(day, "Closed"), null, default);

    private static Task<ActReceipt> Kit(TestPlant plant, KitAct act, string? due = null, string? note = null, string part = "chiller", string serial = "C-1") =>
        plant.Get<KitActs>().Record(TestPlant.Planner, new KitRequest(serial, part, act, due, note), null, default);

    private static Task<ActReceipt> Promise(TestPlant plant, string day, string reason = "contract", string serial = "C-1") =>
        plant.Get<PromiseActs>().Promise(TestPlant.Planner, new PromiseRequest(serial, day, reason), null, default);

    private static async Task<string> Refused(TestPlant plant, Func<Task> act) => (await plant.LeavesNothing<RefusedException>(act)).Rule.Id;

    private static async Task<InputFault> Bad(TestPlant plant, Func<Task> act) => Assert.Single((await plant.LeavesNothing<BadInputException>(act)).Faults);

    [Theory, OnBoth]
    public async Task A_holiday_counts_from_its_entry_until_it_is_taken_back_and_both_stay(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-1");

        // Three working days of notice: Thursday is the first day, until Wednesday is a holiday.
        Task<ActReceipt> Invite() => plant.Get<WitnessActs>().Invite(TestPlant.Planner, new InviteRequest("C-1", "W1", "Hollis", "Brackwater", "2026-03-05", null), null, default);
        var entered = await Enter(plant, "2026-03-04");
        Assert.Equal(WitnessRules.NoticeTooShort, await Refused(plant, Invite));
        Assert.Equal(HolidayRules.EnteredAlready, await Refused(plant, () => Enter(plant, "2026-03-04")));
        await plant.Get<CalendarActs>().TakeBack(TestPlant.Administrator, new TakeBackHolidayRequest(entered.Holiday, "worked after all"), null, default);
        Assert.Equal(HolidayRules.TakenBackAlready, await Refused(plant, () => plant.Get<CalendarActs>().TakeBack(TestPlant.Planner, new TakeBackHolidayRequest(entered.Holiday, "again"), null, default)));
        await Invite();
        Assert.Equal(3, (await plant.Machine("C-1")).Witness.Single().Notice);

        await Enter(plant, "2026-03-04");
        var kept = await plant.Get<CalendarReader>().Entered(default);
        Assert.Equal(["worked after all", null], kept.Select(h => h.TakenBack?.Reason));
        Assert.True((await plant.Get<CalendarReader>().Holidays(default)).Contains(new DateOnly(2026, 3, 4)));
        Assert.Equal(3, (await plant.Machine("C-1")).Witness.Single().Notice); // an invitation keeps the notice that was counted
    }

    [Theory, OnBoth]
    public async Task What_cannot_be_is_refused_and_leaves_nothing(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-1");
        Assert.Equal(("day", "'4 March'", "a day, as in 2026-12-24"), Of(await Bad(plant, () => Enter(plant, "4 March"))));
        Assert.Equal(("day", "'9999-12-31'", "a day, as in 2026-12-24"), Of(await Bad(plant, () => Enter(plant, "9999-12-31"))));
        Assert.Equal("name", (await Bad(plant, () => plant.Get<CalendarActs>().Enter(TestPlant.Planner, new EnterHolidayRequest("2026-03-04", " "), null, default))).Where);
        await plant.LeavesNothing<NotFoundException>(() => plant.Get<CalendarActs>().TakeBack(TestPlant.Planner, new TakeBackHolidayRequest(77, "why"), null, default));
        await plant.LeavesNothing<NotAllowedException>(() => Enter(plant, "2026-03-04", TestPlant.Technician));
        await plant.LeavesNothing<NotFoundException>(() => Kit(plant, KitAct.Ordered, part: "anvil"));
        await plant.LeavesNothing<NotFoundException>(() => Kit(plant, KitAct.Ordered, serial: "C-9"));
        await plant.LeavesNothing<NotFoundException>(() => Promise(plant, "2026-06-01", serial: "C-9"));
        Assert.Equal(KitRules.DueIsPast, await Refused(plant, () => Kit(plant, KitAct.Ordered, "2026-03-01")));
        Assert.Equal(KitRules.NothingToTakeBack, await Refused(plant, () => Kit(plant, KitAct.TakenBack, note: "slip")));
        Assert.Equal("reason", (await Bad(plant, () => Kit(plant, KitAct.TakenBack))).Where);
        Assert.Equal("day promised", (await Bad(plant, () => Kit(plant, KitAct.Received, "2026-03-05"))).Where);
        Assert.Equal(PromiseRules.DayIsPast, await Refused(plant, () => Promise(plant, "2026-03-01")));
        Assert.Equal("reason", (await Bad(plant, () => Promise(plant, "2026-06-01", ""))).Where);

        static (string, string, string) Of(InputFault f) => (f.Where, f.Found, f.Expected);
    }

    [Theory, OnBoth]
    public async Task Kit_and_promise_are_kept_line_by_line(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-1");
        await Kit(plant, KitAct.Ordered, "2026-04-01", "order 4711");
        await Kit(plant, KitAct.Received);
        Assert.Equal(KitRules.ReceivedAlready, await Refused(plant, () => Kit(plant, KitAct.Received)));
        await Kit(plant, KitAct.TakenBack, note: "wrong crate");
        await Promise(plant, "2026-06-01");
        await Promise(plant, "2026-06-08", "hall is late");
        var machine = await plant.Machine("C-1");
        Assert.Equal([KitAct.Ordered, KitAct.Received, KitAct.TakenBack], machine.Kit.Select(k => k.Act));
        Assert.Equal(("2026-04-01", "order 4711"), (KitStanding.Of(machine).Lines.Single().Entry!.Due, machine.Kit[0].Note));
        Assert.Equal(["contract", "hall is late"], machine.Promises.Select(p => p.Reason));
        Assert.Equal("2026-06-08", PlannedMachine.Of(machine).Promised);
    }

    /// <summary>The test route has no hours: a machine is ready now, until its chiller is missing or a holiday pushes a day of notice.</summary>
    [Theory, OnBoth]
    public async Task The_plan_follows_every_act(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.Order("C-1");
        async Task<ReadyDate> Date() => (await plant.Get<ReadyDateReader>().Today(default)).Plan.Of("C-1")!;
        var fresh = await Date();
        Assert.Equal((21, 32, 42), (Days(plant, fresh.Early), Days(plant, fresh.Likely), Days(plant, fresh.Late))); // its lead time, from now
        await Kit(plant, KitAct.Ordered, "2026-03-10");
        Assert.Equal(8.62, Days(plant, (await Date()).Likely), 2); // Monday 09:00 by the clock of Vienna to the end of Tuesday week: 8 days and 15 hours
        await Promise(plant, "2026-03-09");
        var today = await plant.Get<ReadyDateReader>().Today(default);
        Assert.Equal(("2026-03-09", 2), (today.Plan.Of("C-1")!.Machine.Promised, today.Plan.Of("C-1")!.Slip(today.Time, today.Holidays)!.Value.Likely)); // the end of the 10th is the 11th, 00:00
        await Kit(plant, KitAct.Received);
        Assert.Equal(0, Days(plant, (await Date()).Likely), 6);
        await plant.Get<RouteActs>().Do(TestPlant.Planner, new RouteRequest("C-1", null, RouteAct.PutOnHold, "unpaid"), null, default);
        Assert.NotNull((await Date()).Machine.OnHold);
        var notice = Assert.Single((await plant.Get<ReadyDateReader>().Today(default)).Plan.Notices(new DateOnly(2026, 3, 31)));
        Assert.Equal(("W1", new DateOnly(2026, 3, 2), new DateOnly(2026, 2, 25)), (notice.Hold, notice.Visit, notice.By));
        await Enter(plant, "2026-02-26");
        Assert.Equal(new DateOnly(2026, 2, 24), (await plant.Get<ReadyDateReader>().Today(default)).Plan.Notices(new DateOnly(2026, 3, 31)).Single().By);

        static double Days(TestPlant plant, Domain.Canonical.Instant at) => Math.Round((at.Microseconds - Domain.Canonical.Instant.Now(plant.Clock).Microseconds) / 8.64e10, 2);
    }
}
