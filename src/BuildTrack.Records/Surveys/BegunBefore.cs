using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.SitePacks;
using BuildTrack.Records.Acts;

namespace BuildTrack.Records.Surveys;

/// <summary>A run that was begun without network and is sent when the network is back.</summary>
internal static class BegunBefore
{
    public const string ByAnother = "R-RUN-05";
    public const string TooLong = "R-RUN-06";
    public const string ChangedSince = "R-RUN-07";

    /// <summary>A clock may be set back by so much between the begin and the sending (common practice, no source).</summary>
    private static readonly TimeSpan SetBack = TimeSpan.FromHours(1);

    /// <summary>The rule that forbids this person to send it, or to send it so late; null when none does, and for a run begun on line.</summary>
    public static BrokenRule? WhyNot(string? by, TabletClock? tablet, Caller who)
    {
        if (by is not null && by != who.Person)
        {
            return new BrokenRule(ByAnother, $"This run was begun on a tablet by {by}; only they send it, and {who.Person} is signed in.");
        }

        // By one clock both: how far that is off does not matter.
        return tablet is not { } clock || clock.Sent.Utc - clock.Typed.Utc is var kept && kept <= TimeSpan.FromDays(SitePack.DaysGood) && kept >= -SetBack ? null
            : new BrokenRule(TooLong, kept < TimeSpan.Zero
                ? FormattableString.Invariant($"By its own clock the tablet sent this run {-kept.TotalHours:0.#} h before it was begun: the clock was set back, and nobody can say on which day it was measured. Begin a run on line and have the values put into it.")
                : FormattableString.Invariant($"By the tablet's clock this run was begun {kept.TotalDays:0.#} days before it was sent; a begin without network is good for {SitePack.DaysGood} days, as the site pack is. Begin a run on line and have the values put into it."));
    }

    /// <summary>The rule that forbids it because the bed was worked on after it was begun: taken in now, it would speak for a bed that it never saw. Null when none does.</summary>
    public static BrokenRule? WhyNot(MachineRecord machine, string survey, TabletClock? tablet, Instant now) =>
        tablet is not null && Moment(now, tablet) is var begun && machine.Changes.LastOrDefault(c => c.At > begun && machine.Revision.Invalidation.Any(r => r.Change == c.Change && r.Surveys.Contains(survey))) is { } change
            ? new BrokenRule(ChangedSince, $"The bed of {machine.Serial} was worked on at {change.At.InWords}, after this run was begun on the tablet at about {begun.InWords} ({change.Sentence(machine.Revision)}). What was read before no longer speaks for the bed: measure anew.")
            : null;

    /// <summary>When it was begun by the server's clock: as long before it came in as the tablet kept it.</summary>
    public static Instant Moment(Instant now, TabletClock? tablet) =>
        tablet is null ? now : new Instant(now.Microseconds - Math.Max(0, tablet.Sent.Microseconds - tablet.Typed.Microseconds));
}
