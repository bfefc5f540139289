using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.StepFiles;

namespace BuildTrack.Domain.SitePacks;

/// <summary>Everything about one machine that work at the customer needs, carried where there may be no network.</summary>
/// <param name="Steps">What is done away from the plant: the step that leaves it and all after; of a route without such a step, what is not complete.</param>
/// <param name="Points">Every hold point with results found so far: the factory's and the as-shipped values first, those on site last.</param>
/// <param name="Surveys">What is measured away from the plant, each rail by itself.</param>
/// <param name="OpenRuns">Runs that were begun and not finished, with their survey.</param>
/// <param name="Photos">Photos that stand.</param>
public sealed record SitePack(
    ImmutableArray<StepStanding> Steps, ImmutableArray<HoldStanding> Points, ImmutableArray<SiteSurvey> Surveys, ImmutableArray<(Survey Survey, Run Run)> OpenRuns, ImmutableArray<StepFile> Photos)
{
    /// <summary>So long a pack is good without having been opened on line, days: limits, instruments and rights may change meanwhile. The company's choice; common practice, no source.</summary>
    public const int DaysGood = 10;

    /// <summary>What can hurt someone at these steps, each once.</summary>
    public IEnumerable<Caution> Cautions => Steps.SelectMany(s => s.Step.Cautions ?? []).DistinctBy(c => c.Id);

    /// <summary>Packs a machine.</summary>
    public static SitePack Of(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var away = Away(machine);
        var needed = machine.Agreed().SelectMany(a => machine.SurveysOf(a.Characteristic)).ToHashSet(StringComparer.Ordinal);
        return new SitePack(
            [.. machine.Route.Steps.Where(s => away.Contains(s.Step.Number))],
            [.. machine.Revision.Holds.Select(machine.StandingOfHold).Where(p => p.Characteristics.Any(c => c.Evaluation is not null))],
            [.. machine.Revision.Surveys.Where(s => away.Contains(s.Step) && needed.Contains(s.Id)).OrderBy(s => s.Step).SelectMany(s => SiteSurvey.Of(machine, s))],
            [.. machine.Measurements.SelectMany(m => m.Runs.Where(r => r.Finished is null && r.Discarded is null).Select(r => (machine.Revision.Survey(m.Survey), r)))],
            [.. machine.Files.Where(f => f.IsPhoto && f.SetAside is null)]);
    }

    /// <summary>The instruments that may be taken: in service, of a quantity that is measured away from the plant.</summary>
    public ImmutableArray<RegisterEntry> Instruments(IEnumerable<RegisterEntry> register)
    {
        ArgumentNullException.ThrowIfNull(register);
        var quantities = Surveys.SelectMany(s => s.Survey.Instruments).ToHashSet(StringComparer.Ordinal);
        return [.. register.Where(i => i.State == InstrumentState.InService && quantities.Contains(i.Quantity)).OrderBy(i => i.Quantity, StringComparer.Ordinal).ThenBy(i => i.Id, StringComparer.Ordinal)];
    }

    /// <summary>The feet of a machine, with the company's figures for moving them; null where the plan does not tell where they stand.</summary>
    public static SiteFeet? FeetOf(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        double Um(string figure) => machine.Revision.Correction(figure).Micrometres;
        return machine.Model.Feet.IsEmpty || !machine.Revision.HasCorrections(CorrectionFigure.FootSmallest, CorrectionFigure.FootStep) ? null
            : new SiteFeet(machine.Model.Feet, machine.Model.FootPitch?.Micrometres / 1000, Um(CorrectionFigure.FootSmallest), Um(CorrectionFigure.FootStep));
    }

    /// <summary>A short code that changes with every limit and place on the printed protocol.</summary>
    public static string Code(MachineRecord machine, ImmutableArray<SiteSurvey> surveys)
    {
        ArgumentNullException.ThrowIfNull(machine);
        return CanonicalJson.Hash(CanonicalJson.Of(new
        {
            machine.Serial,
            Revision = machine.Revision.Hash,
            machine.Order,
            Places = surveys.SelectMany(s => s.Places.Select(p => $"{s.Survey.Id} {s.Feature} {p}")),
        }))[..12].ToUpperInvariant();
    }

    private static HashSet<int> Away(MachineRecord machine)
    {
        var away = machine.Revision.Steps.Where(s => s.Leaves).Select(s => s.Number).ToHashSet();
        if (away.Count == 0)
        {
            return [.. machine.Route.Steps.Where(s => !s.Complete).Select(s => s.Step.Number)];
        }

        // Steps come after others of lower numbers only.
        foreach (var step in machine.Revision.Steps.OrderBy(s => s.Number).Where(s => s.After.Any(away.Contains)))
        {
            away.Add(step.Number);
        }

        return away;
    }
}

/// <summary>A survey as it is measured away from the plant.</summary>
/// <param name="Feature">The rail or part; null for the whole.</param>
/// <param name="Places">Keys of its places in the order of walking.</param>
/// <param name="Checks">What rests on it.</param>
public sealed record SiteSurvey(Survey Survey, string? Feature, ImmutableArray<string> Places, ImmutableArray<AgreedCharacteristic> Checks)
{
    internal static IEnumerable<SiteSurvey> Of(MachineRecord machine, Survey survey)
    {
        ImmutableArray<AgreedCharacteristic> checks = [.. machine.Agreed().Where(a => a.Characteristic.From.Values.Any(f => f.Survey == survey.Id))];
        return survey.ForEach.IsEmpty ? [new SiteSurvey(survey, null, machine.Revision.PlacesOf(survey, machine.Model), checks)]
            : survey.ForEach.Select(f => new SiteSurvey(survey, f, machine.Revision.PlacesOf(survey, machine.Model, f), checks));
    }
}
