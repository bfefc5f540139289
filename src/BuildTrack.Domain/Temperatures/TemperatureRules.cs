using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Thermal;

namespace BuildTrack.Domain.Temperatures;

/// <summary>What a round of temperatures needs, and what it can prove.</summary>
public static class TemperatureRules
{
    /// <summary>A probe of the round disagreed with the others on the block that day.</summary>
    public const string ProbeDisagrees = "R-TEMP-01";

    /// <summary>The bed is beyond the allowed gradient as a run is to begin, and nobody says why it is measured all the same.</summary>
    public const string BeyondWithoutReason = "R-TEMP-02";

    /// <summary>The register's use that holds for a probe.</summary>
    public const string Use = "absolute";

    public const string Quantity = "temperature";

    /// <summary>Coldest and warmest that is taken of a bed or of the air, °C.</summary>
    public const decimal Coldest = -20, Warmest = 80;

    /// <summary>Probes must know a difference to this, K, for a gradient limit up to <see cref="FineLimit"/>.</summary>
    public const double FineU = 0.05;

    /// <summary>Gradient limits up to this are fine ones, K.</summary>
    public const double FineLimit = 0.5;

    /// <summary>Four places on the bed, six on the long ones: pairs of top and bottom (common practice, no source).</summary>
    public static int PairsOf(MachineModel model) => model.Class is "D" or "E" ? 3 : 2;

    /// <summary>The steps whose surveys ask for bed temperatures.</summary>
    public static ImmutableArray<int> StepsOf(ChecklistRevision revision) => [.. revision.Surveys.Where(s => s.NeedsGradient).Select(s => s.Step).Distinct().Order()];

    /// <summary>What a gradient means for a bed: bow of a free beam of the model's length and depth, an upper bound.</summary>
    /// <param name="kelvin">Top less bottom, K.</param>
    public static GradientBow BowOf(MachineModel model, double kelvin) =>
        ThermalShape.Bow(model.SeatLengthMm, model.BedDepthMm, TemperatureDifference.FromKelvins(kelvin), ThermalShape.SteelPerMillionPerK);

    /// <summary>Largest U of a difference with which a gradient limit can be proved, K: 0.05 K for limits up to 0.5 K, a quarter of a wider one.</summary>
    public static double LargestU(double allowed) => allowed <= FineLimit ? FineU : allowed / 4;

    /// <summary>Why the probes of a round prove no gradient limit; null where they do.</summary>
    public static string? WhyNotProved(TemperatureRound round, double allowed) =>
        round.DifferenceU <= LargestU(allowed) + 1e-9 ? null
            : FormattableString.Invariant($"U of a difference of two probes is {round.DifferenceU:0.00#} K{(round.Comparison is null ? ", as they were not compared on one block that day" : "")}: above {LargestU(allowed):0.00#} K the limit of {allowed:0.0##} K is not proved");

    /// <summary>The rule that forbids a round with these probes; null when none does.</summary>
    public static BrokenRule? WhyNotRound(ComparedProbes? compared, IEnumerable<string> probes) =>
        probes.Select(p => compared?.Find(p)?.Disagrees).FirstOrDefault(d => d is not null) is { } disagrees
            ? new BrokenRule(ProbeDisagrees, $"{disagrees}. Take another probe, or compare them again.")
            : null;

    /// <summary>The rule that forbids a run on a bed of these temperatures: it would prove nothing, and who reads many places learns it before the first. Null when none does.</summary>
    public static BrokenRule? WhyNotMeasure(MachineModel model, Survey survey, Conditions? conditions) =>
        survey.NeedsGradient && conditions is { Anyway: null, Gradient: { } gradient } && model.GradientAllowed is { Value: var allowed } && gradient > allowed
            ? new BrokenRule(BeyondWithoutReason, FormattableString.Invariant($"The bed is {gradient:0.00#} K top to bottom, allowed are {allowed:0.00#} K: measured now, nothing is proved. Wait until it is even, or give the reason for measuring anyway; a bow of {BowOf(model, (double)gradient).BowUm:0} µm is then added to the uncertainty."))
            : null;

    /// <summary>What is wrong with the conditions that a run of a survey begins with.</summary>
    public static IEnumerable<InputFault> Faults(MachineModel model, Survey survey, Conditions? conditions)
    {
        ArgumentNullException.ThrowIfNull(model);
        ArgumentNullException.ThrowIfNull(survey);
        var pairs = PairsOf(model);
        if (survey.NeedsGradient && conditions?.Gradient is null)
        {
            yield return new InputFault("bed temperatures", conditions is null ? "nothing" : $"{conditions.Top.Length} at the top, {conditions.Bottom.Length} at the bottom", $"{pairs} at the top and {pairs} at the bottom, °C");
        }
        else if (survey.NeedsGradient && conditions!.Top.Length < pairs)
        {
            yield return new InputFault("bed temperatures", $"{conditions.Top.Length} pairs", $"at least {pairs} pairs top and bottom for class {model.Class}");
        }

        if (conditions?.Anyway is { } anyway && (model.GradientAllowed is not { } allowed || conditions.Gradient is not { } gradient || gradient <= allowed.Value))
        {
            yield return new InputFault("reason for measuring anyway", $"'{anyway}'", FormattableString.Invariant($"none: {conditions.Gradient:0.0##} K top to bottom keeps {model.GradientAllowed?.Value:0.0##} K"));
        }

        foreach (var t in conditions is null ? [] : conditions.Top.Concat(conditions.Bottom).Concat(conditions.Air is { } air ? [air] : []).Where(t => t is < Coldest or > Warmest))
        {
            yield return new InputFault("temperature", FormattableString.Invariant($"{t} °C"), "−20 to 80 °C");
        }
    }

    /// <summary>The rounds of one standing: at one step, since the last act on the bed and the last time the step was opened again, no two of them more than a day apart.</summary>
    public static ImmutableArray<TemperatureRound> Standing(MachineRecord machine, int step)
    {
        var since = Math.Max(
            machine.Changes.LastOrDefault()?.Id ?? 0, machine.RouteCard.LastOrDefault(e => e.Step == step && e.Act == Route.RouteAct.Reopen)?.Id ?? 0);
        var rounds = new List<TemperatureRound>();
        foreach (var round in machine.Temperatures.Where(r => r.Step == step && r.Id > since).OrderByDescending(r => r.Id))
        {
            if (rounds.Count > 0 && rounds[^1].At.Utc - round.At.Utc > TimeSpan.FromDays(1))
            {
                break;
            }

            rounds.Add(round);
        }

        rounds.Reverse();
        return [.. rounds];
    }
}
