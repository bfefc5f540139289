using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Corrections;

/// <summary>A move as read at the indicator beside the foot.</summary>
/// <param name="Move">mm as typed, "0.07" or "-0,05"; plus raises; empty where the foot was left.</param>
public sealed record FootMoveTyped(string Foot, string? Move);

/// <summary>Records the moves of a round that was done.</summary>
/// <param name="Line">The check whose heights the round was planned from.</param>
/// <param name="Evaluation">Hash of its result.</param>
/// <param name="Goal">What the plan was made with; null: raise only.</param>
/// <param name="Reference">Null: the level.</param>
public sealed record RecordFeetRequest(string Serial, string Line, string Evaluation, FootGoal? Goal, FootReference? Reference, ImmutableArray<FootMoveTyped> Moves, string? Note);

/// <summary>The rounds of a bed and the plan of the next, from the record as it stands.</summary>
public sealed class FootReader(MachineReader machines)
{
    /// <summary>The plan; null with the rule where feet cannot be moved by this check.</summary>
    public async Task<(MachineRecord Machine, CharacteristicStanding Standing, FootPlan? Plan, BrokenRule? WhyNot)> Plan(string serial, string line, FootGoal goal, FootReference reference, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var standing = CorrectionReader.StandingOf(machine, line);
        var rule = FootPlan.WhyNot(machine, standing);
        return (machine, standing, rule is null ? FootPlan.Of(machine, standing, goal, reference) : null, rule);
    }

    internal static async Task<ImmutableArray<FootRoundMade>> Of(Db db, string serial, CancellationToken ct) =>
        [.. (await db.FootRounds.AsNoTracking().Where(r => r.Serial == serial).OrderBy(r => r.Id).Select(r => r.Round).ToListAsync(ct)).Select(CanonicalJson.Read<FootRoundMade>)];
}

/// <summary>Rounds of foot moves. A round is an act on the bed as well: what it makes void is to be repeated, and the next measurement shows what it did.</summary>
public sealed class FootActs(ActRunner acts)
{
    public Task<ActReceipt> Record(Caller who, RecordFeetRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.MoveFeet, request, key, async act =>
        {
            var machine = await MachineReader.Load(act.Db, request.Serial, ct);
            var standing = CorrectionReader.StandingOf(machine, request.Line);
            if (FootPlan.WhyNot(machine, standing) is { } rule)
            {
                throw new RefusedException(rule);
            }

            if (standing.Evaluation!.Hash != request.Evaluation)
            {
                throw new ChangedMeanwhileException($"The result of {request.Line} on {request.Serial}", CorrectionActs.Short(request.Evaluation), CorrectionActs.Short(standing.Evaluation.Hash));
            }

            MachineActs.NoOpenRun(machine);

            var plan = FootPlan.Of(machine, standing, request.Goal ?? FootGoal.RaiseToHighest, request.Reference ?? FootReference.Level);
            var made = Moves(request, plan, machine.Revision.Correction(Domain.Checklists.CorrectionFigure.FootTravel).Micrometres);
            if (made.All(m => m == 0))
            {
                throw new RefusedException(new BrokenRule(FootPlan.NothingMoved, "No foot was moved; there is no round to record."));
            }

            var feet = plan.Made(made);
            MachineActs.AddBedChange(
                act, request.Serial, plan.Change,
                $"round {plan.No}, {string.Join(", ", feet.Where(f => f.MadeUm != 0).Select(f => FormattableString.Invariant($"{f.Foot} {f.MadeUm / 1000:+0.00;−0.00} mm")))}");
            var round = new FootRoundMade(
                act.NewId(), request.Line, plan.Survey, plan.Measurement, request.Evaluation, plan.No, plan.Influence.Rounds, plan.Round.Goal, plan.Round.Reference, who.Person, act.Now,
                string.IsNullOrWhiteSpace(request.Note) ? null : request.Note.Trim(), feet);
            act.Db.FootRounds.Add(new FootRoundRow
            {
                Id = round.Id, Serial = request.Serial, Survey = round.Survey, Person = who.Person, AtUs = act.Now.Microseconds, Round = CanonicalJson.Of(round),
            });
            await act.Touch(request.Serial, ct);
            return new ActResult<ActReceipt>(new ActReceipt(act.Sequence, request.Serial), request.Serial, new { request, round });
        }, ct);

    /// <summary>The moves in the order of the feet, µm.</summary>
    private static double[] Moves(RecordFeetRequest request, FootPlan plan, double travelUm)
    {
        var faults = string.IsNullOrWhiteSpace(request.Note) ? [] : MachineActs.Texts(("note", request.Note));
        if (!Enum.IsDefined(plan.Round.Goal) || !Enum.IsDefined(plan.Round.Reference))
        {
            faults.Add(new InputFault("goal and reference", $"{plan.Round.Goal}, {plan.Round.Reference}", $"{string.Join(" or ", Enum.GetNames<FootGoal>())}, {string.Join(" or ", Enum.GetNames<FootReference>())}"));
        }

        var names = plan.Feet.Select(f => f.Foot.Id).ToImmutableArray();
        foreach (var group in request.Moves.GroupBy(m => m.Foot))
        {
            if (!names.Contains(group.Key))
            {
                faults.Add(new InputFault("foot", $"'{(group.Key.Length > 40 ? group.Key[..40] + "…" : group.Key)}'", $"one of {string.Join(", ", names)}"));
            }
            else if (group.Count() > 1)
            {
                faults.Add(new InputFault(group.Key, "two moves", "each foot once, with the sum of its moves"));
            }
        }

        double[] made = [.. plan.Feet.Select(f => Move(f, request.Moves.FirstOrDefault(m => m.Foot == f.Foot.Id)?.Move, travelUm, faults))];
        MachineActs.Throw(faults);
        return made;
    }

    private static double Move(PlannedFoot foot, string? typed, double travelUm, List<InputFault> faults)
    {
        var text = (typed ?? "").Trim();
        if (text.Length == 0)
        {
            return 0;
        }

        if (!NumberText.TryIn(text, "mm", out var mm, out var fault))
        {
            faults.Add(new InputFault(foot.Foot.Id, $"'{(text.Length > 40 ? text[..40] + "…" : text)}'", $"a move in mm like 0.07, plus raises, empty where it was left: {fault}"));
            return 0;
        }

        var um = (double)(mm * 1000);
        if (Math.Abs(foot.MovedUm + um) > travelUm)
        {
            faults.Add(new InputFault(foot.Foot.Id, FormattableString.Invariant($"{mm} mm after {foot.MovedUm / 1000:0.00} mm before"), FormattableString.Invariant($"within its travel of ±{travelUm / 1000:0.##} mm in all")));
        }

        return um;
    }
}
