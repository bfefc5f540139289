using System.Collections.Immutable;
using BuildTrack.Domain.People;
using BuildTrack.Records.People;

namespace BuildTrack.Web.Sheets;

/// <summary>The fields by which a second person approves a change of what was agreed: reason, name, password.</summary>
/// <param name="Seconds">Who could approve.</param>
/// <param name="Typed">What was typed before, the password never.</param>
public sealed record ApprovalView(ImmutableArray<PersonLine> Seconds, ApprovalForm Typed)
{
    /// <summary>Everybody else with the right to an act.</summary>
    public static async Task<ImmutableArray<PersonLine>> SecondsFor(SheetPage page, PeopleReader people, string act, CancellationToken ct)
    {
        ArgumentNullException.ThrowIfNull(page);
        ArgumentNullException.ThrowIfNull(people);
        return [.. (await people.List(ct)).Where(p => !p.Disabled && p.Person != page.Me.Person && Permissions.May(p.Roles, act))];
    }
}

/// <summary>What is typed into these fields.</summary>
public abstract class ApprovalForm
{
    public string? Reason { get; set; }

    public string? Approver { get; set; }

    public string? ApproverPassword { get; set; }

    /// <summary>Null where nobody was chosen.</summary>
    protected Approval? Approval => string.IsNullOrEmpty(Approver) ? null : new Approval(Approver, ApproverPassword, Reason);
}
