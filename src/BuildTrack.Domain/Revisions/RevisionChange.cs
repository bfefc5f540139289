namespace BuildTrack.Domain.Revisions;

/// <summary>The parts of a revision of the checklists, in the order in which changes are listed.</summary>
public enum RevisionPart
{
    Limit,
    LimitTable,
    Characteristic,
    Survey,
    Column,
    Layout,
    Step,
    HoldPoint,
    CertificateScope,
    Model,
    InvalidationRule,
    WorkCentre,
    ReworkTrigger,
    CorrectionFigure,
    Component,
    CompanyRule,
    Qualification,
    Kit,
    KitPart,
    Series,
}

/// <summary>What a change of a limit means for results near it.</summary>
public enum LimitDirection
{
    /// <summary>Fewer values are accepted.</summary>
    Tighter,

    /// <summary>More values are accepted.</summary>
    Looser,
}

/// <summary>One difference between two revisions, in words and numbers.</summary>
/// <param name="Id">What it concerns: step 100, limit "class B bed-flatness", column "bed-heights.z".</param>
/// <param name="What">The figure or word that differs: upper limit, hours of class B, name; "all" where the whole is added or removed.</param>
/// <param name="Was">In the earlier revision; null where the whole is added.</param>
/// <param name="Becomes">In the later revision; null where the whole is removed.</param>
/// <param name="Direction">For limits whose numbers can be compared; null elsewhere.</param>
public sealed record RevisionChange(RevisionPart Part, string Id, string What, string? Was, string? Becomes, LimitDirection? Direction)
{
    public bool Added => Was is null;

    public bool Removed => Becomes is null;
}
