using System.Collections.Immutable;

namespace BuildTrack.Domain.Checklists;

/// <summary>A component that a machine must carry: which, how many of it, and what is to be recorded of each.</summary>
/// <param name="Id">rail-r1, laser-source: with a number it names a place, rail-r1/2.</param>
/// <param name="Name">"Rail R1, segment".</param>
/// <param name="Kind">rail, rack, drive: no two components of a kind carry one serial number.</param>
/// <param name="Assembly">The part of the machine it is listed under: Rails and racks.</param>
/// <param name="Step">Number of the step of the route at which it is fitted.</param>
/// <param name="Places">How many a machine carries, by class; a class that is not named carries none.</param>
/// <param name="Needs">What must be recorded beside the serial number: firmware, certificate.</param>
/// <param name="Joined">The places follow each other and meet at lettered joints: place 1 ends with the letter that place 2 begins with.</param>
/// <param name="AfterSwap">The act on the bed that a swap is, with the surveys it makes void; null where a swap makes none void.</param>
/// <param name="Origin">"common practice, no source", or where else it comes from.</param>
public sealed record ComponentPlan(
    string Id, string Name, string Kind, string Assembly, int Step, ImmutableSortedDictionary<string, int> Places, ImmutableArray<string> Needs, bool Joined, string? AfterSwap, string Origin)
{
    public const string Firmware = "firmware";
    public const string Certificate = "certificate";
}
