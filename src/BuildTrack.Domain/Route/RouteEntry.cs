using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.Route;

/// <summary>What a person records about a step, or about the whole machine.</summary>
public enum RouteAct
{
    /// <summary>Work on a step begins, or goes on after a pause.</summary>
    Start,

    /// <summary>Work stops for a reason: waiting for material, for conditions, end of shift.</summary>
    Pause,

    /// <summary>The work of the step is done.</summary>
    Finish,

    /// <summary>The step is not done on this machine, with the reason; the person who records it approves it.</summary>
    NotApplicable,

    /// <summary>A finished step is worked on again: rework, with what led back to it.</summary>
    Reopen,

    /// <summary>The whole machine is on hold, with the reason.</summary>
    PutOnHold,

    /// <summary>The hold on the machine is lifted.</summary>
    LiftHold,
}

/// <summary>One line of a machine's route card. Lines are added, never changed.</summary>
/// <param name="Step">Number of the step; null for the machine as a whole.</param>
/// <param name="Reason">For a pause, a step that is not applicable, rework and a hold: why.</param>
public sealed record RouteEntry(long Id, int? Step, RouteAct Act, string Person, Instant At, string? Reason);
