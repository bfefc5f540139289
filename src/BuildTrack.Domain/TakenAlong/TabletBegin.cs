using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;

namespace BuildTrack.Domain.TakenAlong;

/// <summary>Begins a run on a tablet without network: the same faults and refusals as on line, as far as they can be known there. Whether it is begun, the server decides.</summary>
public static class TabletBegin
{
    /// <summary>Begins a run behind those that wait on the tablet already.</summary>
    /// <param name="before">Runs of the same survey and rail that are finished on the tablet and not sent yet, in the order in which they were begun.</param>
    /// <param name="day">The tablet's day, yyyy-MM-dd.</param>
    public static BegunHere Begin(TakenSurvey taken, IEnumerable<KeptRun> before, TypedBegin typed, string day)
    {
        ArgumentNullException.ThrowIfNull(taken);
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(typed);
        var survey = taken.Revision.Survey(taken.Survey);
        List<InputFault> faults = [];
        var conditions = typed.Understand(faults);
        var chosen = InstrumentsOf(taken, typed);
        faults.AddRange(survey.Instruments.Where(q => chosen.All(i => i.Quantity != q)).Select(q => new InputFault("instrument", chosen.IsEmpty ? "none" : string.Join(", ", chosen.Select(i => i.Id)), $"one for {q}")));
        faults.AddRange(TypedBegin.Faults(taken.Model, survey, taken.Feature, typed.Direction, typed.Arrow, [.. chosen.Select(i => i.Id)], typed.Uses, conditions));
        if (faults.Count > 0)
        {
            return new BegunHere([.. faults.Select(f => f.ToString())], null, null, []);
        }

        if ((TemperatureRules.WhyNotMeasure(taken.Model, survey, conditions) ?? chosen.Select(i => InstrumentRules.WhyNotUse(i, day)).FirstOrDefault(r => r is not null)) is { } rule)
        {
            return new BegunHere([], rule, null, []);
        }

        taken = before.Aggregate(taken, (all, run) => WithFinished(all, survey, run, day));
        var begun = RunOf(taken, typed, conditions, day);
        return new BegunHere([], null, CanonicalJson.Of(TakenRunOf(taken, survey, begun)), [.. begun.Instruments.Select(i => i.WordsOn(day))]);
    }

    /// <summary>A run before its instruments are chosen, with what it belongs to: what the picture and the form of every place are made from.</summary>
    public static (MachineRecord Machine, Measurement Measurement, Run Run) Draft(TakenSurvey taken, Direction? direction, LevelArrow? arrow)
    {
        ArgumentNullException.ThrowIfNull(taken);
        return (taken.Machine, taken.Mine, RunOf(taken, new TypedBegin(taken.Survey, taken.Feature, direction, arrow), null, ""));
    }

    // A run that waits is one of its measurement, as it will be when it is sent: the next one is asked about and calculated beside it.
    private static TakenSurvey WithFinished(TakenSurvey taken, Survey survey, KeptRun kept, string day)
    {
        var run = kept.Begin is { } begin ? RunOf(taken, begin, begin.Understand([]), day) : taken.Mine.Runs.FirstOrDefault(r => r.Id == kept.Run);
        if (run is null)
        {
            return taken;
        }

        var finished = TabletWork.Finished(TakenRunOf(taken, survey, run), kept.Values);
        return taken.With(taken.Mine with { Runs = [.. taken.Mine.Runs.Where(r => r.Id != run.Id), finished] });
    }

    private static TakenRun TakenRunOf(TakenSurvey taken, Survey survey, Run run)
    {
        var mine = taken.Mine with { Runs = [.. taken.Mine.Runs.Where(r => r.Id != run.Id), run] };
        return TakenRun.Of(taken.With(mine).Machine, survey, mine, run);
    }

    // Its id is free among those taken along; the record gives it one of its own.
    private static Run RunOf(TakenSurvey taken, TypedBegin typed, Conditions? conditions, string day) => new(
        taken.Measurements.SelectMany(m => m.Runs).Select(r => r.Id).DefaultIfEmpty().Max() + 1, taken.Mine.Runs.Length + 1, RunKind.Pass, typed.Direction, typed.Arrow, "-", [], day,
        InstrumentsOf(taken, typed), typed.Uses, conditions, [], null, null, new Instant(0), null, null, null, []);

    private static ImmutableArray<RegisterEntry> InstrumentsOf(TakenSurvey taken, TypedBegin typed) =>
        [.. typed.Uses.Select(u => taken.Instruments.FirstOrDefault(i => i.Entry.Id == u.Instrument)?.Standing).OfType<RegisterEntry>().DistinctBy(i => i.Id)];
}

/// <summary>A run whose values and end wait on the tablet.</summary>
/// <param name="Run">Its id in the record, where it was open when it was taken along; null where it was begun on the tablet.</param>
/// <param name="Begin">What it was begun with on the tablet; null where the record has it.</param>
public sealed record KeptRun(long? Run, TypedBegin? Begin, ImmutableArray<KeptValue> Values);

/// <summary>What beginning a run on a tablet comes to: faults, or a rule that the server would refuse it by, or the run.</summary>
/// <param name="Faults">What was found and what was expected, one sentence each.</param>
/// <param name="Taken">Canonical text of the <see cref="TakenRun"/>.</param>
/// <param name="With">Its instruments in words.</param>
public sealed record BegunHere(ImmutableArray<string> Faults, BrokenRule? Refused, string? Taken, ImmutableArray<string> With);
