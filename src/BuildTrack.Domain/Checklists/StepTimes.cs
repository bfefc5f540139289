namespace BuildTrack.Domain.Checklists;

/// <summary>The range of the hours of work planned for a step.</summary>
/// <param name="Low">Least hours, above 0.</param>
/// <param name="High">Most hours, not below the least.</param>
public sealed record HoursRange(decimal Low, decimal High);

/// <summary>Time that passes by itself after the work of a step, before what comes after it may begin: cooling, curing, the way to the customer. Around the clock.</summary>
/// <param name="Low">Least hours.</param>
/// <param name="Likely">Likely hours.</param>
/// <param name="High">Most hours.</param>
/// <param name="For">What is waited for: "cool-down after the oven".</param>
public sealed record StepWait(decimal Low, decimal Likely, decimal High, string For);
