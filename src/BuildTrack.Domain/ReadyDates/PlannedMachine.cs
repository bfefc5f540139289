using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Kits;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Route;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Domain.Witnessing;

namespace BuildTrack.Domain.ReadyDates;

/// <summary>How long work is taken to last: the three ends of the band.</summary>
public enum Pace
{
    Early,
    Likely,
    Late,
}

/// <summary>A long-lead part that is not here yet.</summary>
/// <param name="Ordered">When it was ordered; null while it is not.</param>
/// <param name="Due">yyyy-MM-dd of the supplier's promise; null where none was given.</param>
public sealed record AwaitedPart(string Name, Instant? Ordered, string? Due, int LeadLow, int LeadLikely, int LeadHigh)
{
    /// <summary>Days from order to delivery.</summary>
    public int Lead(Pace pace) => pace switch { Pace.Early => LeadLow, Pace.Likely => LeadLikely, _ => LeadHigh };
}

/// <summary>What is still to be done at a step.</summary>
/// <param name="After">Numbers of the steps it comes after.</param>
/// <param name="Open">It can be worked on now, as far as the steps before it go.</param>
/// <param name="Low">Planned hours for the machine's class at the early end; 0 where none are planned.</param>
/// <param name="Worked">Work recorded since it was last opened again.</param>
/// <param name="Awaits">Parts that are not here: of the purchase all, of another step those that are ordered and built in there.</param>
/// <param name="NotBefore">Until when it waits for conditions, as the bed's temperatures tell; null where they tell nothing.</param>
public sealed record PlannedStep(
    int Number, string Name, string Centre, ImmutableArray<int> After, StepState State, Instant? Since, bool Open, decimal Low, decimal Likely, decimal High, WorkRecorded Worked, StepWait? Wait,
    ImmutableArray<AwaitedPart> Awaits, Instant? NotBefore)
{
    public bool Complete => State is StepState.Released or StepState.NotApplicable;

    /// <summary>Of a step under way at least this part of its hours remains: nobody says that it is done.</summary>
    private const double LeastPart = 0.1;

    /// <summary>Minutes of work that remain.</summary>
    /// <returns>Whole minutes, rounded up.</returns>
    public long Remaining(Pace pace, Instant now)
    {
        if (Complete || State == StepState.Recorded)
        {
            return 0;
        }

        // What is rejected is put right and done again: nobody knows in which time, so the step's own hours are taken.
        var hours = (double)(pace switch { Pace.Early => Low, Pace.Likely => Likely, _ => High });
        var worked = State == StepState.Rejected ? 0 : Worked.Hours(now);
        return (long)Math.Ceiling(Math.Round(60 * (worked > 0 ? Math.Max(hours * LeastPart, hours - worked) : hours), 6));
    }

    /// <summary>Minutes that pass by themselves after the work.</summary>
    public long WaitMinutes(Pace pace) =>
        Wait is null || State == StepState.NotApplicable ? 0 : (long)(60 * (pace switch { Pace.Early => Wait.Low, Pace.Likely => Wait.Likely, _ => Wait.High }));
}

/// <summary>A witness point that nobody was invited to in a way that still counts.</summary>
public sealed record UninvitedPoint(string Hold, string Name, int Step, int NoticeDays);

/// <summary>What the ready date of a machine is worked out from: a part of its record, the same at every hour.</summary>
/// <param name="Promised">yyyy-MM-dd, the day promised last; null where none was.</param>
/// <param name="OnHold">Null where it is not on hold.</param>
/// <param name="Leaves">Number of the step from whose begin on it has left the plant; null where the plan has none.</param>
/// <param name="Left">It has left, or its route is complete.</param>
public sealed record PlannedMachine(
    string Serial, string Class, string Customer, string? Promised, RouteEntry? OnHold, int? Leaves, bool Left, ImmutableArray<WorkCentre> Centres, ImmutableArray<PlannedStep> Steps, KitStanding Kit,
    ImmutableArray<UninvitedPoint> Uninvited)
{
    public PlannedStep Of(int step) => Steps.Single(s => s.Number == step);

    public static PlannedMachine Of(MachineRecord machine)
    {
        ArgumentNullException.ThrowIfNull(machine);
        var (route, kit) = (machine.Route, KitStanding.Of(machine));
        var leaves = machine.Revision.Steps.FirstOrDefault(s => s.Leaves)?.Number;
        return new PlannedMachine(
            machine.Serial, machine.Model.Class, machine.Customer, machine.Promises.LastOrDefault()?.Day, route.OnHold, leaves,
            route.Steps.All(s => s.Complete) || (leaves is { } l && route.Of(l) is { } at && (at.Complete || at.UnderWay)), machine.Revision.WorkCentres,
            [.. route.Steps.Select(s => Step(machine, s, kit))], kit,
            [.. machine.Revision.Holds.Where(h => h.Witness is not null && machine.StandingOfHold(h).Released is null).Where(h => ToInvite(machine, h))
                .Select(h => new UninvitedPoint(h.Id, h.Name, h.Step, h.Witness!.NoticeDays))]);
    }

    private static bool ToInvite(MachineRecord machine, HoldPoint hold) => WitnessStanding.Of(machine, hold) switch
    {
        { Outcome: null, Invitation: null } => true,
        { Outcome.Act: WitnessAct.DoesNotAccept } => true,
        { Outcome.Act: WitnessAct.Present } => hold.Witness!.Statement,
        { Outcome.Act: WitnessAct.DidNotCome } => hold.Witness!.Holds,
        _ => false,
    };

    private static PlannedStep Step(MachineRecord machine, StepStanding standing, KitStanding kit)
    {
        var (step, planned) = (standing.Step, standing.PlannedHours ?? 0);
        var range = step.Range?.GetValueOrDefault(machine.Model.Class);
        var purchase = machine.Revision.Kit?.Purchase == step.Number;
        return new PlannedStep(
            step.Number, step.Name, step.WorkCentre, step.After, standing.State, standing.Since, standing.Open, range?.Low ?? planned, planned, range?.High ?? planned, Since(machine, step.Number), step.Wait,
            [.. kit.Missing.Where(l => purchase || (l.Part.Step == step.Number && l.Entry is not null)).Select(l => new AwaitedPart(
                l.Part.Name, l.Entry?.At, l.Entry?.Due, l.Part.LeadLow, l.Part.LeadLikely, l.Part.LeadHigh))],
            standing.Complete ? null : GradientStanding.WaitingAt(machine, step.Number)?.Forecast?.Ready);
    }

    // Rework begins anew: what was worked before it was opened again is done.
    private static WorkRecorded Since(MachineRecord machine, int step)
    {
        var opened = machine.RouteCard.LastOrDefault(e => e.Step == step && e.Act == RouteAct.Reopen)?.Id ?? 0;
        return RouteStanding.Worked(machine with { RouteCard = [.. machine.RouteCard.Where(e => e.Step == step && e.Id > opened)] }, step);
    }
}
