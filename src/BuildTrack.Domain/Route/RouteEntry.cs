using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;

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

/// <summary>A rework that the plan knows by name.</summary>
/// <param name="Trigger">Its name in the machine's edition of the plan.</param>
/// <param name="FoundAt">Number of the step it was found at.</param>
public sealed record SentBack(string Trigger, int FoundAt);

/// <summary>One line of a machine's route card. Lines are added, never changed.</summary>
/// <param name="Step">Number of the step; null for the machine as a whole.</param>
/// <param name="Reason">For a pause, a step that is not applicable, rework and a hold: why.</param>
/// <param name="Back">For a step that a rework known by name opened again; null elsewhere.</param>
public sealed record RouteEntry(long Id, int? Step, RouteAct Act, string Person, Instant At, string? Reason, SentBack? Back = null)
{
    /// <summary>Why, with what was found and where; null where nothing was said.</summary>
    public string? Because(ChecklistRevision revision) =>
        Back is { } back ? $"{revision.FindRework(back.Trigger)?.Title ?? back.Trigger}, found at {back.FoundAt}: {Reason}" : Reason;
}
