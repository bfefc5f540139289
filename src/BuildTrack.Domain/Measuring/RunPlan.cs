using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SpotChecks;

namespace BuildTrack.Domain.Measuring;

/// <summary>A place of a run with the columns that are filled there together.</summary>
public sealed record RunEntry(string Place, ImmutableArray<Column> Columns)
{
    /// <summary>Every column has its value.</summary>
    public bool FilledIn(Run run)
    {
        ArgumentNullException.ThrowIfNull(run);
        var have = run.Standing.Where(r => r.Place.Key == Place).Select(r => r.Column).ToHashSet();
        return Columns.All(c => have.Contains(c.Id));
    }
}

/// <summary>What a run has to fill, and in which order a person walks it.</summary>
public static class RunPlan
{
    /// <summary>The places a run must fill: of a repeat or a spot check the chosen ones. Empty where the survey joins any two stations.</summary>
    public static ImmutableArray<string> PlacesOf(MachineRecord machine, Survey survey, Measurement measurement, Run run)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(run);
        return run.Kind is RunKind.ContactsAgain or RunKind.SpotCheck ? [.. run.Weights.Select(w => w.Place)] : machine.Revision.PlacesOf(survey, machine.Model, measurement.Feature);
    }

    /// <summary>The places of a run: those it must fill; where the survey joins any two stations, those that were read.</summary>
    public static ImmutableArray<string> PlacesIn(MachineRecord machine, Survey survey, Measurement measurement, Run run) =>
        PlacesOf(machine, survey, measurement, run) is { IsEmpty: false } places ? places : [.. run.Standing.Select(r => r.Place.Key).Distinct()];

    /// <summary>What is wrong with a place that somebody named for a run; null where it is one of its places.</summary>
    /// <param name="where">The field it was named in.</param>
    public static InputFault? FaultOfPlace(MachineRecord machine, Survey survey, Measurement measurement, Run run, string where, string place)
    {
        ArgumentNullException.ThrowIfNull(run);
        var places = PlacesIn(machine, survey, measurement, run);
        return places.Contains(place) ? null
            : new InputFault(where, $"'{place}'", places.IsEmpty ? $"none: nothing was read in run {run.No} yet" : places.Length <= 4 ? $"one of {string.Join(", ", places)}" : $"a place of run {run.No}, {places[0]} to {places[^1]}");
    }

    /// <summary>The columns a run must fill: of a repeat of contacts only the one that its characteristic is calculated from, of a spot check the measured ones.</summary>
    public static ImmutableArray<Column> ColumnsOf(MachineRecord machine, Survey survey, Run run)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(run);
        return run.Kind == RunKind.ContactsAgain && machine.Revision.FindCharacteristic(run.Proves!) is { } proves
            ? [.. survey.Columns.Where(c => proves.From.Values.Any(f => f.Survey == survey.Id && f.Column == c.Id))]
            : run.Kind == RunKind.SpotCheck ? SpotCheckRules.ColumnsOf(survey)
            : survey.Columns;
    }

    /// <summary>The entries of a run in the order of walking: along the layout, on the way back from its end. A survey of the whole goes one question or value at a time.</summary>
    public static ImmutableArray<RunEntry> EntriesOf(MachineRecord machine, Survey survey, Measurement measurement, Run run)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(run);
        var columns = ColumnsOf(machine, survey, run);
        if (survey.Places == PlaceKind.Whole)
        {
            return [.. columns.Select(c => new RunEntry(Place.Whole.Key, [c]))];
        }

        // Chosen places are walked as the others are; those of free pairs, which have no such order, stay as they were chosen.
        var walk = machine.Revision.PlacesOf(survey, machine.Model, measurement.Feature);
        var places = PlacesOf(machine, survey, measurement, run).OrderBy(p => walk.IndexOf(p) is >= 0 and var at ? at : walk.Length);
        return [.. (run.Direction == Direction.Back ? places.Reverse() : places).Select(p => new RunEntry(p, columns))];
    }

    /// <summary>Index of the entry to fill next: the first empty one after an index, else the first empty one of all; null where none is empty.</summary>
    /// <param name="after">Index of the entry that was filled last; −1 for none.</param>
    public static int? NextOf(ImmutableArray<RunEntry> entries, Run run, int after = -1)
    {
        var empty = Enumerable.Range(0, entries.Length).Where(i => !entries[i].FilledIn(run)).ToList();
        return empty.Count == 0 ? null : empty.FirstOrDefault(i => i > after, empty[0]);
    }
}
