namespace BuildTrack.Domain.Rules;

/// <summary>Why an act is refused: the rule, and a sentence with the numbers.</summary>
/// <param name="Id">R-RELEASE-01 …; each has a test.</param>
public sealed record BrokenRule(string Id, string Sentence)
{
    public override string ToString() => $"{Id} {Sentence}";
}

/// <summary>Carries a refusal out of a use case; nothing was changed.</summary>
public sealed class RefusedException(BrokenRule rule) : Exception(rule.ToString())
{
    public BrokenRule Rule { get; } = rule;
}

/// <summary>One fault of what a person sent: where, what was found, what was expected.</summary>
/// <param name="Where">"bed.csv line 4, column z_mm".</param>
public sealed record InputFault(string Where, string Found, string Expected)
{
    public override string ToString() => $"{Where}: found {Found}, expected {Expected}";
}

/// <summary>Carries all faults of an input out of a use case; nothing was changed.</summary>
public sealed class BadInputException(IReadOnlyList<InputFault> faults) : Exception(string.Join("; ", faults))
{
    public BadInputException(string where, string found, string expected) : this([new InputFault(where, found, expected)]) { }

    public IReadOnlyList<InputFault> Faults { get; } = faults;
}

/// <summary>What was asked for does not exist.</summary>
public sealed class NotFoundException(string what) : Exception(what);

/// <summary>Somebody else changed what this act rests on.</summary>
public sealed class ChangedMeanwhileException(string what, string seen, string now) : Exception($"{what} has changed: you saw {seen}, it is now {now}.")
{
    public string Seen { get; } = seen;

    public string Current { get; } = now;
}
