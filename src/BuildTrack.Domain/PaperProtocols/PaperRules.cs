using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Domain.StepFiles;
using static System.FormattableString;

namespace BuildTrack.Domain.PaperProtocols;

/// <summary>When a run may be said to be from paper, who compares it with the scan, and what waits until somebody did.</summary>
/// <remarks>A value that went from paper to a keyboard is looked at by two persons (common practice, no source).</remarks>
public static class PaperRules
{
    public const string NotOnProtocol = "R-PAPER-01";
    public const string OtherCode = "R-PAPER-02";
    public const string NoScan = "R-PAPER-03";
    public const string OtherPerson = "R-PAPER-04";
    public const string RunSetAside = "R-PAPER-05";
    public const string NotFromPaper = "R-PAPER-06";
    public const string NotFinished = "R-PAPER-07";
    public const string OwnReadings = "R-PAPER-08";
    public const string NotConfirmed = "R-PAPER-09";

    /// <summary>Whether the protocol of work on site has a table for a survey.</summary>
    public static bool IsOnProtocol(MachineRecord machine, Survey survey) => SitePack.Of(machine).Surveys.Any(s => s.Survey.Id == survey.Id);

    /// <summary>What a signed paper may be scanned as: a photo or a PDF.</summary>
    public static bool IsScan(StepFile file)
    {
        ArgumentNullException.ThrowIfNull(file);
        return file.IsPhoto || file.MediaType == FileContent.Pdf;
    }

    /// <summary>The rule that forbids saying that a run is from paper; null when none does.</summary>
    /// <param name="scan">The file named as its scan.</param>
    /// <param name="code">As typed from the paper.</param>
    public static BrokenRule? WhyNotName(MachineRecord machine, Survey survey, Run run, StepFile scan, string code, string person)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(scan);
        var pack = SitePack.Of(machine);
        var now = SitePack.Code(machine, pack.Surveys);
        return run.Discarded is { } gone
                ? new BrokenRule(RunSetAside, $"Run {run.No} of {survey.Title} was set aside by {gone.Person}: {gone.Reason}.")
            : run.Person != person
                ? new BrokenRule(OtherPerson, $"Run {run.No} of {survey.Title} is {run.Person}'s; who entered its readings says which paper they are from.")
            : pack.Surveys.All(s => s.Survey.Id != survey.Id)
                ? new BrokenRule(NotOnProtocol, $"{survey.Title} of step {survey.Step} is not on the protocol of work on site of {machine.Serial}, which has {(pack.Surveys.IsEmpty ? "nothing" : string.Join(", ", pack.Surveys.Select(s => s.Survey.Title).Distinct()))}.")
            : code != now
                ? new BrokenRule(OtherCode, $"The paper bears {code}; under the plan and the requirements in force the protocol of {machine.Serial} bears {now}. Either the code was misread, or limits or places changed after it was printed: such a paper proves nothing for these. Print it anew and measure on it.")
            : scan.SetAside is { } aside
                ? new BrokenRule(NoScan, $"The scan '{scan.Name}' was set aside by {aside.Person}: {aside.Reason}.")
            : scan.Step != survey.Step || !IsScan(scan)
                ? new BrokenRule(NoScan, $"'{scan.Name}' is {(IsScan(scan) ? $"a file of step {scan.Step}" : "text")}; the scan of the signed protocol is a photo or PDF of step {survey.Step}.")
            : null;
    }

    /// <summary>The rule that forbids a person to compare a run with its scan; null when none does.</summary>
    public static BrokenRule? WhyNotCompare(MachineRecord machine, Survey survey, Run run, string person)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(run);
        return PaperStanding.Of(machine, run) is not { } standing
                ? new BrokenRule(NotFromPaper, $"Run {run.No} of {survey.Title} is not from paper: nobody named a signed protocol for it.")
            : run.Discarded is { } gone
                ? new BrokenRule(RunSetAside, $"Run {run.No} of {survey.Title} was set aside by {gone.Person}: {gone.Reason}.")
            : run.Finished is null
                ? new BrokenRule(NotFinished, Invariant($"Run {run.No} of {survey.Title} is open, with {run.Standing.Count()} readings; it is compared once it is finished."))
            : standing.Scan.SetAside is { } aside
                ? new BrokenRule(NoScan, $"The scan '{standing.Scan.Name}' was set aside by {aside.Person}: {aside.Reason}. {run.Person} names the right one.")
            : run.Hands.Append(standing.Paper.MeasuredBy).Contains(person)
                ? new BrokenRule(OwnReadings, $"{person} had a hand in run {run.No} of {survey.Title}: it was measured by {standing.Paper.MeasuredBy} and entered by {run.Person}. Somebody else compares it with the scan.")
            : null;
    }

    /// <summary>The rule that keeps a hold point waiting for a comparison; null where every run from paper that counts for it is confirmed.</summary>
    public static BrokenRule? WhyBlocked(MachineRecord machine, HoldPoint hold) => Against(machine, hold).Select(o => o.Rule).FirstOrDefault();

    /// <summary>Every run from paper that counts for the point and is not confirmed.</summary>
    internal static IEnumerable<Obstacle> Against(MachineRecord machine, HoldPoint hold) => machine.Papers.IsEmpty ? [] :
        from id in machine.SurveysOfHold(hold.Id)
        from measurement in machine.Currents(id)
        where measurement is not null
        from run in measurement.Runs
        where run.Counts && run.Kind != RunKind.SpotCheck
        let standing = PaperStanding.Of(machine, run)
        where standing is { Confirmed: false }
        let survey = machine.Revision.Survey(id)
        select new Obstacle(
            new BrokenRule(NotConfirmed, $"Run {run.No} of {survey.Title}, entered by {run.Person} from paper, is not confirmed. {standing.Sentence(p => p, at => at.InWords)}"), survey.Step, ObstacleAt.Run, Invariant($"{run.Id}"));
}
