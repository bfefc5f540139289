using System.Collections.Immutable;
using BuildTrack.Domain.Nonconformances;

namespace BuildTrack.Records.Nonconformances;

/// <summary>Raises a nonconformance: from the result of a line, or for something seen.</summary>
/// <param name="Step">For something seen: the step it was found at; null where it belongs to none.</param>
/// <param name="Line">The line whose result failed. Required, found, origin and step then come from the record and are not sent.</param>
/// <param name="Evaluation">Hash of the result that was seen; null where the sender saw none. A newer one is refused.</param>
/// <param name="Seen">What was seen; null with a line.</param>
/// <param name="Note">What the person adds; null for nothing.</param>
public sealed record RaiseRequest(string Serial, int? Step, string? Line, string? Evaluation, SeenFault? Seen, Severity? Severity, string? Note);

/// <summary>Carries a nonconformance on. What does not belong to the act is not sent.</summary>
/// <param name="Text">In words: how it is contained, what is proposed, done, found; always needed.</param>
/// <param name="Containment">Tag, place and other machines to stop.</param>
/// <param name="Cause">With a proposal: where it came from.</param>
/// <param name="Disposition">With a proposal.</param>
/// <param name="Consent">The customer's person and the letter.</param>
public sealed record NonconformanceRequest(
    int Number, NonconformanceAct Act, string? Text, Containment? Containment = null, CauseCategory? Cause = null, Disposition? Disposition = null, CustomerConsent? Consent = null);

/// <param name="Number">The nonconformance.</param>
/// <param name="State">Where it stands after the act, in words.</param>
/// <param name="Concession">The number of the concession that the act completed; null for none.</param>
public sealed record NonconformanceReceipt(long Sequence, string Serial, int Number, string State, string? Concession);
