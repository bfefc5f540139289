using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.TwoMethods;

namespace BuildTrack.Domain.ResultSeries;

/// <summary>How a series stands on a machine: every result of it that was released, and the current ones, each beside the one before it.</summary>
/// <remarks>Nothing is stored: it is worked out from the record. Method: docs/method/series.md.</remarks>
public sealed record SeriesStanding(SeriesPlan Plan, ImmutableArray<SeriesPoint> Points)
{
    /// <summary>The hashes of released calculations of series lines that are no longer the current ones: what <see cref="Of"/> needs beside the record.</summary>
    public static ImmutableHashSet<string> Earlier(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return [.. machine.Decisions.Where(d => d.Kind == HoldDecisionKind.Released).SelectMany(d => d.Evaluations).Except(machine.Evaluations.Select(e => e.Hash))];
    }

    /// <summary>Every series of the machine's plan of which the class has at least two results.</summary>
    /// <param name="earlier">The calculations that <see cref="Earlier"/> named.</param>
    public static ImmutableArray<SeriesStanding> Of(MachineRecord machine, IEnumerable<StoredEvaluation> earlier)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var stored = earlier.Concat(machine.Evaluations).ToLookup(e => e.Line);
        var agreed = machine.Agreed().ToDictionary(a => a.Characteristic.Id, StringComparer.Ordinal);
        return [.. machine.Revision.Series.Where(s => s.Results.Count(agreed.ContainsKey) > 1)
            .Select(s => new SeriesStanding(s, Compared(s.Results.Where(agreed.ContainsKey).SelectMany(id => Found(machine, agreed[id], stored)))))];
    }

    /// <summary>Later against earlier: whether the difference is more than both reaches explain. Null where one has no reach, or both have none.</summary>
    /// <remarks>E_n of ISO 13528 and ISO/IEC 17043 with the reach of each result on the side of the other; the two are taken as independent.</remarks>
    public static SeriesChange? Change(EvaluationResult earlier, EvaluationResult later)
    {
        ArgumentNullException.ThrowIfNull(earlier);
        ArgumentNullException.ThrowIfNull(later);
        if (earlier.Value is not { } from || later.Value is not { } to || earlier.Unit != later.Unit)
        {
            return null;
        }

        var (ofEarlier, ofLater) = to >= from ? (earlier.ReachAbove, later.ReachBelow) : (earlier.ReachBelow, later.ReachAbove);
        if (ofEarlier is not >= 0 || ofLater is not >= 0 || ofEarlier + ofLater <= 0)
        {
            return null;
        }

        var compared = TwoMethodsCalculation.Of(to, ofLater.Value, from, ofEarlier.Value);
        return new SeriesChange(compared.Difference, compared.DifferenceU, compared.En);
    }

    private static IEnumerable<SeriesPoint> Found(MachineRecord machine, AgreedCharacteristic agreed, ILookup<string, StoredEvaluation> stored)
    {
        var step = machine.Revision.Steps.Single(s => s.Number == agreed.Characteristic.Place.Step);
        var releases = machine.Decisions.Where(d => d.Kind == HoldDecisionKind.Released && d.Hold == agreed.Characteristic.Hold).ToList();
        var current = machine.StandingOf(agreed) is { Standing: Standing.Calculated } standing ? standing.Evaluation : null;
        return stored[agreed.Characteristic.Line].Where(e => e.Record.Result is { State: ResultState.Calculated, Value: not null })
            .Select(e => (Evaluation: e, Release: releases.FirstOrDefault(d => d.Evaluations.Contains(e.Hash))))
            .Where(x => x.Release is not null || x.Evaluation.Hash == current?.Hash)
            .OrderBy(x => x.Evaluation.Id)
            .Select(x => new SeriesPoint(agreed, step, x.Evaluation, x.Release?.At, null, null));
    }

    private static ImmutableArray<SeriesPoint> Compared(IEnumerable<SeriesPoint> points)
    {
        var all = points.ToList();
        SeriesChange? Since(int from, int to) => from < 0 || from == to ? null : Change(all[from].Evaluation.Record.Result, all[to].Evaluation.Record.Result);
        return [.. all.Select((p, i) => p with { SinceBefore = Since(i - 1, i), SinceFirst = i < 2 ? null : Since(0, i) })];
    }
}
