using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.StepFiles;

/// <summary>What a file shows beyond its step: a run of a survey, there perhaps one place; or a nonconformance.</summary>
/// <param name="Run">Id of the run; null for a nonconformance.</param>
/// <param name="Place">Key of a place of that run, "R1-04"; null for the run as a whole.</param>
/// <param name="Nonconformance">Its number in the plant's sequence; null for a run.</param>
public sealed record FileOf(long? Run, string? Place, int? Nonconformance)
{
    /// <summary>As it was sent; null where neither a run, nor a place, nor a nonconformance is named.</summary>
    public static FileOf? Sent(long? run, string? place, int? nonconformance)
    {
        var named = string.IsNullOrWhiteSpace(place) ? null : place.Trim();
        return run is null && named is null && nonconformance is null ? null : new FileOf(run, named, nonconformance);
    }

    /// <summary>"run 2 of Bed geometry, R1-04", "NCR-0041".</summary>
    public string InWords(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return Nonconformance is { } number ? Nonconformances.Nonconformance.NameOf(number)
            : Find(machine) is { } found ? $"run {found.Run.No} of {machine.Revision.FindSurvey(found.Measurement.Survey)?.Title ?? found.Measurement.Survey}{(found.Measurement.Feature is { } feature ? $", {feature}" : "")}{(Place is null ? "" : $", {Place}")}"
            : FormattableString.Invariant($"run {Run}");
    }

    /// <summary>What is wrong with it for a file of a step of this machine; empty where it is sound.</summary>
    public ImmutableArray<InputFault> Faults(MachineRecord machine, int step)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return Run is not null && Nonconformance is not null
            ? [new InputFault("run and nonconformance", FormattableString.Invariant($"run {Run} and {Nonconformances.Nonconformance.NameOf(Nonconformance.Value)}"), "one of them, or neither")]
            : Nonconformance is { } number ? FaultOfNonconformance(machine, step, number)
            : Run is { } run ? FaultOfRun(machine, step, run)
            : [WithoutRun];
    }

    private ImmutableArray<InputFault> FaultOfNonconformance(MachineRecord machine, int step, int number) =>
        Place is not null ? [WithoutRun]
        : machine.Nonconformances.SingleOrDefault(n => n.Number == number) is not { } of
            ? [new InputFault("nonconformance", Nonconformances.Nonconformance.NameOf(number), machine.Nonconformances.IsEmpty ? $"none: {machine.Serial} has no nonconformance" : $"one of {machine.Serial}: {string.Join(", ", machine.Nonconformances.Select(n => n.Name))}")]
        // Files of one that belongs to no step may be kept at any.
        : of.Step is { } at && at != step
            ? [new InputFault("nonconformance", $"{of.Name} of step {at}", $"a nonconformance of step {step}, or step {at}")]
        : [];

    private ImmutableArray<InputFault> FaultOfRun(MachineRecord machine, int step, long run)
    {
        if (Find(machine) is not { } found)
        {
            return [new InputFault("run", FormattableString.Invariant($"run {run}"), $"the id of a run of {machine.Serial}")];
        }

        var survey = machine.Revision.Survey(found.Measurement.Survey);
        if (survey.Step != step)
        {
            return [new InputFault("run", FormattableString.Invariant($"run {run}, {InWords(machine)}, of step {survey.Step}"), $"a run of step {step}, or step {survey.Step}")];
        }

        return Place is not null && RunPlan.FaultOfPlace(machine, survey, found.Measurement, found.Run, "place", Place) is { } fault ? [fault] : [];
    }

    private InputFault WithoutRun => new("place", $"'{Place}'", "the run that it is a place of, or no place");

    private (Measurement Measurement, Run Run)? Find(MachineRecord machine) =>
        machine.Measurements.SingleOrDefault(m => m.Runs.Any(r => r.Id == Run)) is { } measurement ? (measurement, measurement.Runs.Single(r => r.Id == Run)) : null;
}
