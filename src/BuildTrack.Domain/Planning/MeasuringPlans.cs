using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Evaluating.Values;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Verdicts;
using static System.FormattableString;

namespace BuildTrack.Domain.Planning;

/// <summary>Before measuring: whether a check can be proved, with which instrument and in how many passes.</summary>
/// <remarks>Method: docs/method/planning.md.</remarks>
public static class MeasuringPlans
{
    /// <summary>How much of a limit a plan shall leave provable: the company's standard.</summary>
    public const double WantedShare = 0.5;

    /// <summary>Most passes that are looked at, unless the checklists plan more.</summary>
    public const int MostPasses = 4;

    /// <summary>All plans for a check of a machine.</summary>
    /// <param name="register">The latest state of every instrument.</param>
    /// <param name="day">yyyy-MM-dd in plant time: instruments must be valid on it.</param>
    /// <param name="wanted">Above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">A share that is not above 0 and below 1.</exception>
    public static PlanAnswer Of(MachineRecord machine, AgreedCharacteristic agreed, ImmutableArray<RegisterEntry> register, string day, double wanted = WantedShare)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(agreed);
        if (wanted is not (> 0 and < 1))
        {
            throw new ArgumentOutOfRangeException(nameof(wanted), wanted, "The wanted share of the limit must be above 0 and below 1.");
        }

        var unit = Measuring.Units.Calculated((agreed.Requirement.Upper ?? agreed.Requirement.Lower)?.Unit ?? "µm");
        var (ways, unused, why, granted) = WaysOf(machine, agreed, register, day);
        var plans = ways.Select(w => (Way: w, Proof: ProofOf(agreed.Requirement, w))).ToImmutableArray();
        var listed = plans.Select(p => PlanOf(agreed.Requirement, p.Way, p.Proof, wanted, plans))
            .OrderBy(p => p.Readings).ThenByDescending(p => p.Proof.Share).ThenBy(p => p.Instrument, StringComparer.Ordinal).ToImmutableArray();
        var cheapest = listed.FirstOrDefault(p => p.Enough);
        var best = cheapest ?? listed.OrderByDescending(p => p.Proof.Share).ThenBy(p => p.Proof.AcceptBand).FirstOrDefault();
        return new PlanAnswer(
            agreed.Characteristic.Line, agreed.Characteristic.Title, agreed.Requirement, unit, day, wanted, listed, best,
            why ?? Answer(agreed.Requirement, wanted, cheapest, best), unused, why, granted);
    }

    /// <summary>What each instrument proves of a check that is measured as the checklists say; empty where nothing is planned for it.</summary>
    /// <param name="register">The latest state of every instrument.</param>
    /// <param name="day">yyyy-MM-dd in plant time: instruments must be valid on it.</param>
    public static ImmutableArray<MeasuringPlan> AsListed(MachineRecord machine, AgreedCharacteristic agreed, ImmutableArray<RegisterEntry> register, string day)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(agreed);
        var plans = WaysOf(machine, agreed, register, day, onlyListed: true).Ways.Select(w => (Way: w, Proof: ProofOf(agreed.Requirement, w))).ToImmutableArray();
        return [.. plans.Select(p => PlanOf(agreed.Requirement, p.Way, p.Proof, WantedShare, plans))];
    }

    /// <summary>The limits of a revision that no instrument of the register can prove on a day, on any model of a class: from the bands alone, without trials.</summary>
    public static ImmutableArray<UnprovableLimit> Unprovable(ChecklistRevision revision, ImmutableArray<RegisterEntry> register, string day)
    {
        ArgumentNullException.ThrowIfNull(revision);
        var found = ImmutableArray.CreateBuilder<UnprovableLimit>();
        foreach (var models in revision.Models.GroupBy(m => m.Class).OrderBy(g => g.Key, StringComparer.Ordinal))
        {
            foreach (var line in AgreedCharacteristic.Of(revision, models.First(), []))
            {
                // One model of the class on which it can be proved is enough.
                (MachineModel Model, string? Why) last = (models.First(), null);
                foreach (var model in models)
                {
                    last = (model, WhyUnprovable(Blank(revision, model), line, register, day));
                    if (last.Why is null)
                    {
                        break;
                    }
                }

                if (last.Why is { } why)
                {
                    found.Add(new UnprovableLimit(models.Key, last.Model.Id, line.Characteristic.Line, line.Characteristic.Title, why));
                }
            }
        }

        return found.ToImmutable();
    }

    private static MachineRecord Blank(ChecklistRevision revision, MachineModel model) => new("", model, "", revision, true, [], [], [], [], [], [], [], new Instant(0), 0);

    private static string WordsOf(string? instrument, double? baseMm, int passes) =>
        Invariant($"{instrument ?? "read off"}{(baseMm is { } b ? Invariant($", base {b:0.#} mm") : "")}, {passes} {(passes == 1 ? "pass" : "passes")}");

    private static string? WhyUnprovable(MachineRecord machine, AgreedCharacteristic agreed, ImmutableArray<RegisterEntry> register, string day)
    {
        if (NotPlanned(agreed) is not null)
        {
            return null;
        }

        // No band is smaller than that of the most passes.
        var (ways, unused, why, _) = WaysOf(machine, agreed, register, day, MostPasses);
        if (ways.IsEmpty)
        {
            return why ?? (unused.IsEmpty ? "no instrument of the register measures it" : string.Join("; ", unused.Select(u => u.Because)));
        }

        var nearest = ways.MinBy(w => WhyNot(agreed.Requirement, w) is null ? -1 : BandOf(agreed.Requirement, w))!;
        return WhyNot(agreed.Requirement, nearest) is { } cannot
            ? Invariant($"{cannot}: nearest {nearest.Words}, U {Shown.InUnitOf(nearest.Parts.Expanded, agreed.Requirement)}") : null;
    }

    /// <summary>Why a check has no plan of its own; null where it has.</summary>
    private static string? NotPlanned(AgreedCharacteristic agreed) => agreed.Characteristic.Evaluator switch
    {
        AnswersEvaluator.Name => "Questions are answered; there is nothing to plan.",
        ChangeEvaluator.Name => "It compares two other results: plan those; its uncertainty follows from theirs.",
        _ when agreed.Requirement is { Upper: null, Lower: null } => "Its limit comes from a table, by a thickness that is measured with it: it is not known before.",
        var kind when Evaluators.Find(kind) is not IPlanned => "What a plan of this calculation would prove is not worked out.",
        _ => null,
    };

    private sealed record Way(RegisterEntry? Instrument, double? BaseMm, int Passes, int Readings, bool AsListed, PlannedParts Parts)
    {
        public string Words => WordsOf(Instrument?.Id, BaseMm, Passes);

        public PlannedMeasurement Plan(DecisionRule rule) => new(Parts.Sigma, Parts.Common, Passes, rule, Parts.Expanded, Parts.K, Parts.FixedReach) { DegreesOfFreedom = Parts.Degrees };
    }

    private static (ImmutableArray<Way> Ways, ImmutableArray<UnusedInstrument> Unused, string? Why, string? Granted) WaysOf(
        MachineRecord machine, AgreedCharacteristic agreed, ImmutableArray<RegisterEntry> register, string day, int fewestPasses = 1, bool onlyListed = false)
    {
        if (NotPlanned(agreed) is { } why)
        {
            return ([], [], why, null);
        }

        var survey = machine.Revision.Survey(agreed.Characteristic.From.Values.First(f => f.Survey is not null).Survey!);
        var column = survey.FindColumn(agreed.Characteristic.From.Values.First(f => f.Survey is not null).Column!)!;
        var planned = (IPlanned)Evaluators.Find(agreed.Characteristic.Evaluator)!;
        var numbers = NumbersOfPasses(survey, onlyListed || planned.PassesAreFixed, fewestPasses).ToImmutableArray();
        string? granted = null;
        var ways = ImmutableArray.CreateBuilder<Way>();
        var unused = ImmutableArray.CreateBuilder<UnusedInstrument>();
        foreach (var instrument in InstrumentsFor(survey, column, register))
        {
            if (instrument?.WhyNotValidOn(day) is { } invalid)
            {
                unused.Add(new UnusedInstrument(instrument.Id, instrument.Name, invalid));
                continue;
            }

            foreach (var length in BasesOf(machine, survey))
            {
                if (onlyListed && length != survey.BaseLengthMm)
                {
                    continue;
                }

                foreach (var passes in numbers)
                {
                    var input = PlanInputs.For(length is { } b ? PlanInputs.WithBase(machine, survey, b) : machine, agreed, planned, instrument, passes, day);
                    var readings = input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>().Sum(s => s.Runs.Sum(r => r.Readings.Length));
                    if (readings == 0)
                    {
                        return ([], [], $"Survey {survey.Id} has no places on this model.", null);
                    }

                    PlannedParts parts;
                    try
                    {
                        parts = planned.PartsOf(input);
                        granted ??= planned.Granted(input);
                    }
                    catch (ArgumentException e)
                    {
                        // A layout that decides nothing: three stations of a plane, all on one line.
                        return ([], [], e.Message, null);
                    }

                    if (parts.Faults is [var fault, ..])
                    {
                        if (instrument is not null && unused.All(u => u.Instrument != instrument.Id))
                        {
                            unused.Add(new UnusedInstrument(instrument.Id, instrument.Name, fault));
                        }

                        break;
                    }

                    if (parts.Zone is not null && agreed.Requirement.Upper is not { Value: > 0 })
                    {
                        return ([], [], "The limit is not above zero: it has no share that could be proved.", null);
                    }

                    ways.Add(new Way(instrument, length, passes, readings, passes == survey.Passes && length == survey.BaseLengthMm, parts));
                }
            }
        }

        return (ways.ToImmutable(), unused.ToImmutable(), null, ways.Count == 0 ? null : granted);
    }

    private static IEnumerable<int> NumbersOfPasses(Survey survey, bool onlyListed, int fewest) => onlyListed
        ? [survey.Passes]
        : Enumerable.Range(fewest, Math.Max(MostPasses, survey.Passes) - fewest + 1).Where(p => !survey.BothDirections || p % 2 == 0);

    // A level does not see a turn about the vertical: what is typed in arc-seconds is read by what shows arc-seconds. Nor does an autocollimator,
    // which looks along a line of steps, see how a bridge leans across it.
    private static IEnumerable<RegisterEntry?> InstrumentsFor(Survey survey, Column column, ImmutableArray<RegisterEntry> register) =>
        column.Quantity is null or "count" or "time" ? Enumerable.Repeat<RegisterEntry?>(null, 1) : register.Where(e => e.Quantity == column.Quantity
            && (column.Unit == "arcsec" ? e.Unit == "arcsec" : survey.Stepped || e.Unit != "arcsec"));

    // Bases the plant has are those that its checklists step with; stations that are listed one by one have only their own.
    private static IEnumerable<double?> BasesOf(MachineRecord machine, Survey survey) =>
        !survey.Stepped || survey.BaseLengthMm is null ? [survey.BaseLengthMm]
        : machine.Revision.Layouts.Single(l => l.Id == survey.Layout).Pitch is null ? [survey.BaseLengthMm]
        : machine.Revision.Surveys.Where(s => s.Stepped && s.BaseLengthMm is not null).Select(s => s.BaseLengthMm).Distinct().Order();

    private static Conformity.Limits LimitsOf(Requirement requirement) => new(requirement.Upper?.Calculated, requirement.Lower?.Calculated);

    private static PlannedProof ProofOf(Requirement requirement, Way way) =>
        way.Parts.Zone is { } zone
            ? ProofPlan.Of(zone, way.Plan(requirement.Rule), requirement.Upper!.Calculated)
            : ProofPlan.OfSingle(LimitsOf(requirement), way.Parts.Values, way.Plan(requirement.Rule));

    private static string? WhyNot(Requirement requirement, Way way) =>
        way.Parts.Zone is { } zone ? ProofPlan.WhyNot(zone, way.Plan(requirement.Rule), requirement.Upper!.Calculated) : ProofOf(requirement, way).CannotBecause;

    private static double BandOf(Requirement requirement, Way way) => way.Plan(requirement.Rule).AcceptBand(way.Parts.Zone?.Spread ?? 1);

    private static MeasuringPlan PlanOf(
        Requirement requirement, Way way, PlannedProof proof, double wanted, ImmutableArray<(Way Way, PlannedProof Proof)> all) => new(
        way.Instrument?.Id, way.Instrument?.Name ?? "", way.BaseMm, way.Passes, way.Readings, way.AsListed, way.Parts.Expanded, way.Parts.K, proof,
        proof.CannotBecause is null && (proof.Share is null || proof.Share >= wanted), Takes(requirement, way, proof, all));

    /// <summary>What takes most of the room to the limit, in a sentence.</summary>
    private static string Takes(Requirement requirement, Way way, PlannedProof proof, ImmutableArray<(Way Way, PlannedProof Proof)> all)
    {
        var whole = proof.RandomPart + proof.CommonPart + proof.RulePart;
        if (whole <= 0)
        {
            return "Nothing takes anything of the limit.";
        }

        var name = way.Instrument is null ? "the reading" : $"{way.Instrument.Id} ({way.Instrument.Name})";
        string Part(double part) => Invariant($"{100 * part / whole:0} % of what is lost to the limit, {Shown.InUnitOf(part, requirement)}");
        if (proof.RandomPart >= proof.CommonPart && proof.RandomPart >= proof.RulePart)
        {
            var more = all.Where(o => o.Way.Instrument == way.Instrument && o.Way.BaseMm == way.BaseMm && o.Way.Passes > way.Passes).OrderBy(o => o.Way.Passes)
                .Select(o => ((Way Way, PlannedProof Proof)?)o).LastOrDefault();
            return $"The random part of {name} gives {Part(proof.RandomPart)}: "
                + (more is { } m
                    ? Invariant($"measure in {m.Way.Passes - way.Passes} more {(m.Way.Passes - way.Passes == 1 ? "pass" : "passes")}; {Reaches(requirement, m.Proof)}.")
                    : "only an instrument with a smaller one helps.");
        }

        return proof.CommonPart >= proof.RulePart
            ? $"The common part of {name} gives {Part(proof.CommonPart)}: more passes leave it; another instrument helps."
            : $"The rule's band of {name}, U = {Shown.InUnitOf(way.Parts.Expanded, requirement)}, gives {Part(proof.RulePart)}{(way.Parts.FixedReach is null ? " beyond what the noise needs" : "")}: "
                + "an instrument with a smaller U helps.";
    }

    private static string Reaches(Requirement requirement, PlannedProof proof) =>
        proof.Widest is { } widest ? $"then true values up to {Shown.InUnitOf(widest, requirement)} are proved"
        : proof.Least is { } least ? $"then true values from {Shown.InUnitOf(least, requirement)} are proved"
        : "even that proves nothing";

    private static string Line(Requirement requirement, PlannedProof proof) => string.Join(" and ", new[]
    {
        proof.AcceptFrom is { } from ? "from " + Shown.InUnitOf(from, requirement) : null, proof.AcceptUpTo is { } upTo ? "up to " + Shown.InUnitOf(upTo, requirement) : null,
    }.OfType<string>());

    private static string Answer(Requirement requirement, double wanted, MeasuringPlan? cheapest, MeasuringPlan? best)
    {
        string Words(MeasuringPlan p) => Invariant($"{WordsOf(p.Instrument, p.BaseMm, p.Passes)}, {p.Readings} readings");
        string Accepts(MeasuringPlan p) => p.Proof.CannotBecause is { } no ? no : $"accepted {Line(requirement, p.Proof)}";
        return cheapest is not null
            ? $"Yes: {Words(cheapest)}; {Accepts(cheapest)}{(cheapest.Proof.Share is { } share ? Invariant($", {100 * share:0} % of the limit provable") : "")}."
            : best is null ? "Cannot be proved: no instrument of the register that is valid today measures it."
            : Invariant($"Cannot be proved with any registered instrument so that {100 * wanted:0} % of the limit is left; nearest is {Words(best)}: {Accepts(best)}")
                + (best.Proof.Share is { } s and > 0 ? Invariant($", {100 * s:0} %.") : ".");
    }
}
