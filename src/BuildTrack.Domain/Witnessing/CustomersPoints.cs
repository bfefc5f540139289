using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Domain.Witnessing;

/// <summary>The customer's part at a hold point.</summary>
public enum CustomersPart
{
    /// <summary>None: the plant releases it alone.</summary>
    Nothing,

    /// <summary>Is sent the record to look at, and is not waited for.</summary>
    Reviews,

    /// <summary>Is invited; being there is enough, and who does not come does not stop the work.</summary>
    Present,

    /// <summary>Is invited and signs a statement; who does not come does not stop the work.</summary>
    Signs,

    /// <summary>Holds it as the plant does: work waits for a signed acceptance, or for the letter that gives it up.</summary>
    Holds,
}

/// <summary>The customer's part at one hold point of a machine.</summary>
/// <param name="NoticeDays">Fewest working days between the notice and the visit; 0 where nobody is invited.</param>
public sealed record CustomersPoint(string Hold, CustomersPart Part, int NoticeDays = 0)
{
    /// <summary>Somebody is invited to it.</summary>
    public static bool Invites(CustomersPart part) => part is CustomersPart.Present or CustomersPart.Signs or CustomersPart.Holds;

    /// <summary>The part that a hold point of a plan gives to the customer.</summary>
    public static CustomersPart PartAt(HoldPoint hold)
    {
        ArgumentNullException.ThrowIfNull(hold);
        return hold switch
        {
            { Witness.Holds: true } => CustomersPart.Holds,
            { Witness.Statement: true } => CustomersPart.Signs,
            { Witness: not null } => CustomersPart.Present,
            { CustomerReviews: true } => CustomersPart.Reviews,
            _ => CustomersPart.Nothing,
        };
    }

    /// <summary>The hold point as it stands: its part and notice.</summary>
    public static CustomersPoint At(HoldPoint hold) => new((hold ?? throw new ArgumentNullException(nameof(hold))).Id, PartAt(hold), hold.Witness?.NoticeDays ?? 0);

    /// <summary>"signs a statement": a part in the words of the shop.</summary>
    public static string Words(CustomersPart part) => part switch
    {
        CustomersPart.Nothing => "has no part in it",
        CustomersPart.Reviews => "reviews the record",
        CustomersPart.Present => "is invited",
        CustomersPart.Signs => "signs a statement",
        _ => "holds it until it is signed",
    };

    /// <summary>"H5: is invited, notice of 5 working days".</summary>
    public string Sentence => $"{Hold}: {Words(Part)}{(Invites(Part) ? FormattableString.Invariant($", notice of {NoticeDays} working {(NoticeDays == 1 ? "day" : "days")}") : "")}";

    /// <summary>The hold point with this part in place of the plan's.</summary>
    internal HoldPoint Replace(HoldPoint hold) => hold with
    {
        Witness = Invites(Part) ? new WitnessPoint(NoticeDays, Part is CustomersPart.Signs or CustomersPart.Holds, Part == CustomersPart.Holds) : null,
        CustomerReviews = Part == CustomersPart.Reviews,
    };
}

/// <summary>What the contract of a machine says of the customer's part, as it was agreed; hold points that are not named stand as in the plan. A later one takes its place; both stay.</summary>
/// <param name="Revision">1 for the first of a machine.</param>
/// <param name="AgreedWith">The customer's person, and where it stands: "Ketura Sand, contract annex 4".</param>
/// <param name="Reason">Why it was changed; null where none was given before the order was reviewed.</param>
/// <param name="ApprovedBy">The second person, who approved a change after the order was reviewed; null before.</param>
/// <param name="Person">Who recorded it.</param>
public sealed record CustomersPoints(
    long Id, int Revision, ImmutableArray<CustomersPoint> Points, string AgreedWith, string? Reason, string? ApprovedBy, string Person, Instant At)
{
    /// <summary>The plan as this contract has it: one and the same edition, with the customer's part of the contract.</summary>
    public static ChecklistRevision Apply(ChecklistRevision plan, CustomersPoints? agreed)
    {
        ArgumentNullException.ThrowIfNull(plan);
        return agreed is not { Points.IsEmpty: false } ? plan
            : plan with { Holds = [.. plan.Holds.Select(h => agreed.Points.FirstOrDefault(p => p.Hold == h.Id)?.Replace(h) ?? h)] };
    }
}
