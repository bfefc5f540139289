using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.PaperProtocols;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Qualifications;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.PaperProtocols;

/// <summary>Says that the readings of a run are from a signed protocol on paper.</summary>
/// <param name="File">Id of its scan among the files of the run's step.</param>
/// <param name="Code">The code that the paper bears.</param>
/// <param name="MeasuredBy">Sign-in name of who measured and signed.</param>
public sealed record NamePaperRequest(string Serial, long Run, long File, string? Code, string? MeasuredBy);

/// <summary>Says whether the readings of a run equal the scan.</summary>
/// <param name="Sheet">What was compared, as it was shown.</param>
/// <param name="Differs">Key of a place that the scan has otherwise; null where every reading equals it.</param>
/// <param name="Remark">What the scan says there; of a confirmation after a difference, why there is none after all.</param>
public sealed record ComparePaperRequest(string Serial, long Run, string? Sheet, string? Differs, string? Remark);

/// <summary>Runs from paper: named by who entered them, compared with the scan by a second person.</summary>
public sealed class PaperActs(ActRunner acts)
{
    /// <exception cref="NotFoundException">No such run on the machine.</exception>
    public Task<ActReceipt> Name(Caller who, NamePaperRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.NamePaper, request, key, async act =>
        {
            var at = await RunPlace.Find(act.Db, request.Serial, request.Run, ct);
            var scan = at.Machine.Files.SingleOrDefault(f => f.Id == request.File);
            MachineActs.Throw(await Faults(act, at, scan, request, ct));
            var (code, by) = (request.Code!.Trim().ToUpperInvariant(), request.MeasuredBy!.Trim());
            RunRules.Refuse(RunRules.Released(at.Machine, at.Survey));
            RunRules.Refuse(PaperRules.WhyNotName(at.Machine, at.Survey, at.Run, scan!, code, who.Person));
            RunRules.Refuse(QualificationRules.WhyNotMeasure(at.Machine, at.Survey, by, await QualificationReader.For(act, at.Survey.Qualified, ct)));
            var paper = new PaperProtocol(act.NewId(), at.Run.Id, scan!.Id, code, by, who.Person, act.Now, []);
            act.Db.PaperProtocols.Add(new PaperProtocolRow
            {
                Id = paper.Id, Serial = request.Serial, RunId = paper.Run, FileId = paper.File, Code = code, MeasuredBy = by, Person = paper.Person, AtUs = paper.At.Microseconds,
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, paper);
        }, ct);

    /// <exception cref="NotFoundException">No such run on the machine.</exception>
    /// <exception cref="ChangedMeanwhileException">A reading or the scan is not the one that was compared.</exception>
    public Task<ActReceipt> Compare(Caller who, ComparePaperRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.ComparePaper, request, key, async act =>
        {
            var at = await RunPlace.Find(act.Db, request.Serial, request.Run, ct);
            RunRules.Refuse(RunRules.Released(at.Machine, at.Survey));
            RunRules.Refuse(PaperRules.WhyNotCompare(at.Machine, at.Survey, at.Run, who.Person));
            var standing = PaperStanding.Of(at.Machine, at.Run)!;
            // A difference without its place must not end as a confirmation.
            var (differs, remark) = (request.Differs?.Trim(), MachineActs.Plain(request.Remark));
            MachineActs.Throw(Faults(at, standing, differs, remark));
            if (request.Sheet?.Trim() is var seen && seen != standing.Sheet)
            {
                throw new ChangedMeanwhileException($"Run {at.Run.No} of {at.Survey.Title}, or its scan,", string.IsNullOrEmpty(seen) ? "nothing" : seen, standing.Sheet);
            }

            var comparison = new PaperComparison(act.NewId(), standing.Sheet, differs, remark, who.Person, act.Now);
            act.Db.PaperComparisons.Add(new PaperComparisonRow
            {
                Id = comparison.Id, PaperId = standing.Paper.Id, Serial = request.Serial, Sheet = comparison.Sheet, Differs = differs, Remark = remark, Person = comparison.Person, AtUs = comparison.At.Microseconds,
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, new { request.Run, Paper = standing.Paper.Id, comparison });
        }, ct);

    internal static async Task<ImmutableArray<PaperProtocol>> Of(Db db, string serial, CancellationToken ct)
    {
        var papers = await db.PaperProtocols.AsNoTracking().Where(p => p.Serial == serial).OrderBy(p => p.Id).ToListAsync(ct);
        if (papers.Count == 0)
        {
            return [];
        }

        var comparisons = (await db.PaperComparisons.AsNoTracking().Where(c => c.Serial == serial).OrderBy(c => c.Id).ToListAsync(ct)).ToLookup(c => c.PaperId);
        return [.. papers.Select(p => new PaperProtocol(
            p.Id, p.RunId, p.FileId, p.Code, p.MeasuredBy, p.Person, new Instant(p.AtUs),
            [.. comparisons[p.Id].Select(c => new PaperComparison(c.Id, c.Sheet, c.Differs, c.Remark, c.Person, new Instant(c.AtUs)))]))];
    }

    private static async Task<List<InputFault>> Faults(ActContext act, RunPlace at, StepFile? scan, NamePaperRequest request, CancellationToken ct)
    {
        var faults = MachineActs.Texts(("code on the paper", request.Code), ("measured by", request.MeasuredBy));
        if (scan is null)
        {
            faults.Add(new InputFault("scan", FormattableString.Invariant($"file {request.File}"), $"the id of a file of step {at.Survey.Step} of {request.Serial}"));
        }

        var by = MachineActs.Plain(request.MeasuredBy);
        if (by is not null && !await act.Db.Persons.AnyAsync(p => p.Person == by, ct))
        {
            faults.Add(new InputFault("measured by", $"'{by}'", "the sign-in name of a person"));
        }

        return faults;
    }

    private static List<InputFault> Faults(RunPlace at, PaperStanding standing, string? differs, string? remark)
    {
        var faults = new List<InputFault>();
        if (differs is not null)
        {
            if (RunPlan.FaultOfPlace(at.Machine, at.Survey, at.Measurement, at.Run, "place that differs", differs) is { } fault)
            {
                faults.Add(fault);
            }

            faults.AddRange(MachineActs.Texts(("what the scan says there", remark)));
        }
        else if (standing.Compared is { Differs: { } was } && remark is null)
        {
            faults.Add(new InputFault("why it is equal after all", "nothing", $"a text: {was} was found to differ, and nothing was corrected since"));
        }
        else if (remark is not null)
        {
            faults.AddRange(MachineActs.Texts(("remark", remark)));
        }

        return faults;
    }
}
