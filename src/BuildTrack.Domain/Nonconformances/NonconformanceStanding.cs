using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.People;

namespace BuildTrack.Domain.Nonconformances;

/// <summary>Where a nonconformance stands, worked out from its entries.</summary>
/// <param name="Since">When it came into this state.</param>
/// <param name="Proposal">The disposition that is proposed or approved; null before, and after it was given back.</param>
/// <param name="Approvals">The approvals of that proposal.</param>
public sealed record NonconformanceStanding(
    NonconformanceState State, Instant Since, NonconformanceEntry? Proposal, ImmutableArray<NonconformanceEntry> Approvals, NonconformanceEntry? Consent,
    NonconformanceEntry? Action, Concession? Concession)
{
    public Disposition? Disposition => Proposal?.Detail.Disposition;

    /// <summary>The state in the words of the shop.</summary>
    public string Word => State switch
    {
        NonconformanceState.Raised => "raised",
        NonconformanceState.Contained => "contained",
        NonconformanceState.DispositionProposed => "disposition proposed",
        NonconformanceState.DispositionApproved => "disposition approved",
        NonconformanceState.ActionDone => "action done",
        NonconformanceState.Verified => "verified",
        NonconformanceState.Closed => "closed",
        _ => throw new InvalidOperationException($"There is no word for the state {State}."),
    };

    public static NonconformanceStanding Of(Nonconformance of)
    {
        var now = new NonconformanceStanding(NonconformanceState.Raised, of.At, null, [], null, null, null);
        foreach (var entry in of.Entries)
        {
            now = now.After(entry, of);
        }

        return now;
    }

    /// <summary>The roles whose approval is still to come; where either of two would do, both.</summary>
    public ImmutableArray<string> Missing => Disposition is { } disposition ? Approval.Missing(disposition, Approvals) : [];

    /// <summary>The customer must agree, and has not yet.</summary>
    public bool ConsentMissing(Nonconformance of) => Disposition is { } disposition && Consent is null && Approval.NeedsConsent(disposition, of.FromContract);

    /// <summary>Whom it waits for, and what that person does; empty when closed.</summary>
    /// <param name="name">A person's name by sign-in name.</param>
    public string WaitsFor(Nonconformance of, Func<string, string> name) => State switch
    {
        NonconformanceState.Raised => "technician or inspector: contain it",
        NonconformanceState.Contained => "inspector, planner or administrator: propose a disposition",
        NonconformanceState.DispositionProposed => string.Join("; ", new[]
        {
            Missing.IsEmpty ? "" : $"{Approvers(name)}: approve",
            ConsentMissing(of) ? "the customer: consent" : "",
        }.Where(t => t.Length > 0)),
        NonconformanceState.DispositionApproved => "technician, inspector or planner: record the action",
        NonconformanceState.ActionDone => $"inspector other than {name(Action!.Person)}: verify",
        NonconformanceState.Verified => "inspector: close it",
        _ => "",
    };

    private string Approvers(Func<string, string> name)
    {
        var (roles, needed) = (Missing, Approval.Roles(Disposition!.Value));
        var not = needed.Length == 1 ? Proposal!.Person : Approvals.IsEmpty ? null : Approvals[0].Person;
        return string.Join(Approvals.IsEmpty ? " and " : " or ", roles) + (not is null ? "" : $" other than {name(not)}");
    }

    private NonconformanceStanding After(NonconformanceEntry entry, Nonconformance of)
    {
        var at = entry.At;
        return entry.Act switch
        {
            NonconformanceAct.Contain => this with { State = NonconformanceState.Contained, Since = at },
            NonconformanceAct.Propose => this with { State = NonconformanceState.DispositionProposed, Since = at, Proposal = entry, Approvals = [], Consent = null },
            NonconformanceAct.Approve => (this with { Approvals = Approvals.Add(entry) }).WhenComplete(entry, of),
            NonconformanceAct.Consent => (this with { Consent = entry }).WhenComplete(entry, of),
            NonconformanceAct.GiveBack when State == NonconformanceState.ActionDone => this with { State = NonconformanceState.DispositionApproved, Since = at, Action = null },
            NonconformanceAct.GiveBack => this with { State = NonconformanceState.Contained, Since = at, Proposal = null, Approvals = [], Consent = null },
            NonconformanceAct.Action => this with { State = NonconformanceState.ActionDone, Since = at, Action = entry },
            NonconformanceAct.Verify => this with { State = NonconformanceState.Verified, Since = at },
            NonconformanceAct.Close => this with { State = NonconformanceState.Closed, Since = at },
            _ => throw new InvalidOperationException($"There is no such act: {entry.Act}."),
        };
    }

    private NonconformanceStanding WhenComplete(NonconformanceEntry entry, Nonconformance of)
    {
        if (!Missing.IsEmpty || ConsentMissing(of))
        {
            return this;
        }

        return this with
        {
            State = NonconformanceState.DispositionApproved,
            Since = entry.At,
            Concession = entry.Concession is { } number ? new Concession(number, of, Proposal!, Approvals, Consent, entry.At, entry.Id) : null,
        };
    }
}

/// <summary>Who approves which disposition (trade practice; engineering is the administrator's role here).</summary>
public static class Approval
{
    /// <summary>The roles that must approve, each by a person of its own.</summary>
    public static ImmutableArray<string> Roles(Disposition disposition) => disposition switch
    {
        Disposition.Rework => [People.Roles.Inspector],
        Disposition.Repair or Disposition.Concession or Disposition.DeviationPermit => [People.Roles.Inspector, People.Roles.Administrator],
        Disposition.Scrap => [People.Roles.Inspector, People.Roles.Planner],
        Disposition.Regrade or Disposition.ReturnToSupplier => [People.Roles.Planner],
        _ => throw new ArgumentOutOfRangeException(nameof(disposition), disposition, "There is no such disposition."),
    };

    /// <summary>The customer agrees to use what is not as the contract says.</summary>
    public static bool NeedsConsent(Disposition disposition, bool fromContract) => fromContract && Permits(disposition);

    /// <summary>A concession or a deviation permit: it takes a number, and what it is given for may be released.</summary>
    public static bool Permits(Disposition disposition) => disposition is Disposition.Concession or Disposition.DeviationPermit;

    /// <summary>The roles that a further person could still fill.</summary>
    public static ImmutableArray<string> Missing(Disposition disposition, ImmutableArray<NonconformanceEntry> approvals)
    {
        var needed = Roles(disposition);
        bool Given(string role, string? but = null) => approvals.Any(a => a.Person != but && a.Detail.Roles.Contains(role));
        if (needed.Length == 1 || approvals.IsEmpty)
        {
            return needed.Length == 1 && Given(needed[0]) ? [] : needed;
        }

        // Two roles by two persons, whoever comes first; somebody who holds both fills either.
        return approvals.Any(a => a.Detail.Roles.Contains(needed[0]) && Given(needed[1], but: a.Person)) ? []
            : [.. needed.Where(role => needed.Any(other => other != role && Given(other)))];
    }

    /// <summary>"use under concession", "return to supplier".</summary>
    public static string Word(Disposition disposition) => disposition switch
    {
        Disposition.Rework => "rework",
        Disposition.Repair => "repair",
        Disposition.Concession => "use under concession",
        Disposition.DeviationPermit => "deviation permit",
        Disposition.Regrade => "regrade",
        Disposition.Scrap => "scrap",
        Disposition.ReturnToSupplier => "return to supplier",
        _ => throw new ArgumentOutOfRangeException(nameof(disposition), disposition, "There is no such disposition."),
    };
}
