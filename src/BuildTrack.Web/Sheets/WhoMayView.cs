using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Qualifications;

namespace BuildTrack.Web.Sheets;

/// <summary>Who stands on the list that special work or a hold point asks for.</summary>
/// <param name="What">"Released", "Begun and finished": what people on the list do.</param>
public sealed record WhoMayView(SheetPage Page, QualifiedPeople People, Qualification List, string What)
{
    /// <summary>The view of a list by its id; null where none is asked for, or the plan does not have it.</summary>
    public static WhoMayView? Of(SheetPage page, QualifiedPeople people, ChecklistRevision revision, string? list, string what) =>
        revision.FindQualification(list) is { } found ? new WhoMayView(page, people, found, what) : null;

    /// <summary>"Renna Tallworth to 2026-12-18, expires in 20 days".</summary>
    public string Line(ListEntry entry) =>
        People.DaysLeft(entry) <= Page.Plant.DueDays ? $"{Page.NameOf(entry.Person)} to {entry.To}, {Expiry(People, entry)}" : $"{Page.NameOf(entry.Person)} to {entry.To}";

    /// <summary>"expires in 20 days", "taken off 2026-11-02: eye test overdue", "from 2026-12-01".</summary>
    public static string Expiry(QualifiedPeople people, ListEntry entry) =>
        entry.TakenOff is { } off ? $"taken off {off.Day}: {off.Reason}"
        : string.CompareOrdinal(entry.From, people.Day) > 0 ? $"from {entry.From} on"
        : people.DaysLeft(entry) switch
        {
            < 0 and var over => $"expired {-over} {(over == -1 ? "day" : "days")} ago",
            0 => "expires today",
            1 => "expires in 1 day",
            var left => $"expires in {left} days",
        };
}
