using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Nonconformances;

namespace BuildTrack.Web.Sheets;

/// <summary>How sheets say who approved a concession, and the words of a nonconformance's choices.</summary>
public static class ConcessionWords
{
    /// <summary>"Approved by Maren Ostley (inspector), 25 Nov 2026 06:40; by …; consent of …".</summary>
    public static string Approved(Concession concession, Func<string, string> name, PlantTime clock) =>
        $"Approved {string.Join("; ", concession.Approvals.Select(a => $"by {name(a.Person)} ({string.Join(", ", a.Detail.Roles)}), {clock.Short(a.At)}"))}"
        + (concession.Consent is { Detail.Consent: { } consent } entry ? $"; consent of the customer by {consent.Person}, letter {consent.Letter}, recorded by {name(entry.Person)}, {clock.Short(entry.At)}" : "");

    public static string Severity(Severity severity) => severity switch
    {
        Domain.Nonconformances.Severity.Critical => "critical: safety",
        Domain.Nonconformances.Severity.Major => "major: function or contract",
        _ => "minor: appearance or a document",
    };

    /// <summary>What an entry says was done.</summary>
    public static string Act(NonconformanceEntry entry) => entry.Act switch
    {
        NonconformanceAct.Contain => "contained",
        NonconformanceAct.Propose => $"proposed: {Approval.Word(entry.Detail.Disposition!.Value)}",
        NonconformanceAct.Approve => "approved",
        NonconformanceAct.Consent => "the customer consents",
        NonconformanceAct.GiveBack => "given back",
        NonconformanceAct.Action => "action done",
        NonconformanceAct.Verify => "verified",
        NonconformanceAct.Close => "closed",
        _ => throw new ArgumentOutOfRangeException(nameof(entry), entry.Act, "There is no such act."),
    };
}
