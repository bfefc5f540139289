using BuildTrack.Domain.InspectionPlans;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Web.Sheets;

/// <summary>From a line of the inspection and test plan, and from what stands against a release, to the sheet where it is done.</summary>
public static class PlanLinks
{
    public static string UrlOf(MachineRecord machine, PlanLine line)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(line);
        var root = SheetSets.UrlOf(machine.Serial);
        return line.Kind switch
        {
            PlanLineKind.Check or PlanLineKind.List => $"{root}/results/{line.Number}",
            PlanLineKind.Survey => $"{root}/step/{line.Step.Number}?survey={Uri.EscapeDataString(line.Surveys[0].Id)}",
            PlanLineKind.Photo or PlanLineKind.Review => $"{root}/step/{line.Step.Number}/files",
            PlanLineKind.Witness => $"{root}/witness",
            _ => $"{root}/release/{line.Number}",
        };
    }

    public static string UrlOf(MachineRecord machine, Obstacle obstacle)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(obstacle);
        var root = SheetSets.UrlOf(machine.Serial);
        return obstacle.At switch
        {
            ObstacleAt.Checklists => "/checklists",
            ObstacleAt.RouteCard when obstacle.Thing.Length > 0 => $"{root}/route?step={obstacle.Thing}#step",
            ObstacleAt.RouteCard => $"{root}/route",
            ObstacleAt.Run => $"{root}/runs/{obstacle.Thing}",
            ObstacleAt.Result => $"{root}/results/{obstacle.Thing}",
            ObstacleAt.Nonconformance => $"{root}/nonconformances/{obstacle.Thing}",
            ObstacleAt.PunchItem => $"{root}/punch-list?item={obstacle.Thing}",
            ObstacleAt.Photo => $"{root}/step/{obstacle.Step}/files",
            ObstacleAt.Witness => $"{root}/witness",
            ObstacleAt.AsBuilt => $"{root}/as-built",
            _ => $"{root}/release/{obstacle.Thing}",
        };
    }

    /// <summary>The words of the link.</summary>
    public static string Words(Obstacle obstacle)
    {
        ArgumentNullException.ThrowIfNull(obstacle);
        return obstacle.At switch
        {
            ObstacleAt.Checklists => "Plan",
            ObstacleAt.RouteCard => "Route card",
            ObstacleAt.Run => "Run",
            ObstacleAt.Result => obstacle.Thing,
            ObstacleAt.Nonconformance => Domain.Nonconformances.Nonconformance.NameOf(int.Parse(obstacle.Thing, System.Globalization.CultureInfo.InvariantCulture)),
            ObstacleAt.PunchItem => $"Item {obstacle.Thing}",
            ObstacleAt.Photo => "Photos",
            ObstacleAt.Witness => "Witness",
            ObstacleAt.AsBuilt => "As-built list",
            _ => obstacle.Thing,
        };
    }
}

/// <summary>What stands against the release of one hold point, for the table on a sheet.</summary>
public sealed record ObstaclesView(MachineRecord Machine, Domain.Checklists.HoldPoint Hold, System.Collections.Immutable.ImmutableArray<Obstacle> Obstacles, int Table)
{
    /// <summary>"waits for 12 things", "nothing: it is released".</summary>
    public string InWords => Obstacles.Length switch
    {
        0 => Machine.StandingOfHold(Hold).Released is null ? "nothing: it waits for the name of somebody who may release it" : "nothing: it is released",
        1 => "waits for 1 thing",
        var n => FormattableString.Invariant($"waits for {n} things"),
    };

    public static ObstaclesView Of(MachineRecord machine, Domain.Checklists.HoldPoint hold, int table) => new(machine, hold, ReleaseObstacles.Of(machine, hold), table);
}
