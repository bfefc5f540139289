using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Machines;

/// <summary>Opens the build record of a machine under the latest checklists.</summary>
/// <param name="Order">What the order changes of the company's limits.</param>
public sealed record OrderMachineRequest(string Serial, string Model, string Customer, ImmutableArray<OrderTerm> Order);

/// <summary>Replaces the order's terms before anything is released.</summary>
public sealed record ChangeOrderRequest(string Serial, ImmutableArray<OrderTerm> Order, long Version);

/// <summary>Records an act that changes the bed: the results it touches are to be repeated.</summary>
/// <param name="Change">One of the checklists' invalidation rules: re-mill, foot-move, oven …</param>
public sealed record ChangeBedRequest(string Serial, string Change, string Note);

/// <summary>A line of the list of machines.</summary>
/// <param name="State">Step and state in plain words: "100 Settle and verify bed, rejected".</param>
/// <param name="Next">What it really waits for.</param>
/// <param name="Since">Since when it stands so.</param>
/// <param name="Complete">Its route is complete.</param>
public sealed record MachineLine(string Serial, string Model, string Class, string Customer, string State, string Next, Instant Since, bool Complete);
