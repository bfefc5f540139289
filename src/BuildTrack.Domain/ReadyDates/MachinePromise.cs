using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.ReadyDates;

/// <summary>A day for which a machine was promised to leave the plant. The latest one counts; the earlier ones stay.</summary>
/// <param name="Day">yyyy-MM-dd.</param>
/// <param name="Reason">Where it stands or why it is another day: "order confirmation 4711", "customer's hall is late".</param>
public sealed record MachinePromise(long Id, string Day, string Reason, string Person, Instant At);
