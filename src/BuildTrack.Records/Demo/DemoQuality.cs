using BuildTrack.Records.Acts;
using BuildTrack.Records.AffectedReadings;
using BuildTrack.Records.Nonconformances;

namespace BuildTrack.Records.Demo;

/// <summary>What was found wrong in the demo's plant, and what came of it, each act at its own moment.</summary>
internal static class DemoQuality
{
    /// <summary>The acts on one nonconformance: it is raised, and its number then stands in the entries.</summary>
    public static IEnumerable<(DateTimeOffset At, Func<Task> Do)> Nonconformance(
        NonconformanceActs acts, Dictionary<string, Caller> people, string serial, DemoNonconformance raised, Func<int, string, DateTimeOffset> moment, CancellationToken ct)
    {
        var number = 0;
        DateTimeOffset At(string text) => DemoStep.Parts(text) is var (day, at) ? moment(day, at) : default;
        yield return (At(raised.At), async () => number = (await acts.Raise(
            people[raised.Person], new RaiseRequest(serial, raised.Step, raised.Line, null, raised.Seen, raised.Severity, raised.Note), null, ct)).Number);
        foreach (var e in raised.Entries)
        {
            yield return (At(e.At), () => acts.Do(people[e.Person], new NonconformanceRequest(number, e.Act, e.Text, e.Containment, e.Cause, e.Disposition, e.Consent), null, ct));
        }
    }

    /// <summary>The finding, and then what was decided about each machine.</summary>
    public static IEnumerable<(DateTimeOffset At, Func<Task> Do)> Finding(
        AffectedActs acts, Dictionary<string, Caller> people, DemoFinding found, Func<int, string, DateTimeOffset> moment, CancellationToken ct)
    {
        var finding = 0L;
        DateTimeOffset At(string text) => DemoStep.Parts(text) is var (day, at) ? moment(day, at) : default;
        yield return (At(found.At), async () => finding = (await acts.RecordUnfit(people[found.Person], new RecordUnfitRequest(found.Instrument, found.Found, found.Allowed, null, found.Reference), null, ct)).Finding);
        foreach (var d in found.Decisions)
        {
            yield return (At(d.At), () => acts.Decide(people[d.Person], new DecideAffectedRequest(finding, d.Serial, d.Kind, d.Note), null, ct));
        }
    }
}
