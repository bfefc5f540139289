using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;

namespace BuildTrack.Domain.InspectionPlans;

/// <summary>What a line of the inspection and test plan asks for.</summary>
public enum PlanLineKind
{
    /// <summary>A result that is calculated from readings and compared with a limit.</summary>
    Check,

    /// <summary>A yes/no list that a person answers.</summary>
    List,

    /// <summary>A survey that is recorded and not judged.</summary>
    Survey,

    /// <summary>A required photo.</summary>
    Photo,

    /// <summary>A record that the plant looks at afterwards.</summary>
    Review,

    /// <summary>The customer's witness at a hold point.</summary>
    Witness,

    /// <summary>A hold point.</summary>
    Hold,
}

/// <summary>The kind of a point, for the plant or for the customer (trade practice).</summary>
public enum PointType
{
    /// <summary>Work may not go past until released by the named party.</summary>
    Hold,

    /// <summary>The party is invited with the agreed notice; if it does not come, work may go on.</summary>
    Witness,

    /// <summary>The record is looked at; nobody attends.</summary>
    Review,
}

/// <summary>How a line stands.</summary>
public enum PlanLineStatus
{
    NotBegun,

    /// <summary>Something is recorded, not everything.</summary>
    Incomplete,

    /// <summary>Recorded; nothing is judged of it.</summary>
    Recorded,

    Accepted,
    NotProven,
    Rejected,

    /// <summary>Not accepted, and permitted by a concession.</summary>
    Conceded,

    ToBeRepeated,

    /// <summary>A point that only waits for a name.</summary>
    Ready,

    /// <summary>A point that something stands against.</summary>
    Waits,

    Returned,
    Released,

    /// <summary>The customer's witness is invited, and nothing came of it yet.</summary>
    Invited,

    /// <summary>The step is not done on this machine.</summary>
    NotApplicable,
}

/// <summary>One line of a machine's inspection and test plan, and how it stands.</summary>
/// <param name="Number">Unique on the machine: 100-01 for a result, 90-P1 for a photo, 60-R for a review, H11-W for a witness, H11 for a hold point.</param>
/// <param name="Step">The step of the route at which it is done.</param>
/// <param name="What">What is inspected or asked for.</param>
/// <param name="Agreed">The result with its limit; null for a line that is not calculated.</param>
/// <param name="Surveys">What is done on the floor for it.</param>
/// <param name="Hold">The point that it counts for, or is; null for a line that only its step waits for.</param>
/// <param name="Plant">The kind of that point for the plant; null where there is none.</param>
/// <param name="Customer">The kind of that point for the customer; null where the customer has no part in it.</param>
/// <param name="Roles">Who does it, by role.</param>
/// <param name="Qualified">The list that this person stands on; null where anybody with the role does.</param>
/// <param name="Standing">The result; null for a line that is not calculated.</param>
/// <param name="Released">The release of the point; null while it is not released.</param>
/// <param name="Note">The witness's standing, the concession, why it is to be repeated or was returned; null for nothing.</param>
public sealed record PlanLine(
    string Number, PlanLineKind Kind, RouteStep Step, string What, AgreedCharacteristic? Agreed, ImmutableArray<Survey> Surveys, HoldPoint? Hold, PointType? Plant, PointType? Customer,
    ImmutableArray<string> Roles, Qualification? Qualified, PlanLineStatus Status, CharacteristicStanding? Standing, HoldDecision? Released, string? Note)
{
    /// <summary>How it is inspected: the surveys with the class of instrument, passes and features; in words.</summary>
    public string Method => Kind switch
    {
        PlanLineKind.Photo => "photo of the work since the step was last opened",
        PlanLineKind.Review => "record of the step looked at",
        PlanLineKind.Witness => FormattableString.Invariant($"invited {Hold!.Witness!.NoticeDays} working days before the visit"),
        PlanLineKind.Hold => "results, runs and records looked at",
        _ => string.Join("; ", Surveys.Select(MethodOf)),
    };

    /// <summary>The record that it leaves.</summary>
    public string Record => Kind switch
    {
        PlanLineKind.Check => "runs and result sheet",
        PlanLineKind.List => "answered list",
        PlanLineKind.Survey => "runs",
        PlanLineKind.Photo => "photo",
        PlanLineKind.Review => "files of the step, and the review of them",
        PlanLineKind.Witness => Hold!.Witness!.Statement ? "signed statement" : "entry on the witness's presence",
        _ => "release with name and time",
    };

    /// <summary>The status in the words of the shop.</summary>
    public string Word => Status switch
    {
        PlanLineStatus.NotBegun => Kind == PlanLineKind.Witness ? "not invited" : "not begun",
        PlanLineStatus.Incomplete => Kind == PlanLineKind.Review ? "to be looked at" : "incomplete",
        PlanLineStatus.Recorded => Kind == PlanLineKind.Review ? "looked at" : "recorded",
        PlanLineStatus.Accepted => "accepted",
        PlanLineStatus.NotProven => "not proven",
        PlanLineStatus.Rejected => "rejected",
        PlanLineStatus.Conceded => "conceded",
        PlanLineStatus.ToBeRepeated => "to be repeated",
        PlanLineStatus.Ready => "ready for release",
        PlanLineStatus.Waits => "waits",
        PlanLineStatus.Returned => "returned",
        PlanLineStatus.Released => "released",
        PlanLineStatus.Invited => "invited",
        PlanLineStatus.NotApplicable => "not applicable",
        _ => throw new InvalidOperationException($"There is no word for the status {Status}."),
    };

    /// <summary>"H", "W", "R": the letter of a point; a dash for none.</summary>
    public static string Letter(PointType? type) => type switch
    {
        PointType.Hold => "H",
        PointType.Witness => "W",
        PointType.Review => "R",
        _ => "–",
    };

    private static string MethodOf(Survey survey)
    {
        var with = survey.Instruments.IsEmpty ? null : $"instrument for {string.Join(" and ", survey.Instruments)}";
        var passes = survey.Passes == 1 ? null : FormattableString.Invariant($"{survey.Passes} passes{(survey.BothDirections ? ", out and back" : "")}");
        var each = survey.ForEach.IsEmpty ? null : $"each of {string.Join(", ", survey.ForEach)}";
        return string.Join(", ", new[] { survey.Title, with, survey.BaseLengthMm is { } mm ? FormattableString.Invariant($"base {mm:0.###} mm") : null, passes, each }.OfType<string>());
    }
}
