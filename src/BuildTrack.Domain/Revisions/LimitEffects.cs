using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Revisions;

/// <summary>A line of a machine whose limit is another in the later revision. The machine keeps its own.</summary>
/// <param name="Was">The requirement that the machine keeps.</param>
/// <param name="Becomes">What the later revision would ask; null where it no longer has this check for the machine.</param>
/// <param name="Standing">How the line stands on the machine now: accepted, not measured …</param>
/// <param name="Value">The machine's value, in <paramref name="Unit"/>; null before it is calculated.</param>
/// <param name="ExpandedUncertainty">U of that value.</param>
/// <param name="WouldBe">The answer for the same readings under the later limit. It is no verdict on the machine and is stored nowhere.</param>
/// <param name="Because">The sentence of that answer, or why there is none.</param>
public sealed record LimitEffect(
    string Serial, string Model, string Class, string Line, string Title, Requirement Was, string? ReferenceWas, Requirement? Becomes, string? ReferenceBecomes,
    string Standing, double? Value, string? Unit, double? ExpandedUncertainty, double? K, Verdict? Verdict, Verdict? WouldBe, string Because)
{
    public bool Calculated => Verdict is not null;

    /// <summary>Under the later limit the answer would be another one.</summary>
    public bool Differs => Calculated && WouldBe != Verdict;
}

/// <summary>What a later revision's limits would mean for a machine that was ordered under an earlier one.</summary>
public static class LimitEffects
{
    /// <summary>The machine's lines whose limit, rule or reference differs in <paramref name="later"/>; those that its order states are not touched.</summary>
    public static ImmutableArray<LimitEffect> Of(MachineRecord machine, ChecklistRevision later)
    {
        var model = later.Models.SingleOrDefault(m => m.Id == machine.Model.Id);
        return [.. machine.Agreed().Select(was => (Was: was, Becomes: Later(machine, was, later, model))).Where(p => Touched(machine.Revision, p.Was, later, p.Becomes))
            .Select(p => Effect(machine, p.Was, later, p.Becomes))];
    }

    private static AgreedCharacteristic? Later(MachineRecord machine, AgreedCharacteristic was, ChecklistRevision later, MachineModel? model)
    {
        var characteristic = later.Characteristics.SingleOrDefault(c => c.Id == was.Characteristic.Id);
        if (characteristic is null || model is null || later.RequirementOf(characteristic.Limit, model) is not { } company)
        {
            return null;
        }

        var term = machine.Order.LastOrDefault(t => t.Characteristic == characteristic.Id);
        return new AgreedCharacteristic(characteristic, term?.Reference ?? characteristic.Reference, term?.Replace(company) ?? company);
    }

    // Another origin or edition of the same numbers changes nothing for a machine.
    private static bool Touched(ChecklistRevision earlier, AgreedCharacteristic was, ChecklistRevision later, AgreedCharacteristic? becomes) =>
        becomes is null || was.Reference != becomes.Reference || Numbers(was.Requirement) != Numbers(becomes.Requirement)
        || !SameRows(TableOf(earlier, was.Requirement), TableOf(later, becomes.Requirement));

    private static (double?, double?, string?, string?, DecisionRule) Numbers(Requirement r) => (r.Upper?.Calculated, r.Lower?.Calculated, r.Table, r.Over, r.Rule);

    private static bool SameRows(LimitTable? a, LimitTable? b) =>
        a is null || b is null ? a is null && b is null : a.Unit == b.Unit && a.OverUnit == b.OverUnit && a.Rows.SequenceEqual(b.Rows);

    private static LimitTable? TableOf(ChecklistRevision revision, Requirement requirement) =>
        requirement.Table is { } table ? revision.Tables.SingleOrDefault(t => t.Id == table) : null;

    private static LimitEffect Effect(MachineRecord machine, AgreedCharacteristic was, ChecklistRevision later, AgreedCharacteristic? becomes)
    {
        var standing = machine.StandingOf(was);
        var result = standing.Standing == Standing.Calculated ? standing.Evaluation!.Record.Result : null;
        var (would, because) = WouldBe(standing, later, becomes);
        return new LimitEffect(
            machine.Serial, machine.Model.Id, machine.Model.Class, was.Characteristic.Line, was.Characteristic.Title, was.Requirement, was.Reference, becomes?.Requirement, becomes?.Reference,
            standing.Word, result?.Value, result?.Unit, result?.ExpandedUncertainty, result?.K, result?.Verdict, would, because);
    }

    private static (Verdict? Verdict, string Because) WouldBe(CharacteristicStanding standing, ChecklistRevision later, AgreedCharacteristic? becomes)
    {
        if (becomes is null)
        {
            return (null, "no longer checked");
        }

        if (standing.Standing != Standing.Calculated)
        {
            return (null, "no result that counts");
        }

        var input = standing.Evaluation!.Record.Input with { Reference = becomes.Reference, Requirement = becomes.Requirement, Table = TableOf(later, becomes.Requirement) };
        try
        {
            var result = Evaluators.Evaluate(input).Result;
            return (result.Verdict, result.Because[0]);
        }
        catch (ArgumentException e)
        {
            // Readings that were taken for another reference may not answer the later one.
            return (null, $"cannot be told from these readings: {e.Message}");
        }
    }
}
