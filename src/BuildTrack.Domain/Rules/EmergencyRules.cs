using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Qualifications;

namespace BuildTrack.Domain.Rules;

/// <summary>The one way past the rule that nobody releases what they measured: a reason, and a second named person who could release it and confirms. Nothing else is passed by it.</summary>
public static class EmergencyRules
{
    public const string NotNeeded = "R-EMERG-01";
    public const string SamePerson = "R-EMERG-02";
    public const string ConfirmerMeasured = "R-EMERG-03";
    public const string ConfirmerMayNot = "R-EMERG-04";

    /// <summary>The rule that forbids this release in an emergency; null when none does. Both passwords are checked by the caller.</summary>
    /// <param name="confirmer">Sign-in name of the second person.</param>
    /// <param name="confirmerMayRelease">Whether the second person's roles allow a release.</param>
    public static BrokenRule? WhyNot(MachineRecord machine, HoldPoint hold, string person, string confirmer, bool confirmerMayRelease, QualifiedPeople people)
    {
        if (ReleaseRules.WhyNotRelease(machine, hold, person, people, inEmergency: true) is { } other)
        {
            return other;
        }

        if (ReleaseRules.WhyNotRelease(machine, hold, person, people) is null)
        {
            return new BrokenRule(NotNeeded, $"{person} releases {hold.Id} of {machine.Serial} without an emergency; nothing stands against it.");
        }

        if (confirmer == person)
        {
            return new BrokenRule(SamePerson, $"{hold.Id} of {machine.Serial} is released in an emergency by two people; {person} cannot confirm the own release.");
        }

        if (!confirmerMayRelease)
        {
            return new BrokenRule(ConfirmerMayNot, $"{confirmer} has no right to release {hold.Id} of {machine.Serial}, and so cannot confirm it.");
        }

        return ReleaseRules.HandsOf(machine, hold).FirstOrDefault(h => h.Person == confirmer) is { Person: not null } hand
            ? new BrokenRule(ConfirmerMeasured, $"{confirmer} had a hand in run {hand.Run.No} of survey {hand.Measurement.Survey} too; {hold.Id} of {machine.Serial} is confirmed by somebody who had none.")
            : QualificationRules.WhyNotRelease(machine, hold, confirmer, people);
    }
}
