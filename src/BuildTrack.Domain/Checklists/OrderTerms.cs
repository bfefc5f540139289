using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Checklists;

/// <summary>What an order changes of one characteristic; what is null stays as the company's standard has it.</summary>
/// <param name="Origin">"contract annex 2": always stated.</param>
/// <param name="ApprovedBy">The person who approved the change: always stated.</param>
public sealed record OrderTerm(
    string Characteristic, Amount? Upper, Amount? Lower, string? Reference, DecisionRule? Rule, string Origin, string Edition, string ApprovedBy, string Reason)
{
    /// <summary>The requirement with this term's changes.</summary>
    public Requirement Replace(Requirement company) => company with
    {
        Upper = Upper ?? company.Upper,
        Lower = Lower ?? company.Lower,
        Table = Upper is null ? company.Table : null,
        Over = Upper is null ? company.Over : null,
        Rule = Rule ?? company.Rule,
        Origin = Origin,
        Edition = Edition,
        ApprovedBy = ApprovedBy,
    };
}

/// <summary>A characteristic as it applies to one machine: the company's standard with the order's changes.</summary>
public sealed record AgreedCharacteristic(Characteristic Characteristic, string? Reference, Requirement Requirement)
{
    /// <summary>The characteristic of a hold point as this order agreed them.</summary>
    public static ImmutableArray<AgreedCharacteristic> Of(
        ChecklistRevision revision, MachineModel model, ImmutableArray<OrderTerm> order, string? hold = null) =>
        [.. revision.Holds.Where(h => hold is null || h.Id == hold)
            .SelectMany(h => revision.CharacteristicsOf(h.Id, model))
            .Select(c =>
            {
                var company = revision.RequirementOf(c.Limit, model)!;
                var term = order.LastOrDefault(t => t.Characteristic == c.Id);
                return new AgreedCharacteristic(c, term?.Reference ?? c.Reference, term?.Replace(company) ?? company);
            })];
}
