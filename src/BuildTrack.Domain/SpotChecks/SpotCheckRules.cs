using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.SpotChecks;

/// <summary>When an inspector may look for himself at places of a survey: a run of its own that never enters a result.</summary>
public static class SpotCheckRules
{
    public const string NotInspector = "R-SPOT-01";
    public const string HadAHand = "R-SPOT-02";
    public const string NothingToCompare = "R-SPOT-03";
    public const string NotAParty = "R-SPOT-04";

    /// <summary>The rule that forbids this person to begin a spot check of a survey now; null when none does.</summary>
    public static BrokenRule? WhyNotBegin(MachineRecord machine, Survey survey, string? feature, string person, IEnumerable<string> roles)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        if (!roles.Contains(Roles.Inspector))
        {
            return new BrokenRule(NotInspector, $"A spot check is an inspector's own look; {person} has not the role {Roles.Inspector}.");
        }

        if (HandOf(machine, survey, person) is { } hand)
        {
            return new BrokenRule(HadAHand, $"{person} had a hand in run {hand.No} of survey {survey.Id}; a spot check is made by an inspector who did not measure, upload, correct, discard or help.");
        }

        var current = machine.Current(survey.Id, feature);
        return current is null || machine.VoidedBy(current) is not null || !current.CountedPasses.Any()
            ? new BrokenRule(NothingToCompare, $"Survey {survey.Id}{(feature is null ? "" : $", {feature},")} of {machine.Serial} has no finished pass that counts; there is nothing to compare a spot check with.")
            : null;
    }

    /// <summary>The rule that forbids somebody to set aside or correct a spot check: those who measured do not judge the look that judges them.</summary>
    public static BrokenRule? WhyNotChange(MachineRecord machine, Survey survey, Run run, string person)
    {
        ArgumentNullException.ThrowIfNull(run);
        return run.Kind == RunKind.SpotCheck && HandOf(machine, survey, person) is { } hand
            ? new BrokenRule(NotAParty, $"Run {run.No} is a spot check by {run.Person}, and {person} had a hand in run {hand.No} of survey {survey.Id}; an inspector who had none sets it aside or corrects it.")
            : null;
    }

    /// <summary>The places of which an inspector may choose: those the survey must fill, else those that the passes measured.</summary>
    public static ImmutableArray<string> PlacesOf(MachineRecord machine, Survey survey, string? feature)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        return machine.Revision.PlacesOf(survey, machine.Model, feature) is { IsEmpty: false } places ? places
            : [.. machine.Current(survey.Id, feature)?.CountedPasses.SelectMany(r => r.Standing).Select(r => r.Place.Key).Distinct() ?? []];
    }

    /// <summary>The columns that a spot check fills: the measured ones. Questions are answered anew, and not compared.</summary>
    public static ImmutableArray<Column> ColumnsOf(Survey survey)
    {
        ArgumentNullException.ThrowIfNull(survey);
        return [.. survey.Columns.Where(c => c.Kind == ValueKind.Number)];
    }

    private static Run? HandOf(MachineRecord machine, Survey survey, string person) =>
        machine.Measurements.Where(m => m.Survey == survey.Id).SelectMany(m => m.Runs).FirstOrDefault(r => r.Kind != RunKind.SpotCheck && r.Hands.Contains(person));
}
