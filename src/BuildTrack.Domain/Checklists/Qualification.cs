namespace BuildTrack.Domain.Checklists;

/// <summary>A list of people for special work: electrician, welder, laser emission. Who stands on it, and from when to when, is no part of the plan.</summary>
/// <param name="Why">What nobody else does, in the words of the shop.</param>
/// <param name="Origin">Where it is laid down: a standard, company standard, common practice.</param>
public sealed record Qualification(string Id, string Name, string Why, string Origin);
