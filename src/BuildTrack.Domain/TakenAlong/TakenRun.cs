using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.TakenAlong;

/// <summary>An open run as a tablet takes it along to where there is no network: enough to understand what is typed, to ask about it, and to calculate with it. It names nobody.</summary>
/// <param name="Run">With the readings that the record held when it was taken along.</param>
/// <param name="Entries">In the order of walking; empty where the survey joins any two stations.</param>
/// <param name="Columns">What is filled at a place, with the unit of the instrument.</param>
/// <param name="Calculations">What rests on the survey, each with everything it is calculated from.</param>
public sealed record TakenRun(
    string Serial, string Survey, Run Run, ImmutableArray<TakenEntry> Entries, ImmutableArray<TakenColumn> Columns, ImmutableArray<EvaluationInput> Calculations)
{
    // What is calculated does not depend on who measured, and a tablet keeps no names.
    private const string Nobody = "-";

    /// <summary>Takes an open run along.</summary>
    public static TakenRun Of(MachineRecord machine, Survey survey, Measurement measurement, Run run)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(run);
        var columns = RunPlan.ColumnsOf(machine, survey, run);
        var entries = RunPlan.EntriesOf(machine, survey, measurement, run);
        return new TakenRun(
            machine.Serial, survey.Id, WithoutNames(run),
            [.. entries.Select(e => new TakenEntry(e.Place, [.. e.Columns.Select(c => c.Id)],
                [.. e.Columns.Where(c => c.Kind == ValueKind.Number).Select(c => Plausibility.BesideOf(machine, survey, measurement, run, c, e.Place))]))],
            [.. columns.Select(c => new TakenColumn(c.Id, c.Kind, run.UnitOf(c) ?? "1", c.Choices))],
            run.Kind == RunKind.SpotCheck ? [] : [.. machine.Agreed().Where(a => a.Characteristic.From.Values.Any(f => f.Survey == survey.Id)).Select(a => WithoutNames(EvaluationInputs.For(machine, a)))]);
    }

    internal static Run WithoutNames(Run run) => run with
    {
        Person = Nobody, Helpers = [], Readings = [.. run.Readings.Select(r => r with { Person = Nobody })], Discarded = run.Discarded is { } gone ? gone with { Person = Nobody, Reason = Nobody } : null,
    };

    private static EvaluationInput WithoutNames(EvaluationInput input) => input with
    {
        Sources = input.Sources.ToImmutableSortedDictionary(
            s => s.Key, s => s.Value.Readings is { } readings ? s.Value with { Readings = readings with { Runs = [.. readings.Runs.Select(WithoutNames)] } } : s.Value, input.Sources.KeyComparer),
    };
}

/// <summary>A place with what is filled there.</summary>
/// <param name="Columns">Ids of the columns that are filled there together.</param>
/// <param name="Beside">What a number typed there is looked at beside, one for each of its columns of numbers.</param>
public sealed record TakenEntry(string Place, ImmutableArray<string> Columns, ImmutableArray<LookedAtBeside> Beside);

/// <param name="Unit">What a value typed there is meant in.</param>
/// <param name="Choices">Its words, where it is answered by choice.</param>
public sealed record TakenColumn(string Id, ValueKind Kind, string Unit, ImmutableArray<string> Choices);

/// <summary>A value that stands on the tablet alone.</summary>
/// <param name="Typed">As it was typed.</param>
public sealed record KeptValue(string Place, string Column, string Typed);

/// <summary>What a value typed without network is met with: both null where it may be kept.</summary>
/// <param name="Fault">What was expected instead.</param>
/// <param name="Question">What the person is asked about it before it is kept.</param>
public sealed record Met(string? Fault, string? Question);

/// <summary>A result as the values on the tablet would make it. The record's own decides.</summary>
/// <param name="Word">"accepted", "not proven", "rejected", "incomplete" or "not measured".</param>
/// <param name="Reach">How far the truth may lie above what was found; null where there is no value.</param>
/// <param name="Result">All of it.</param>
public sealed record ProvisionalResult(string Line, string Title, string Word, string? Value, string? Reach, string? Limit, EvaluationResult Result);
