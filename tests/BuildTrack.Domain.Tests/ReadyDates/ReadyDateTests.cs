using System.Collections.Immutable;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.ReadyDates;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.Tests.ReadyDates;

/// <summary>Ready dates: a textbook network, the worked example of docs/method/ready-date.md, a twin that goes along every path, one that looks at every minute, and invariants.</summary>
public sealed class ReadyDateTests
{
    /// <summary>
    /// A network of seven activities with least, likely and most days, as textbooks of project planning show it (from memory): A 2-4-6, B 3-5-9, C after A 4-5-7, D after A 4-6-10, E after B and C 4-5-7,
    /// F after D 3-4-8, G after E 3-5-8. A, C, E, G is critical: 19 days likely; 13 when all goes fast, 28 when all goes slowly.
    /// </summary>
    [Fact]
    public void The_textbook_network_has_its_critical_path_and_its_band()
    {
        var plan = Plant.Plan([], Plant.Machine(
            "X", null, Plant.Ranged(1, 2, 4, 6), Plant.Ranged(2, 3, 5, 9), Plant.Ranged(3, 4, 5, 7, 1), Plant.Ranged(4, 4, 6, 10, 1), Plant.Ranged(5, 4, 5, 7, 2, 3), Plant.Ranged(6, 3, 4, 8, 4), Plant.Ranged(7, 3, 5, 8, 5)));
        var date = plan.Dates.Single();
        Assert.Equal((13, 19, 28), (Plant.Hours(date.Early), Plant.Hours(date.Likely), Plant.Hours(date.Late)));
        Assert.Equal([1, 3, 5, 7], date.Chain.Select(s => s.Number));
        Assert.Equal(1, date.Decides.Number);
    }

    /// <summary>The worked example of the method: see there for every line of it.</summary>
    [Fact]
    public void The_worked_example_of_the_method()
    {
        var (mill, bay) = (Plant.Centre("mill", 1, "mon-fri 06:00-14:00"), Plant.Centre("bay", 1, "mon-fri 06:00-14:00"));
        PlannedStep[] Steps(decimal low, decimal likely, decimal high) =>
        [
            Plant.Ranged(90, low, likely, high) with { Centre = "mill", Wait = new StepWait(8, 18, 30, "cooling") },
            Plant.Ranged(160, 4, 6, 10, 90) with { Centre = "bay" },
        ];
        var holidays = Holidays.On(new DateOnly(2026, 3, 5));
        var plan = new PlantPlan(
            [Plant.Machine("M-2", "2026-03-12", Steps(6, 6, 9)), Plant.Machine("M-1", "2026-03-06", Steps(6, 8, 10))], [mill, bay], "UTC", holidays, Plant.Monday);
        var (first, second) = (plan.Of("M-1")!, plan.Of("M-2")!);
        Assert.Equal((34.0, 38.0, 176.0), Hours(first)); // Tuesday 10:00, Tuesday 14:00, Monday the 9th 08:00
        Assert.Equal((58.0, 60.0, 202.0), Hours(second)); // Wednesday 10:00, Wednesday 12:00, Tuesday the 10th 10:00
        var time = new PlantTime("UTC");
        Assert.Equal((-2, -2, 1), first.Slip(time, holidays)); // Thursday the 5th is a holiday
        Assert.Equal((-5, -5, -2), second.Slip(time, holidays));
        static (double, double, double) Hours(ReadyDate d) => (Plant.Hours(d.Early), Plant.Hours(d.Likely), Plant.Hours(d.Late));
        Assert.Equal("90 Step 90: queue at mill behind M-1, step 90", second.Because(plan.NameOf));
        Assert.Equal("90 Step 90: 8 h of work left", first.Because(plan.NameOf));
    }

    /// <summary>Without calendars and queues the end is the longest of all paths, each gone along on its own.</summary>
    [Fact]
    public void As_a_twin_says_that_goes_along_every_path()
    {
        var random = new Random(20261128);
        for (var i = 0; i < 300; i++)
        {
            var steps = Enumerable.Range(1, random.Next(1, 10)).Select(n => Plant.Step(n, random.Next(1, 40) / 4m, [.. Enumerable.Range(1, n - 1).Where(_ => random.Next(3) == 0)])
                with { Wait = random.Next(4) == 0 ? new StepWait(1, random.Next(1, 30), 40, "wait") : null }).ToArray();
            double Longest(PlannedStep s) => (double)s.Likely + (double)(s.Wait?.Likely ?? 0) + s.After.Select(a => Longest(steps.Single(x => x.Number == a))).DefaultIfEmpty(0).Max();
            var date = Plant.Plan([], Plant.Machine("X", null, steps)).Dates.Single();
            Assert.Equal(steps.Max(Longest), Plant.Hours(date.Likely), 6);

            // The chain is such a path: its times add up to the end without a gap.
            Assert.Equal(Plant.Hours(date.Likely), date.Chain.Sum(s => (s.Minutes / 60.0) + (double)(steps[s.Number - 1].Wait?.Likely ?? 0)), 6);
        }
    }

    /// <summary>The twin knows nothing of axes and gaps: it tries every minute, and looks at the clock for each.</summary>
    [Fact]
    public void As_a_twin_says_that_tries_every_minute()
    {
        var random = new Random(11);
        for (var i = 0; i < 40; i++)
        {
            WorkCentre[] centres = [Plant.Centre("a", random.Next(1, 3), "mon-fri 06:00-07:30"), Plant.Centre("b", 1, "mon-wed 05:00-06:20", "fri 00:00-03:00")];
            var machines = Enumerable.Range(1, 4).Select(m => Plant.Machine(
                $"M-{m}", random.Next(3) == 0 ? null : $"2026-03-{random.Next(10, 20)}",
                Enumerable.Range(1, 4).Select(n => Plant.Step(n, random.Next(1, 100) / 60m, [.. Enumerable.Range(1, n - 1).Where(_ => random.Next(2) == 0)])
                    with { Centre = centres[random.Next(2)].Id, Wait = random.Next(3) == 0 ? new StepWait(0, 2, 3, "w") : null }))).ToArray();
            var plan = Plant.Plan(centres, machines);
            var used = centres.ToDictionary(c => c.Id, _ => new int[40 * 1440]);
            foreach (var m in machines.OrderBy(m => m.Promised ?? "9").ThenBy(m => m.Serial))
            {
                var done = new Dictionary<int, int>();
                foreach (var s in m.Steps)
                {
                    var ready = s.After.Select(a => done[a]).DefaultIfEmpty(0).Max();
                    var centre = centres.Single(c => c.Id == s.Centre);
                    var minutes = (int)Math.Ceiling(Math.Round(s.Likely * 60, 6));
                    var worked = Enumerable.Range(0, 40 * 1440).Where(t => t >= ready && Works(centre, t)).ToArray();
                    var first = Enumerable.Range(0, worked.Length).First(k => worked.Skip(k).Take(minutes).All(t => used[s.Centre][t] < centre.Capacity));
                    foreach (var t in worked.Skip(first).Take(minutes))
                    {
                        used[s.Centre][t]++;
                    }

                    var end = worked[first + minutes - 1] + 1;
                    done[s.Number] = end + (int)((s.Wait?.Likely ?? 0) * 60);
                    var placed = plan.Placed(m.Serial, s.Number);
                    Assert.Equal((i, m.Serial, s.Number, worked[first], end), (i, m.Serial, s.Number, Minute(placed.Start!.Value), Minute(placed.WorkDone)));
                }

                Assert.Equal(done.Values.Max(), Minute(ForwardPass.Minute(plan.Of(m.Serial)!.Likely)));
            }
        }

        static int Minute(long minute) => (int)(minute - ForwardPass.Minute(Plant.Monday));

        // Time begins on a Monday, by the clock of UTC.
        static bool Works(WorkCentre centre, int t) => centre.Shifts!.Value.Any(s => t / 1440 % 7 >= s.First && t / 1440 % 7 <= s.Last && t % 1440 >= s.From && t % 1440 < s.To);
    }

    /// <summary>Over seeded plants: no work centre has more machines than places, no step begins before those it comes after, the band is in order, and who is promised later changes nothing for who is promised earlier.</summary>
    [Fact]
    public void Invariants_over_seeded_plants()
    {
        var random = new Random(5);
        for (var i = 0; i < 60; i++)
        {
            WorkCentre[] centres = [Plant.Centre("a", random.Next(1, 4), "mon-fri 06:00-14:00"), Plant.Centre("b", random.Next(1, 3), "mon-fri 06:00-14:00", "mon-fri 14:00-22:00")];
            var machines = Enumerable.Range(1, 12).Select(m => Plant.Machine(
                $"M-{m:00}", random.Next(5) == 0 ? null : FormattableString.Invariant($"2026-{random.Next(3, 6):00}-{random.Next(10, 29)}"),
                Enumerable.Range(1, 8).Select(n => Spread(Plant.Step(n, random.Next(0, 30), [.. Enumerable.Range(1, n - 1).Where(_ => random.Next(2) == 0)]), random) with { Centre = centres[random.Next(2)].Id }))).ToArray();
            var plan = Plant.Plan(centres, machines);
            foreach (var centre in centres)
            {
                var jobs = machines.SelectMany(m => m.Steps).Zip(machines.SelectMany(m => m.Steps.Select(s => plan.Placed(m.Serial, s.Number)))).Where(p => p.First.Centre == centre.Id && p.Second.Minutes > 0).Select(p => p.Second).ToArray();
                Assert.All(jobs, j => Assert.True(jobs.Count(o => o.Start <= j.Start && o.WorkDone > j.Start) <= centre.Capacity));
            }

            foreach (var m in machines)
            {
                Assert.All(m.Steps, s => Assert.All(s.After, a => Assert.True((plan.Placed(m.Serial, s.Number).Start ?? long.MaxValue) >= plan.Placed(m.Serial, a).Done)));
                var date = plan.Of(m.Serial)!;
                Assert.True(date.Early <= date.Likely && date.Likely <= date.Late);
            }

            var order = plan.Dates.Select(d => d.Machine).ToArray();
            var without = Plant.Plan(centres, order.SkipLast(1));
            Assert.All(order.SkipLast(1), m => Assert.Equal((plan.Of(m.Serial)!.Early, plan.Of(m.Serial)!.Likely, plan.Of(m.Serial)!.Late), (without.Of(m.Serial)!.Early, without.Of(m.Serial)!.Likely, without.Of(m.Serial)!.Late)));

            // The loads are the work that was placed: over enough weeks all of it.
            var loads = plan.Loads(200);
            Assert.Equal(machines.SelectMany(m => m.Steps).Sum(s => (double)s.Likely), loads.Sum(l => l.Weeks.Sum(w => w.Work)), 3);
            Assert.All(loads.SelectMany(l => l.Weeks), w => Assert.True(w.Hours is not { } hours || w.Work <= hours + 1e-9));
        }
    }

    private static PlannedStep Spread(PlannedStep step, Random random) => step with { Low = Math.Max(0, step.Likely - random.Next(5)), High = step.Likely + random.Next(8) };

    private static PlannedMachine With(PlannedStep step) => Plant.Machine("X", null, step, Plant.Step(20, 1, 10));

    /// <summary>What remains of a step of ten hours, by how it stands; at least a tenth of one under way.</summary>
    [Theory]
    [InlineData(StepState.Ready, 0, 10)]
    [InlineData(StepState.InProgress, 4, 6)]
    [InlineData(StepState.Paused, 9.5, 1)]
    [InlineData(StepState.Rework, 30, 1)]
    [InlineData(StepState.Rejected, 8, 10)]
    [InlineData(StepState.Recorded, 3, 0)]
    [InlineData(StepState.Released, 3, 0)]
    [InlineData(StepState.NotApplicable, 0, 0)]
    public void What_remains_of_a_step(StepState state, double worked, double left)
    {
        var step = Plant.Step(10, 10) with { State = state, Worked = new WorkRecorded(worked, null) };
        Assert.Equal((long)(left * 60), step.Remaining(Pace.Likely, Plant.Monday));
        Assert.Equal(left + 1, Plant.Hours(Plant.Plan([], With(step)).Dates.Single().Likely), 6);
    }

    /// <summary>A bed that cools since two hours is cool after the eight of its wait, however it is recorded.</summary>
    [Theory]
    [InlineData(StepState.Released, 7)]
    [InlineData(StepState.Recorded, 7)]
    [InlineData(StepState.NotApplicable, 1)]
    public void A_wait_goes_on_from_the_end_of_the_work(StepState state, double ready)
    {
        var step = Plant.Step(10, 10) with { State = state, Since = Plant.At(-2), Wait = new StepWait(8, 8, 8, "cooling") };
        Assert.Equal(ready, Plant.Hours(Plant.Plan([], With(step)).Dates.Single().Likely), 6);
    }

    /// <summary>A part: promised for a day is here at its end, overdue at once; ordered without a day, its lead time after the order; not ordered, after its purchase may begin.</summary>
    [Theory]
    [InlineData(true, "2026-03-04", 72)]
    [InlineData(true, "2026-02-20", 0)]
    [InlineData(true, null, 216)] // ten days from the order, a day ago
    [InlineData(false, null, 240)]
    public void A_long_lead_part_decides(bool ordered, string? due, double hours)
    {
        var part = new AwaitedPart("Laser source", ordered ? Plant.At(-24) : null, due, 5, 10, 20);
        var plan = Plant.Plan([], With(Plant.Step(10, 0) with { Awaits = [part] }));
        var date = plan.Dates.Single();
        Assert.Equal(hours + 1, Plant.Hours(date.Likely), 6);
        Assert.Equal(hours > 0 ? "10 Step 10: waits for Laser source" : "20 Step 20: 1 h of work left", date.Because(plan.NameOf));
        Assert.True(due is not null || date.Early < date.Likely);
    }

    [Fact]
    public void What_is_worked_on_keeps_its_place_though_another_machine_is_promised_earlier()
    {
        var bay = Plant.Centre("bay", 1, "mon-sun 00:00-24:00");
        var plan = Plant.Plan(
            [bay], Plant.Machine("A", "2026-03-03", Plant.Step(10, 5) with { Centre = "bay" }),
            Plant.Machine("B", "2026-04-01", Plant.Step(10, 4) with { Centre = "bay", State = StepState.InProgress, Open = true, Worked = new WorkRecorded(1, null) }));
        Assert.Equal(3, Plant.Hours(plan.Of("B")!.Likely), 6);
        Assert.Equal(8, Plant.Hours(plan.Of("A")!.Likely), 6);
        Assert.Equal((CauseKind.Queue, "B"), (plan.Of("A")!.Decides.Cause.Kind, plan.Of("A")!.Decides.Cause.Other));
    }

    [Fact]
    public void Conditions_and_leaving_and_a_hold()
    {
        var step = Plant.Step(10, 2) with { NotBefore = Plant.At(5) };
        var plan = Plant.Plan([], Plant.Machine("X", null, step, Plant.Step(20, 3, 10), Plant.Step(30, 100, 20)) with { Leaves = 30 });
        Assert.Equal(10, Plant.Hours(plan.Dates.Single().Likely), 6);
        Assert.Equal("10 Step 10: waits for conditions", plan.Dates.Single().Because(plan.NameOf));
        Assert.Empty(Plant.Plan([], Plant.Machine("X", null, step) with { Left = true }).Dates);
        Assert.Empty(Plant.Plan([], Plant.Machine("X", null, step with { State = StepState.Released })).Dates);
        var held = Plant.Machine("X", null, step) with { OnHold = new RouteEntry(1, null, RouteAct.PutOnHold, "tilda", Plant.Monday, "unpaid") };
        Assert.Equal(7, Plant.Hours(Plant.Plan([], held).Dates.Single().Likely), 6);
    }

    /// <summary>The point's step begins on Friday, 6 March; three working days of notice end on Tuesday, two when Thursday is a holiday.</summary>
    [Fact]
    public void A_notice_goes_out_its_working_days_before_the_visit()
    {
        var machine = Plant.Machine("X", null, Plant.Ranged(10, 90, 96, 200), Plant.Step(20, 8, 10)) with { Uninvited = [new UninvitedPoint("H11", "Acceptance", 20, 3)] };
        var notice = Plant.Plan([], machine).Notices(new DateOnly(2026, 3, 3)).Single();
        Assert.Equal((new DateOnly(2026, 3, 5), new DateOnly(2026, 3, 6), new DateOnly(2026, 3, 10)), (notice.Earliest, notice.Visit, notice.Latest));
        Assert.Equal((new DateOnly(2026, 3, 3), 1), (notice.By, notice.Days));
        Assert.Empty(Plant.Plan([], machine).Notices(new DateOnly(2026, 3, 2)));
        var closed = new PlantPlan([machine], [Plant.Free], "UTC", Holidays.On(new DateOnly(2026, 3, 5)), Plant.Monday);
        Assert.Equal(new DateOnly(2026, 3, 2), closed.Notices(new DateOnly(2026, 3, 30)).Single().By);
    }

    [Fact]
    public void A_promise_lies_ahead()
    {
        Assert.Equal(PromiseRules.DayIsPast, PromiseRules.WhyNot("2026-03-01", "2026-03-02")!.Id);
        Assert.Null(PromiseRules.WhyNot("2026-03-02", "2026-03-02"));
    }
}
