namespace BuildTrack.Domain.Tests.Route.Walking;

/// <summary>What somebody tries on a walk.</summary>
internal enum WalkKind
{
    Start,
    Pause,
    Finish,
    NotApplicable,
    Reopen,

    /// <summary>Something that the plan knows by name is found at a step; the machine goes back to the step it returns to.</summary>
    SendBack,
    PutOnHold,
    LiftHold,

    /// <summary>Begins to answer the list of a hold point, with or without a helper.</summary>
    Begin,

    /// <summary>Answers the list begun last, and finishes it.</summary>
    Answer,

    /// <summary>Sets the list begun last aside.</summary>
    Discard,

    /// <summary>Works on the part so that its list is to be answered anew.</summary>
    Rework,
    Release,
    Return,

    /// <summary>Raises a nonconformance for something seen at a step.</summary>
    Raise,

    /// <summary>Carries the oldest open nonconformance of a step on until it is closed; the same people each time.</summary>
    Settle,

    /// <summary>Puts an item of class A on the punch list, with an owner.</summary>
    AddItem,

    /// <summary>Closes the oldest open item.</summary>
    CloseItem,

    /// <summary>Issues the certificate of all hold points by hand.</summary>
    Issue,
}

/// <summary>One try.</summary>
/// <param name="Step">The step it is about; 0 for the whole machine.</param>
/// <param name="Helper">Who helps with a list, or owns an item; null for nobody.</param>
/// <param name="Yes">The answer to the question of a list.</param>
/// <param name="Trigger">What sends the machine back; null elsewhere.</param>
internal sealed record WalkAct(WalkKind Kind, int Step, string Person, string? Helper = null, bool Yes = true, string? Trigger = null)
{
    public override string ToString() => $"{Kind} {Trigger}{Step} by {Person}{(Helper is null ? "" : $" with {Helper}")}{(Kind == WalkKind.Answer ? Yes ? ": yes" : ": no" : "")}";
}

/// <summary>How often what was done, and what was refused by which rule: a walk on which nothing happens proves nothing.</summary>
internal sealed class WalkTally
{
    private readonly SortedDictionary<string, int> counts = new(StringComparer.Ordinal);

    /// <param name="answer">Null for an act that was done, else the rule, or <see cref="RouteStatement.WrongRole"/>.</param>
    public void Count(WalkKind kind, string? answer)
    {
        var name = answer ?? kind.ToString();
        counts[name] = Of(name) + 1;
    }

    public void Add(WalkTally other)
    {
        foreach (var (name, count) in other.counts)
        {
            counts[name] = Of(name) + count;
        }
    }

    public int Of(string name) => counts.GetValueOrDefault(name);

    public override string ToString() => string.Join(", ", counts.Select(c => $"{c.Key} {c.Value}"));
}
