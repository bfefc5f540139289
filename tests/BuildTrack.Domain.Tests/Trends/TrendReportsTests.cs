using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Domain.Trends;

namespace BuildTrack.Domain.Tests.Trends;

/// <summary>Trends of small plants, counted by hand and by a slow twin.</summary>
public sealed class TrendReportsTests
{
    private static readonly PlantTime Time = new("Etc/UTC");

    private static Instant Day(int day, int hour = 12) => Instant.From(new DateTimeOffset(2026, 1, 1, hour, 0, 0, TimeSpan.Zero).AddDays(day - 1));

    private static StepWork Step(int number, string[] lines, decimal? planned = null, double? actual = null, Instant? done = null, params Instant[] reworks) =>
        new(number, $"Step {number}", [.. lines], planned, actual, done, [.. reworks]) { Begun = done is not null };

    private static TrendReport Of(IReadOnlyCollection<MachineWork> machines, IEnumerable<FirstResult> first, params Nonconformance[] ncrs) => TrendReports.Of(machines, first, ncrs, Time, Day(100));

    [Fact]
    public void Only_machines_with_every_result_of_a_step_count_and_one_failure_is_enough()
    {
        string[] lines = ["100-01", "100-02"];
        ImmutableArray<MachineWork> machines = [.. "ABCD".Select(m => new MachineWork($"{m}", [Step(100, lines), Step(160, ["160-01"])]))];
        FirstResult R(string serial, string line, bool accepted, int day) => new(serial, line, accepted, Day(day));
        var report = Of(machines, [R("A", "100-01", true, 3), R("A", "100-02", true, 4), R("B", "100-01", true, 5), R("B", "100-02", false, 40), R("C", "100-01", false, 6)]);
        var pass = report.Steps[0].FirstPass!;
        Assert.Equal((1, 2, 0.5), (pass.Count, pass.Of, pass.Share));
        Assert.Null(report.Steps[1].FirstPass);

        // A's step counts in January, B's in February when its last first result came.
        Assert.Equal([("2026-01", 1, 1), ("2026-02", 0, 1)], report.Months.Select(m => (m.Month, m.FirstPass!.Count, m.FirstPass.Of)));
        Assert.Equal(4, report.Machines);
    }

    [Fact]
    public void What_rests_on_nothing_is_null_and_never_a_false_zero()
    {
        var report = Of([new MachineWork("A", [Step(100, ["100-01"], 4), Step(110, [], null, 3, Day(2))])], []);
        Assert.All(report.Steps, s => Assert.Null(s.FirstPass));
        Assert.All(report.Steps, s => Assert.Null(s.Hours));
        Assert.All(report.Steps, s => Assert.Null(s.Nonconformances));
        Assert.Null(report.Steps[0].Rework);
        Assert.Equal((1, 0), (report.Steps[1].Rework!.Machines, report.Steps[1].Rework!.Rounds));
        Assert.Null(report.Months.Single().FirstPass);
        var nothing = Of([], []);
        Assert.Empty(nothing.Steps);
        Assert.Empty(nothing.Months);
        Assert.Empty(nothing.Open);
    }

    [Fact]
    public void Hours_and_rework_are_summed_over_the_machines_they_rest_on()
    {
        var report = Of([new MachineWork("A", [Step(100, [], 4, 5, Day(2), Day(3), Day(33))]), new MachineWork("B", [Step(100, [], 4, 3.5, Day(34))]), new MachineWork("C", [Step(100, [], 4)])], []);
        var step = report.Steps.Single();
        Assert.Equal((2, 8, 8.5, 8.5 / 8), (step.Hours!.Machines, step.Hours.Planned, step.Hours.Actual, step.Hours.Ratio));
        Assert.Equal((2, 2, 1.0), (step.Rework!.Machines, step.Rework.Rounds, step.Rework.PerMachine));
        Assert.Equal([("2026-01", 5.0, 1), ("2026-02", 3.5, 1)], report.Months.Select(m => (m.Month, m.Hours!.Actual, m.Reworks)));
    }

    [Fact]
    public void Nonconformances_stand_at_their_step_with_age_cause_and_disposition()
    {
        var machine = Ncr.Raised(Ncr.Machine(300));
        machine = Ncr.Enter(machine, NonconformanceAct.Contain, "tom", "T");
        machine = Ncr.Enter(machine, NonconformanceAct.Propose, "ina", "I", Disposition.Rework);
        machine = Ncr.Enter(machine, NonconformanceAct.Approve, "ivo", "I");
        machine = Ncr.Enter(machine, NonconformanceAct.Action, "tom", "T");
        machine = Ncr.Enter(machine, NonconformanceAct.Verify, "ina", "I");
        var two = 2 * 86_400_000_000L;
        var closed = Ncr.Enter(machine, NonconformanceAct.Close, "ina", "I").Nonconformances.Single();
        closed = closed with { Entries = [.. closed.Entries[..^1], closed.Entries[^1] with { At = new Instant(closed.At.Microseconds + two) }] };
        var seen = Ncr.Seen(Ncr.Machine(10), step: null, number: 40).Nonconformances.Single();
        var old = Ncr.Seen(Ncr.Machine(10), step: 100, number: 41).Nonconformances.Single() with { At = new Instant(closed.At.Microseconds - two) };
        var now = new Instant(closed.At.Microseconds + (3 * two));
        var report = TrendReports.Of([new MachineWork("X-1", [Step(100, [])])], [], [closed, seen, old], Time, now);
        var at = report.Steps.Single().Nonconformances!;
        Assert.Equal((1, 1, 8.0, 2.0, 2), (at.Open, at.Closed, at.OldestOpenDays!.Value, at.DaysToClose!.Value, at.All));
        Assert.Equal(1, report.WithoutStep);
        Assert.Equal([41, 40], report.Open.Select(o => o.Of.Number));
        Assert.Equal([8.0, 6.0], report.Open.Select(o => o.Days));
        Assert.Equal(
            [((int?)100, (CauseCategory?)null, (Disposition?)null, 1, 0, (double?)8), (100, CauseCategory.Method, Disposition.Rework, 0, 1, null), (null, null, null, 1, 0, 6)],
            report.Causes.Select(c => (c.Step, c.Cause, c.Disposition, c.Open, c.Closed, c.OldestOpenDays)));
        Assert.Equal((3, 1), (report.Months.Sum(m => m.Raised), report.Months.Sum(m => m.Closed)));
    }

    [Fact]
    public void A_machine_tells_its_lines_plan_recorded_work_and_rounds()
    {
        var machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        machine = machine with { Revision = machine.Revision with { Steps = [machine.Revision.Steps[0] with { Hours = machine.Revision.Steps[0].Hours.Add("B", 4) }] } };
        RouteEntry Entry(long id, RouteAct act, int hours) => new(id, 100, act, "tom", new Instant(Make.Noon.Microseconds + (hours * 3_600_000_000L)), "why");
        StepWork Of(params RouteEntry[] card) => TrendReports.Of(machine with { RouteCard = [.. card], Decisions = [new HoldDecision(500, "H1", HoldDecisionKind.Released, "ina", Make.Noon, null, "s", [], 500)] }).Steps.Single();
        var done = Of(Entry(10, RouteAct.Start, 0), Entry(11, RouteAct.Finish, 2), Entry(12, RouteAct.Reopen, 3), Entry(13, RouteAct.Start, 4), Entry(14, RouteAct.Finish, 5));
        Assert.Equal(("100-01", 4m, 3.0, 1, true), (Assert.Single(done.Lines), done.PlannedHours!.Value, done.ActualHours!.Value, done.Reworks.Length, done.Begun));
        Assert.NotNull(done.Done);

        // Somebody is at it, nothing was recorded, or it was left out: no hours.
        Assert.Null(Of(Entry(10, RouteAct.Start, 0)).ActualHours);
        Assert.Null(Of().ActualHours);
        Assert.Equal((null, false), (Of(Entry(10, RouteAct.NotApplicable, 0)).Done, Of(Entry(10, RouteAct.NotApplicable, 0)).Begun));
    }

    /// <summary>Seeded plants against counting with loops.</summary>
    [Fact]
    public void As_a_slow_twin_counts()
    {
        var random = new Random(29);
        for (var trial = 0; trial < 200; trial++)
        {
            string[] lines = [.. Enumerable.Range(1, random.Next(1, 4)).Select(i => $"100-0{i}")];
            ImmutableArray<MachineWork> machines = [.. Enumerable.Range(0, random.Next(0, 6)).Select(i => new MachineWork($"M{i}", [Step(100, lines)]))];
            var first = machines.SelectMany(m => lines.Select(l => new FirstResult(m.Serial, l, random.Next(4) > 0, Day(random.Next(1, 90))))).Where(_ => random.Next(5) > 0).ToList();
            var (all, good) = (0, 0);
            foreach (var machine in machines)
            {
                var own = first.Where(f => f.Serial == machine.Serial).ToList();
                if (own.Count == lines.Length)
                {
                    all++;
                    good += own.TrueForAll(f => f.Accepted) ? 1 : 0;
                }
            }

            var found = Of(machines, first);
            Assert.Equal(all == 0 ? "none" : $"{good} of {all}", found.Steps.SingleOrDefault()?.FirstPass is { } p ? $"{p.Count} of {p.Of}" : "none");
            Assert.Equal((good, all), (found.Months.Sum(m => m.FirstPass?.Count ?? 0), found.Months.Sum(m => m.FirstPass?.Of ?? 0)));
        }
    }
}
