using BuildTrack.Domain.Rules;

namespace BuildTrack.Domain.People;

/// <summary>Changing the person at a shared tablet by badge or PIN: who may, and what such a session may not do.</summary>
public static class PinRules
{
    public const string NoSignature = "R-PIN-01";
    public const string NotEnrolled = "R-PIN-02";
    public const string TooEasy = "R-PIN-03";
    public const string Locked = "R-PIN-04";
    public const string EndedAlready = "R-PIN-05";

    /// <summary>Digits of a PIN, dimensionless.</summary>
    public const int Length = 6;

    /// <summary>Wrong PINs until the password is asked, dimensionless.</summary>
    public const int Attempts = 5;

    /// <summary>Technician's acts that hand something over, are a person's own, or confirm what another person did: they want the password, too.</summary>
    private static readonly HashSet<string> OwnActs = [ActKind.IssueToken, ActKind.SetPin, ActKind.Delegate, ActKind.EndDelegation, ActKind.ComparePaper];

    /// <summary>The act may be done in a session begun by badge or PIN: work a technician does, whatever else the person may do.</summary>
    public static bool MayByPin(string act) => Permissions.May([Roles.Technician], act) && !OwnActs.Contains(act);

    /// <summary>The rule that forbids an act in a session begun by badge or PIN; null when none does.</summary>
    public static BrokenRule? WhyNot(string act) => MayByPin(act) ? null
        : new BrokenRule(NoSignature, $"A badge or PIN is for measuring and for work on steps. It is not enough to {act}, not even with the password beside it: sign in with the password, under Next person.");

    public static BrokenRule Unenrolled { get; } = new(NotEnrolled, "This tablet is not enrolled: here the person changes by password only. An administrator enrols it on its own screen, under Tablets.");

    public static BrokenRule WhyLocked(string name) =>
        new(Locked, $"{Attempts} wrong PINs for {name}: the PIN is locked until {name} has signed in with the password");

    /// <summary>Why a PIN is not taken; null when it is.</summary>
    /// <param name="pin">As typed.</param>
    public static BrokenRule? WhyNotPin(string? pin)
    {
        if (pin is not { Length: Length } || !pin.All(char.IsAsciiDigit))
        {
            return new BrokenRule(TooEasy, $"A PIN has {Length} digits, found {(string.IsNullOrEmpty(pin) ? "nothing" : $"{pin.Length} characters{(pin.All(char.IsAsciiDigit) ? "" : ", not all digits")}")}.");
        }

        var steps = pin.Zip(pin.Skip(1), (a, b) => (b - a + 10) % 10).Distinct().ToArray();
        var why = steps is [0] ? "one digit only"
            : steps is [1] or [9] ? "digits in a row"
            : pin[..3] == pin[3..] || (pin[..2] == pin[2..4] && pin[2..4] == pin[4..]) ? "the same digits over again"
            : pin.Distinct().Count() == 2 && steps.Length <= 2 ? "two digits only"
            : pin.SequenceEqual(pin.Reverse()) ? "the same forwards and backwards"
            : IsDay(pin) ? "a date"
            : null;
        return why is null ? null : new BrokenRule(TooEasy, $"{Words(why)}: this PIN is guessed at once. Choose another.");
    }

    private static string Words(string why) => char.ToUpperInvariant(why[0]) + why[1..];

    // 150384 or 840315: a birthday is what is tried first.
    private static bool IsDay(string pin)
    {
        int At(int i) => ((pin[i] - '0') * 10) + pin[i + 1] - '0';
        bool Day(int day, int month) => day is >= 1 and <= 31 && month is >= 1 and <= 12;
        return Day(At(0), At(2)) || Day(At(2), At(0)) || Day(At(4), At(2));
    }
}
