using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.TakenAlong;

/// <summary>What a tablet does by itself while there is no network, with the calculations the server has: understands, asks, calculates.</summary>
public static class TabletWork
{
    /// <summary>Looks at a value before it is kept, beside those that stand: the same faults and questions as on line.</summary>
    /// <param name="kept">What stands on the tablet alone.</param>
    public static Met Meet(TakenRun taken, IReadOnlyList<KeptValue> kept, KeptValue typed)
    {
        ArgumentNullException.ThrowIfNull(taken);
        ArgumentNullException.ThrowIfNull(kept);
        ArgumentNullException.ThrowIfNull(typed);
        var (value, fault) = Understood(taken, typed);
        if (value is null || value.Kind != ValueKind.Number)
        {
            return new Met(fault, null);
        }

        var run = With(taken.Run, taken, kept);
        var beside = taken.Entries.FirstOrDefault(e => e.Place == typed.Place)?.Beside.FirstOrDefault(b => b.Column == typed.Column);
        return new Met(null, beside is null ? null : Plausibility.QuestionOf(beside, run, Reading(long.MaxValue, typed, value)));
    }

    /// <summary>What rests on the survey, as if the run were finished with what was recorded and what is kept here.</summary>
    public static ImmutableArray<ProvisionalResult> Calculate(TakenRun taken, IReadOnlyList<KeptValue> kept)
    {
        ArgumentNullException.ThrowIfNull(taken);
        ArgumentNullException.ThrowIfNull(kept);
        return [.. taken.Calculations.Select(c => Shown(c, Evaluators.Evaluate(With(c, taken, kept)).Result))];
    }

    /// <summary>The run as it will be when what is kept is sent and it is finished.</summary>
    internal static Run Finished(TakenRun taken, IReadOnlyList<KeptValue> kept) => With(taken.Run, taken, kept) with { Finished = taken.Run.Begun };

    private static ProvisionalResult Shown(EvaluationInput input, EvaluationResult result)
    {
        var requirement = input.Requirement;
        string? Text(double? value) => value is { } v ? Evaluating.Shown.InUnitOf(v, requirement) : null;
        return new ProvisionalResult(
            input.Characteristic.Line, input.Characteristic.Title, result.Verdict is { } verdict ? Evaluating.Shown.Word(verdict) : Evaluating.Shown.Word(result.State), Text(result.Value),
            Text(result.ReachAbove), (requirement.Upper ?? requirement.Lower)?.ToString(), result);
    }

    private static EvaluationInput With(EvaluationInput input, TakenRun taken, IReadOnlyList<KeptValue> kept) => input with
    {
        Sources = input.Sources.ToImmutableSortedDictionary(
            s => s.Key, s => s.Value.Readings is { } source && source.Survey == taken.Survey ? s.Value with { Readings = With(source, taken, kept) } : s.Value, input.Sources.KeyComparer),
    };

    private static SurveySource With(SurveySource source, TakenRun taken, IReadOnlyList<KeptValue> kept) => source with
    {
        Runs =
        [
            .. source.Runs.Select(r => r.Id != taken.Run.Id ? r
                : With(r, taken, [.. kept.Where(k => k.Column == source.Column)]) with { Finished = r.Finished ?? r.Begun }),
        ],
    };

    private static Run With(Run run, TakenRun taken, IReadOnlyList<KeptValue> kept) => run with
    {
        // Behind all that the record numbered, in the order in which they were kept.
        Readings =
        [
            .. run.Readings,
            .. kept.Select((k, i) => Understood(taken, k).Value is { } value ? Reading(long.MaxValue - kept.Count + i, k, value) : null).OfType<Reading>(),
        ],
    };

    private static Reading Reading(long id, KeptValue kept, ReadingValue value) =>
        new(id, Place.Parse(kept.Place), kept.Column, value, new Instant(0), "-", EntryRoute.Typed, null, null);

    private static (ReadingValue? Value, string? Fault) Understood(TakenRun taken, KeptValue typed)
    {
        var column = taken.Columns.SingleOrDefault(c => c.Id == typed.Column);
        return column is null ? (null, $"one of the columns {string.Join(", ", taken.Columns.Select(c => c.Id))}")
            : ReadingText.Understand(column.Kind, column.Unit, column.Choices, typed.Typed);
    }
}
