using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Planning;

namespace BuildTrack.Domain.Planning;

/// <summary>One way to measure a check, with what it would prove. Values in the calculated unit of the result.</summary>
/// <param name="Instrument">Number of the instrument; null where the register speaks of none (counts, times).</param>
/// <param name="Name">Its name; empty where there is none.</param>
/// <param name="BaseMm">Base of the level or mirror carriage, mm; null where nothing steps.</param>
/// <param name="Passes">Passes planned.</param>
/// <param name="Readings">Readings of this check over all passes.</param>
/// <param name="AsListed">The checklists plan it so; any other way needs another edition.</param>
/// <param name="Expanded">U that the result would have.</param>
/// <param name="K">Coverage factor of U.</param>
/// <param name="Proof">What is accepted, and which true values have a chance of 95 %.</param>
/// <param name="Enough">It leaves the wanted share of the limit provable.</param>
/// <param name="Takes">What takes most of the limit, and what helps against it.</param>
public sealed record MeasuringPlan(
    string? Instrument, string Name, double? BaseMm, int Passes, int Readings, bool AsListed, double Expanded, double K, PlannedProof Proof, bool Enough, string Takes);

/// <summary>An instrument of the register that cannot be used for a check today.</summary>
public sealed record UnusedInstrument(string Instrument, string Name, string Because);

/// <summary>Will it prove it? All ways to measure one check with the register of a day.</summary>
/// <param name="Unit">Unit of the values.</param>
/// <param name="Wanted">How much of the limit shall be provable, 0 to 1.</param>
/// <param name="Plans">Fewest readings first.</param>
/// <param name="Best">The plan with the fewest readings that is enough; else the one that comes nearest; null where there is none.</param>
/// <param name="Sentence">The answer.</param>
/// <param name="WhyNone">Why nothing is planned for this check; null where there are plans to look for.</param>
/// <param name="Granted">What the plans take for granted, in a sentence; null where the checklists tell everything.</param>
public sealed record PlanAnswer(
    string Line, string Title, Requirement Requirement, string Unit, string Day, double Wanted, ImmutableArray<MeasuringPlan> Plans, MeasuringPlan? Best, string Sentence,
    ImmutableArray<UnusedInstrument> Unused, string? WhyNone, string? Granted);

/// <summary>A limit of a class that no instrument of the register can prove on a day, on any of its models.</summary>
/// <param name="Model">The model that the reason is told of.</param>
/// <param name="Because">Why, with the nearest way.</param>
public sealed record UnprovableLimit(string Class, string Model, string Line, string Title, string Because);
