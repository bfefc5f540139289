using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Planning;

/// <summary>What a calculation would be given if a check were measured in a certain way: its layout and instrument are real, its values stand in.</summary>
internal static class PlanInputs
{
    /// <summary>The machine as if its stepped survey had another base, with stations that far apart.</summary>
    public static MachineRecord WithBase(MachineRecord machine, Survey survey, double baseMm)
    {
        if (survey.BaseLengthMm == baseMm)
        {
            return machine;
        }

        var layout = machine.Revision.Layouts.Single(l => l.Id == survey.Layout);
        var other = layout with { Id = FormattableString.Invariant($"{layout.Id} at {baseMm:R}"), Pitch = baseMm };
        return machine with
        {
            Revision = machine.Revision with
            {
                Layouts = machine.Revision.Layouts.Add(other),
                Surveys = machine.Revision.Surveys.Replace(survey, survey with { Layout = other.Id, BaseLengthMm = baseMm }),
            },
        };
    }

    /// <summary>The input of a check whose passes are all done with one instrument on a day.</summary>
    public static EvaluationInput For(MachineRecord machine, AgreedCharacteristic agreed, IPlanned planned, RegisterEntry? instrument, int passes, string day)
    {
        var input = EvaluationInputs.For(machine, agreed);
        return input with
        {
            Sources = input.Sources.ToImmutableSortedDictionary(
                s => s.Key,
                s => s.Value.Readings is not { } source ? s.Value
                    : s.Value with { Readings = Measured(source, planned.PlacesOf(source), instrument, passes, day, planned.StandIn(s.Key, machine.Model, agreed.Requirement)) },
                StringComparer.Ordinal),
        };
    }

    private static SurveySource Measured(SurveySource source, ImmutableArray<string> places, RegisterEntry? instrument, int passes, string day, double value)
    {
        var calculated = new ReadingValue(ValueKind.Number, "", null, null, value, null);
        var readings = places.Select((p, i) => new Reading(i + 1, Place.Parse(p), source.Column, calculated, default, "", EntryRoute.Typed, null, null)).ToImmutableArray();
        return source with
        {
            PassesPlanned = passes,
            Runs =
            [
                .. Enumerable.Range(1, passes).Select(no => new Run(
                    no, no, RunKind.Pass, null, null, "", [], day, instrument is null ? [] : [instrument], [], source.NeedsGradient ? new Conditions(null, [0], [0], null) : null, [], null, null,
                    new Instant(0), new Instant(0), null, null, readings)),
            ],
        };
    }
}
