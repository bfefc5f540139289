using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;

namespace BuildTrack.Records.People;

/// <summary>A second person approves a change of what was agreed.</summary>
/// <param name="Person">Sign-in name.</param>
/// <param name="Password">The second person's own.</param>
/// <param name="Reason">Why it is changed.</param>
public sealed record Approval(string? Person, string? Password, string? Reason);

internal static class SecondPerson
{
    /// <summary>The second person, who has typed the own password; null where nobody approves. Whoever asks needs none, and is refused as approver by the rule.</summary>
    /// <exception cref="Domain.Rules.BadInputException">No reason, or no name.</exception>
    /// <exception cref="Domain.Rules.RefusedException">The password is wrong.</exception>
    public static async Task<Caller?> Demand(this PasswordCheck passwords, Caller who, Approval? approval, CancellationToken ct)
    {
        if (approval is null)
        {
            return null;
        }

        MachineActs.Throw(MachineActs.Texts(("reason", approval.Reason), ("person who approves", approval.Person)));
        return approval.Person == who.Person ? who : await passwords.Demand(approval.Person!, approval.Password, ct);
    }
}
