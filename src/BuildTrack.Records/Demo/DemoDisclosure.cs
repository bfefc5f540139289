using System.Collections.Immutable;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Disclosure;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Witnessing;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records.Demo;

/// <summary>A disclosure list as it was agreed at the order review.</summary>
/// <param name="At">"-94 11:00": working day and time.</param>
public sealed record DemoDisclosure(
    string Person, string At, string AgreedWith, ImmutableArray<string> Readings, bool Names = false, bool Replaced = false, bool Reasons = false, bool Serials = false)
{
    /// <summary>Sets it on a machine.</summary>
    internal async Task Set(IServiceProvider provider, Caller who, string serial, CancellationToken ct) => await provider.GetRequiredService<DisclosureActs>().Set(
        who, new SetDisclosureRequest(serial, new DisclosureList(Readings, Names, Replaced, Reasons, Serials), AgreedWith, (await provider.GetRequiredService<MachineReader>().Load(serial, ct)).Version), null, ct);
}

/// <summary>The customer's part at hold points as the contract has it.</summary>
/// <param name="At">"-1 10:45": working day and time.</param>
public sealed record DemoCustomersPart(string Person, string At, string AgreedWith, ImmutableArray<CustomersPoint> Points)
{
    /// <summary>Sets it on a machine.</summary>
    internal async Task Set(IServiceProvider provider, Caller who, string serial, CancellationToken ct) => await provider.GetRequiredService<CustomersPointActs>().Set(
        who, new SetCustomersPointsRequest(serial, Points, AgreedWith, (await provider.GetRequiredService<MachineReader>().Load(serial, ct)).Version), null, ct);
}
