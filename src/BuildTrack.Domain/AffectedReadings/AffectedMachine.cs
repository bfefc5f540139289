using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Route;

namespace BuildTrack.Domain.AffectedReadings;

/// <summary>What rests on an unfit instrument on one machine: runs, readings, results and certificates.</summary>
/// <param name="Runs">The affected runs, set aside ones and replaced measurements included.</param>
/// <param name="Results">The results that stand on an affected run now, calculated once more with the error found.</param>
/// <param name="Certificates">Issued certificates that name such a result.</param>
/// <param name="Shipped">The machine has left the plant.</param>
public sealed record AffectedMachine(
    MachineRecord Machine, UnfitFinding Finding, AffectedDecision? Decision, ImmutableArray<(Measurement Measurement, Run Run)> Runs,
    ImmutableArray<RecalculatedResult> Results, ImmutableArray<CertificateState> Certificates, bool Shipped)
{
    public int Readings => Runs.Sum(r => r.Run.Standing.Count());

    /// <summary>The first result that does not stay accepted with the error found; null where the error is negligible.</summary>
    public RecalculatedResult? Fails => Results.FirstOrDefault(r => r.Verdict == Metrology.Verdicts.Verdict.Accepted && r.VerdictWithError != Metrology.Verdicts.Verdict.Accepted);

    /// <summary>What a finding touches on a machine; null where no run rests on the instrument.</summary>
    public static AffectedMachine? Of(MachineRecord machine, UnfitFinding finding)
    {
        ImmutableArray<(Measurement Measurement, Run Run)> runs = [.. machine.Measurements.SelectMany(m => m.Runs.Where(finding.Affects).Select(r => (m, r)))];
        if (runs.IsEmpty)
        {
            return null;
        }

        var decision = machine.Findings.FirstOrDefault(f => f.Finding.Id == finding.Id)?.Decision;
        return new AffectedMachine(
            machine, finding, decision, runs, WithError(machine, finding), [.. machine.Certificates.Where(c => Names(machine, c, runs))], HasLeft(machine));
    }

    /// <summary>Work has begun on a step from which on the machine is away.</summary>
    public static bool HasLeft(MachineRecord machine) =>
        machine.Route.Steps.Any(s => s.Step.Leaves && s.State is not (StepState.NotStarted or StepState.Ready or StepState.NotApplicable));

    /// <summary>The results that stand on an affected run, with the error found added to what all readings of the instrument share.</summary>
    /// <remarks>GUM F.2.4.5: where a known effect is not corrected, its size is added to the expanded uncertainty. The error of a single reading may
    /// have had either sign and any size up to that found, so the value stays and the band grows on both sides.</remarks>
    private static ImmutableArray<RecalculatedResult> WithError(MachineRecord machine, UnfitFinding finding)
    {
        var doubted = machine with { Measurements = [.. machine.Measurements.Select(m => m with { Runs = [.. m.Runs.Select(r => WithError(r, finding))] })] };
        var touched = new HashSet<string>();
        var results = ImmutableArray.CreateBuilder<RecalculatedResult>();
        foreach (var agreed in EvaluationInputs.InOrder(machine.Agreed().Where(a => Evaluators.Find(a.Characteristic.Evaluator) is not null)))
        {
            var line = agreed.Characteristic.Line;
            if (machine.EvaluationOf(line) is not { } stored || !RestsOn(stored.Record.Input, finding, touched))
            {
                continue;
            }

            touched.Add(line);
            var now = Evaluators.Evaluate(EvaluationInputs.For(doubted, agreed));
            doubted = doubted with { Evaluations = [.. doubted.Evaluations.Where(e => e.Line != line), stored with { Record = now, Hash = now.Hash }] };
            results.Add(RecalculatedResult.Of(stored, now));
        }

        return [.. results.OrderBy(r => machine.Revision.FindCharacteristic(r.Line)!.Place)];
    }

    private static bool RestsOn(EvaluationInput input, UnfitFinding finding, HashSet<string> touched) => input.Sources.Values.Any(s =>
        s.Readings?.Runs.Any(r => r.Counts && r.Kind != RunKind.SpotCheck && finding.Affects(r)) == true || (s.Result is { } result && touched.Contains(result.Line)));

    private static Run WithError(Run run, UnfitFinding finding) => !finding.Affects(run) ? run : run with
    {
        Instruments = [.. run.Instruments.Select(i => i.Id != finding.Instrument ? i : i with { Figures = [.. i.Figures.Select(f => f with { ErrorFound = finding.Found.Calculated })] })],
    };

    // A certificate covers a scope of hold points; it rests on a run that was taken before it for a survey of one of them.
    private static bool Names(MachineRecord machine, CertificateState certificate, ImmutableArray<(Measurement Measurement, Run Run)> runs) =>
        machine.Revision.Scopes.SingleOrDefault(s => s.Id == certificate.Scope) is { } scope
        && scope.Holds.SelectMany(h => machine.SurveysOfHold(h)).ToHashSet() is var surveys
        && runs.Any(r => r.Run.Id < certificate.Id && r.Run.Counts && surveys.Contains(r.Measurement.Survey));
}
