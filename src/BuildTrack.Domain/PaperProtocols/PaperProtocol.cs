using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.StepFiles;
using static System.FormattableString;

namespace BuildTrack.Domain.PaperProtocols;

/// <summary>A second person's look at a run beside the scan of its paper.</summary>
/// <param name="Sheet">What was compared: see <see cref="PaperStanding.Sheet"/>.</param>
/// <param name="Differs">Key of the place that the scan has otherwise; null where every reading equals it.</param>
/// <param name="Remark">What the scan says there; of a confirmation after a difference, why there is none after all.</param>
public sealed record PaperComparison(long Id, string Sheet, string? Differs, string? Remark, string Person, Instant At);

/// <summary>The readings of a run are from a signed protocol on paper. Lines are added, never changed; of several for one run the last one counts.</summary>
/// <param name="Run">Id of the run.</param>
/// <param name="File">Id of the scan among the files of the run's step.</param>
/// <param name="Code">The code that the paper bears.</param>
/// <param name="MeasuredBy">Who measured and signed.</param>
/// <param name="Person">Who entered the readings, and says where they are from.</param>
public sealed record PaperProtocol(long Id, long Run, long File, string Code, string MeasuredBy, string Person, Instant At, ImmutableArray<PaperComparison> Comparisons);

/// <summary>How a run from paper stands: confirmed by a second person, different at a place, or not compared yet.</summary>
/// <param name="Scan">The scan, set aside or not.</param>
public sealed record PaperStanding(PaperProtocol Paper, Run Run, StepFile Scan)
{
    /// <summary>How the run stands; null where it is not from paper.</summary>
    public static PaperStanding? Of(MachineRecord machine, Run run)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(run);
        return machine.Papers.LastOrDefault(p => p.Run == run.Id) is { } paper ? new PaperStanding(paper, run, machine.Files.Single(f => f.Id == paper.File)) : null;
    }

    /// <summary>A short text that changes with the scan and with every reading that stands: a comparison speaks for what was compared and for nothing later.</summary>
    public string Sheet => CanonicalJson.Hash(CanonicalJson.Of(new { Paper.Id, Scan.Hash, Readings = Run.Standing.Select(r => r.Hash) }))[..16];

    /// <summary>The last comparison of what stands now; null while there is none.</summary>
    public PaperComparison? Compared => Paper.Comparisons.LastOrDefault(c => c.Sheet == Sheet);

    /// <summary>A second person found every reading equal to the scan, and the scan stands.</summary>
    public bool Confirmed => Scan.SetAside is null && Compared is { Differs: null };

    /// <summary>Why it proves nothing yet, or who confirmed it: "Tea Tech found its 9 readings equal to 'p.pdf', code 0A1B2C3D4E5F, at …".</summary>
    /// <param name="name">The name of a person, as it is shown.</param>
    /// <param name="when">A moment, as it is shown.</param>
    public string Sentence(Func<string, string> name, Func<Instant, string> when)
    {
        ArgumentNullException.ThrowIfNull(name);
        ArgumentNullException.ThrowIfNull(when);
        var count = Run.Standing.Count();
        var readings = Invariant($"{count} {(count == 1 ? "reading" : "readings")}");
        return Scan.SetAside is { } aside ? $"The scan '{Scan.Name}' was set aside: {aside.Reason}. Attach the right one and name it."
            : Compared switch
            {
                null => $"A second person, who neither measured nor entered, compares its {readings} with '{Scan.Name}', code {Paper.Code}.",
                { Differs: { } place } other => $"{name(other.Person)} found {place} otherwise on '{Scan.Name}' at {when(other.At)}: {other.Remark}. It is corrected, or the run is set aside.",
                { } equal => $"{name(equal.Person)} found its {readings} equal to '{Scan.Name}', code {Paper.Code}, at {when(equal.At)}{(equal.Remark is { } why ? $": {why}" : "")}.",
            };
    }
}
