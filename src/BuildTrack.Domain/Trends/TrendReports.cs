using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Route;
using BuildTrack.Metrology.Statistics;

namespace BuildTrack.Domain.Trends;

/// <summary>Works the trends out; it stores nothing.</summary>
/// <remarks>Method: docs/method/trends.md.</remarks>
public static class TrendReports
{
    /// <summary>What is kept of one machine.</summary>
    public static MachineWork Of(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var lines = machine.Agreed().Select(a => a.Characteristic).ToLookup(c => c.Place.Step, c => c.Line);
        return new MachineWork(machine.Serial, [.. machine.Route.Steps.Select(s =>
        {
            var number = s.Step.Number;
            var worked = RouteStanding.Worked(machine, number);
            ImmutableArray<Instant> reopened = [.. machine.RouteCard.Where(e => e.Step == number && e.Act == RouteAct.Reopen).Select(e => e.At)];

            // A step that was left out has no hours and is no machine of its figures.
            var done = s.State == StepState.Released;
            return new StepWork(number, s.Step.Name, [.. lines[number]], s.PlannedHours, done && worked is { Open: null, Closed: > 0 } ? worked.Closed : null, done ? s.Since : null, reopened)
            {
                Begun = s.UnderWay || done,
            };
        })]);
    }

    /// <summary>The trends over machines.</summary>
    /// <param name="first">First results with a verdict.</param>
    public static TrendReport Of(IReadOnlyCollection<MachineWork> machines, IEnumerable<FirstResult> first, IReadOnlyCollection<Nonconformance> nonconformances, PlantTime time, Instant now)
    {
        ArgumentNullException.ThrowIfNull(machines);
        ArgumentNullException.ThrowIfNull(time);
        var results = first.ToDictionary(f => (f.Serial, f.Line));
        var works = machines.SelectMany(m => m.Steps.Select(s => (m.Serial, Work: s))).ToList();
        var passes = works.Select(w => (w.Work.Step, Pass: PassOf(w.Serial, w.Work, results))).Where(p => p.Pass is not null).Select(p => (p.Step, p.Pass!.Value.Passed, p.Pass.Value.At)).ToList();
        var ncrs = nonconformances.ToLookup(StepOf);
        var steps = works.GroupBy(w => w.Work.Step).OrderBy(g => g.Key).Select(g => new StepTrend(
            g.Key, g.Last().Work.Name, Share(passes.Where(p => p.Step == g.Key).Select(p => p.Passed)), HoursOf(g.Select(w => w.Work)), ReworkOf(g.Select(w => w.Work)), OfStep([.. ncrs[g.Key]], now))).ToList();

        string Month(Instant at) => time.Day(at)[..7];
        var closed = nonconformances.Where(Closed).ToList();
        var reworks = works.SelectMany(w => w.Work.Reworks).ToList();
        var months = passes.Select(p => Month(p.At)).Concat(works.Where(w => w.Work.Done is not null).Select(w => Month(w.Work.Done!.Value))).Concat(reworks.Select(Month))
            .Concat(nonconformances.Select(n => Month(n.At))).Concat(closed.Select(n => Month(n.Standing.Since))).Distinct().Order(StringComparer.Ordinal);
        return new TrendReport(
            machines.Count, [.. steps],
            [.. months.Select(m => new MonthTrend(
                m, Share(passes.Where(p => Month(p.At) == m).Select(p => p.Passed)), HoursOf(works.Select(w => w.Work).Where(w => w.Done is { } done && Month(done) == m)),
                reworks.Count(r => Month(r) == m), nonconformances.Count(n => Month(n.At) == m), closed.Count(n => Month(n.Standing.Since) == m)))],
            [.. nonconformances.GroupBy(n => (Step: StepOf(n), Cause: CauseOf(n), n.Standing.Disposition)).OrderBy(g => g.Key.Step ?? int.MaxValue).ThenBy(g => g.Key.Cause).ThenBy(g => g.Key.Disposition)
                .Select(g => new CauseTrend(g.Key.Step, g.Key.Cause, g.Key.Disposition, g.Count(n => !Closed(n)), g.Count(Closed), OldestOpen(g, now)))],
            [.. nonconformances.Where(n => !Closed(n)).OrderBy(n => n.At).Select(n => new OpenNonconformance(n, StepOf(n), Days(n.At, now)))],
            nonconformances.Count(n => StepOf(n) is not { } step || steps.All(s => s.Step != step)));
    }

    // A machine counts at a step once it has every result of it: with some still to come nobody knows.
    private static (bool Passed, Instant At)? PassOf(string serial, StepWork work, Dictionary<(string, string), FirstResult> results)
    {
        var found = work.Lines.Select(l => results.GetValueOrDefault((serial, l))).OfType<FirstResult>().ToList();
        return work.Lines.IsEmpty || found.Count < work.Lines.Length ? null : (found.All(f => f.Accepted), found.Max(f => f.At));
    }

    private static ProportionResult? Share(IEnumerable<bool> passed)
    {
        var all = passed.ToList();
        return Proportion.Find(all.Count(p => p), all.Count);
    }

    private static HoursTrend? HoursOf(IEnumerable<StepWork> works)
    {
        var known = works.Where(w => w is { ActualHours: not null, PlannedHours: > 0 }).ToList();
        return known.Count == 0 ? null : new HoursTrend(known.Count, known.Sum(w => (double)w.PlannedHours!.Value), known.Sum(w => w.ActualHours!.Value));
    }

    private static ReworkTrend? ReworkOf(IEnumerable<StepWork> works)
    {
        var begun = works.Where(w => w.Begun || !w.Reworks.IsEmpty).ToList();
        return begun.Count == 0 ? null : new ReworkTrend(begun.Count, begun.Sum(w => w.Reworks.Length));
    }

    private static NonconformanceTrend? OfStep(ImmutableArray<Nonconformance> of, Instant now)
    {
        var (open, closed) = (of.Where(n => !Closed(n)).ToList(), of.Where(Closed).ToList());
        return of.IsEmpty ? null : new NonconformanceTrend(
            open.Count, closed.Count, OldestOpen(open, now), closed.Count == 0 ? null : closed.Average(n => Days(n.At, n.Standing.Since)));
    }

    private static double? OldestOpen(IEnumerable<Nonconformance> of, Instant now) => of.Where(n => !Closed(n)).Select(n => (double?)Days(n.At, now)).Max();

    private static bool Closed(Nonconformance n) => n.Standing.State == NonconformanceState.Closed;

    // A failed result belongs to the step of its line.
    private static int? StepOf(Nonconformance n) => n.Step ?? (n.Line is { } line && int.TryParse(line.Split('-')[0], out var step) ? step : null);

    private static CauseCategory? CauseOf(Nonconformance n) => n.Standing.Proposal?.Detail.Cause ?? n.Entries.LastOrDefault(e => e.Detail.Cause is not null)?.Detail.Cause;

    private static double Days(Instant from, Instant to) => Math.Max(0, to.Microseconds - from.Microseconds) / 8.64e10;
}
