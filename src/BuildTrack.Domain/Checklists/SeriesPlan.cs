using System.Collections.Immutable;

namespace BuildTrack.Domain.Checklists;

/// <summary>Results that find the same thing one after the other in a machine's life: in the plant, as shipped, on site, at each follow-up visit.</summary>
/// <param name="Results">Ids of characteristics in the order of their steps, all of one calculation.</param>
public sealed record SeriesPlan(string Id, string Title, ImmutableArray<string> Results);
