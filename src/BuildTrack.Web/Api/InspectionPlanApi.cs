using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.InspectionPlans;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Api;

/// <summary>A machine's inspection and test plan, and what one of its hold points waits for.</summary>
internal static class InspectionPlanApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/machines/{serial}/inspection-plan", Plan).WithSummary("Every result, list, photo, review, witness and hold point in the order of the route, with limit, method, record, who, and how it stands.");
        api.MapGet("/machines/{serial}/holds/{hold}/obstacles", Obstacles).WithSummary("Everything that stands against the release of a hold point, in the order of the route, each with its rule; empty where it only waits for a name, or is released.");
    }

    /// <param name="Checklists">Hash of the frozen edition.</param>
    /// <param name="FrozenAt">Since when the machine keeps this edition.</param>
    public sealed record PlanAnswer(string Serial, string Model, string Class, string Customer, string Edition, string Checklists, bool Approved, string FrozenAt, ImmutableArray<LineAnswer> Lines);

    /// <param name="Plant">H, W or R; null for none.</param>
    /// <param name="Customer">H, W or R; null for none.</param>
    /// <param name="Sheet">Address of the sheet on which it is done.</param>
    public sealed record LineAnswer(
        string Line, string Kind, int Step, string StepName, string What, string? Limit, string? Rule, string? Origin, string? OriginEdition, string Method, ImmutableArray<string> Surveys, string Record,
        string? Hold, string? Plant, string? Customer, ImmutableArray<string> Roles, string? Qualified, string Status, string? ReleasedBy, string? ReleasedAt, string? Note, string Sheet);

    public sealed record ObstacleAnswer(int Step, string Rule, string Sentence, string Sheet);

    private static async Task<PlanAnswer> Plan(string serial, MachineReader machines, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        return new PlanAnswer(
            machine.Serial, machine.Model.Id, machine.Model.Class, machine.Customer, machine.Revision.Edition, machine.Revision.Hash, machine.RevisionApproved, machine.Ordered.ToString(),
            [.. InspectionPlan.Of(machine).Select(l => Answer(machine, l))]);
    }

    private static async Task<ImmutableArray<ObstacleAnswer>> Obstacles(string serial, string hold, MachineReader machines, CancellationToken ct)
    {
        var machine = await machines.Load(serial, ct);
        var point = machine.Revision.Holds.FirstOrDefault(h => h.Id == hold) ?? throw new NotFoundException($"{serial} has no hold point {hold}.");
        return [.. ReleaseObstacles.Of(machine, point).Select(o => new ObstacleAnswer(o.Step, o.Rule.Id, o.Rule.Sentence, PlanLinks.UrlOf(machine, o)))];
    }

    private static LineAnswer Answer(MachineRecord machine, PlanLine line)
    {
        var requirement = line.Agreed?.Requirement;
        return new LineAnswer(
            line.Number, char.ToLowerInvariant(line.Kind.ToString()[0]) + line.Kind.ToString()[1..], line.Step.Number, line.Step.Name, line.What, requirement is null ? null : Words.Limit(requirement),
            requirement is null ? null : Shown.Word(requirement.Rule), requirement?.Origin, requirement?.Edition, line.Method, [.. line.Surveys.Select(s => s.Id)], line.Record,
            line.Hold?.Id, Letter(line.Plant), Letter(line.Customer), line.Roles, line.Qualified?.Id, line.Word, line.Released?.Person, line.Released?.At.ToString(), line.Note, PlanLinks.UrlOf(machine, line));
    }

    private static string? Letter(PointType? type) => type is null ? null : PlanLine.Letter(type);
}
