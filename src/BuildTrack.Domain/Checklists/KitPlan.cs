using System.Collections.Immutable;

namespace BuildTrack.Domain.Checklists;

/// <summary>The long-lead parts of a machine: what is bought early, and by when all of it must be there.</summary>
/// <param name="Purchase">Number of the step that buys them.</param>
/// <param name="CompleteBefore">Number of the step before which the kit is checked for completeness.</param>
public sealed record KitPlan(int Purchase, int CompleteBefore, ImmutableArray<KitPart> Parts);

/// <summary>A long-lead part.</summary>
/// <param name="Step">Number of the step at which it is built in.</param>
/// <param name="Count">How many a machine needs, by class; a class that is not named needs none.</param>
/// <param name="LeadLow">Fewest days from order to delivery.</param>
/// <param name="LeadLikely">Likely days from order to delivery.</param>
/// <param name="LeadHigh">Most days from order to delivery.</param>
/// <param name="Origin">"common practice, no source", or where else the lead times come from.</param>
public sealed record KitPart(string Id, string Name, int Step, ImmutableSortedDictionary<string, int> Count, int LeadLow, int LeadLikely, int LeadHigh, string Origin);
