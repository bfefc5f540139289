using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.Witnessing;

/// <summary>What is recorded of a customer's witness at a witness point.</summary>
public enum WitnessAct
{
    /// <summary>Notice of the visit was given.</summary>
    Invited,

    /// <summary>Was there; agrees to nothing by that.</summary>
    Present,

    Accepts,
    AcceptsWithPunchList,
    DoesNotAccept,

    /// <summary>Notice was given and nobody came: work may go on.</summary>
    DidNotCome,

    /// <summary>The customer gave the visit up, by a letter.</summary>
    Waived,

    /// <summary>Was given a link to look on until a day.</summary>
    MayLookOn,

    /// <summary>The link was ended before that day.</summary>
    LookingOnEnded,
}

/// <summary>One line about a witness. Lines are added, never changed; a later invitation begins anew.</summary>
/// <param name="Witness">The customer's person. Has no account: what was signed on paper is attested by who records it.</param>
/// <param name="Organisation">For whom the witness speaks.</param>
/// <param name="Visit">yyyy-MM-dd, of an invitation; of a link to look on the last day it opens; null elsewhere.</param>
/// <param name="Notice">Working days from the notice to the visit; null elsewhere.</param>
/// <param name="Letter">By which the customer agreed to a shorter notice, or gave the visit up; null where none was needed.</param>
/// <param name="Remark">The witness's remark, word for word; null for none.</param>
/// <param name="Statement">Code of the printed statement that was signed; null where nothing was signed.</param>
/// <param name="FileHash">SHA-256 of the scan of the signed statement; null where nothing was signed.</param>
public sealed record WitnessEntry(
    long Id, string Hold, WitnessAct Act, string Witness, string Organisation, string? Visit, int? Notice, string? Letter, string? Remark, string? Statement, string? FileHash, string Person, Instant At)
{
    /// <summary>What may come of a visit, or of no invitation: everything but invitations and links.</summary>
    public static ImmutableArray<WitnessAct> Outcomes { get; } =
        [WitnessAct.Present, WitnessAct.Accepts, WitnessAct.AcceptsWithPunchList, WitnessAct.DoesNotAccept, WitnessAct.DidNotCome, WitnessAct.Waived];

    public bool IsOutcome => Outcomes.Contains(Act);

    /// <summary>It was signed on paper.</summary>
    public bool Signed => Act is WitnessAct.Accepts or WitnessAct.AcceptsWithPunchList or WitnessAct.DoesNotAccept;
}

/// <summary>How a witness point stands.</summary>
/// <param name="Invitation">The last one; null before the first.</param>
/// <param name="Outcome">What came of it, or of no invitation; null while it is open.</param>
public sealed record WitnessStanding(HoldPoint Hold, WitnessEntry? Invitation, WitnessEntry? Outcome)
{
    public static WitnessStanding Of(MachineRecord machine, HoldPoint hold)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var lines = machine.Witness.Where(w => w.Hold == hold.Id).ToImmutableArray();
        var invitation = lines.LastOrDefault(w => w.Act == WitnessAct.Invited);
        return new WitnessStanding(hold, invitation, lines.LastOrDefault(w => w.IsOutcome && w.Id > (invitation?.Id ?? 0)));
    }

    /// <summary>"visit on 2026-12-04, notice of 12 working days"; "accepts with punch list".</summary>
    public string Sentence => Outcome is { } outcome ? Words(outcome.Act)
        : Invitation is { } invited ? FormattableString.Invariant($"invited for {invited.Visit}, notice of {invited.Notice} working days")
        : "not invited yet";

    public static string Words(WitnessAct act) => act switch
    {
        WitnessAct.Invited => "invited",
        WitnessAct.Present => "present",
        WitnessAct.Accepts => "accepts",
        WitnessAct.AcceptsWithPunchList => "accepts with punch list",
        WitnessAct.DoesNotAccept => "does not accept",
        WitnessAct.DidNotCome => "did not come",
        WitnessAct.MayLookOn => "may look on",
        WitnessAct.LookingOnEnded => "may look on no longer",
        _ => "gave the visit up",
    };
}

/// <summary>What a witness signs: the results of the point and of all before it that the same certificate covers.</summary>
public static class WitnessStatement
{
    /// <summary>The points whose results stand on the statement, in the order of the route.</summary>
    public static ImmutableArray<HoldPoint> Points(MachineRecord machine, HoldPoint hold)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var holds = machine.Revision.Scopes.FirstOrDefault(s => s.Holds.Contains(hold.Id))?.Holds ?? [hold.Id];
        return [.. machine.Revision.Holds.TakeWhile(h => h != hold).Append(hold).Where(h => holds.Contains(h.Id))];
    }

    /// <summary>A short code that changes with every result, limit and rule on it: it is printed on the statement and typed from the signed paper.</summary>
    public static string Code(MachineRecord machine, HoldPoint hold) => CanonicalJson.Hash(CanonicalJson.Of(new
    {
        machine.Serial,
        Hold = hold.Id,
        Revision = machine.Revision.Hash,
        machine.Order,
        Customer = hold.Id == AgreedAtReview.PointOf(machine.Revision).Id ? machine.CustomersPoints?.Points : null,
        Results = Points(machine, hold).SelectMany(h => machine.Agreed(h.Id)).Select(a => machine.EvaluationOf(a.Characteristic.Line)?.Hash ?? "-"),
    }))[..12].ToUpperInvariant();
}
