using System.Globalization;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Qualifications;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Qualifications;

/// <summary>Puts a person on a list for special work.</summary>
/// <param name="From">yyyy-MM-dd in plant time, as <paramref name="To"/>; both days included.</param>
/// <param name="Evidence">Number of the certificate, or what else shows it.</param>
public sealed record PutOnListRequest(string List, string Person, string From, string To, string Evidence);

/// <summary>Takes an entry off its list before its last day, with the reason.</summary>
public sealed record TakeOffListRequest(long Entry, string Reason);

/// <param name="Entry">Id of the entry.</param>
public sealed record ListReceipt(long Sequence, string Subject, long Entry);

/// <summary>The lists of people for special work. Nothing is changed or deleted: a renewal is a further entry, and taking off keeps the entry with the reason.</summary>
public sealed class QualificationActs(ActRunner acts)
{
    /// <exception cref="NotFoundException">No such person.</exception>
    public Task<ListReceipt> PutOn(Caller who, PutOnListRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.PutOnList, request, key, async act =>
        {
            var faults = MachineActs.Texts(("evidence", request.Evidence));
            faults.AddRange(Days(request.From, request.To));
            var lists = await QualificationReader.Lists(act.Db, ct);
            var list = lists.FirstOrDefault(l => l.Id == request.List);
            if (list is null)
            {
                faults.Add(new InputFault("list", $"'{request.List}'", lists.IsEmpty ? "none: the checklists have no list" : $"one of {string.Join(", ", lists.Select(l => l.Id))}"));
            }

            MachineActs.Throw(faults);
            var person = await act.Db.Persons.AsNoTracking().SingleOrDefaultAsync(p => p.Person == request.Person, ct) ?? throw new NotFoundException($"There is no person {request.Person}.");
            RunRules.Refuse(person.Disabled ? new BrokenRule(QualificationRules.NoAccess, $"The access of {person.Person} has ended; only people with access are put on a list.") : null);
            RunRules.Refuse(QualificationRules.WhyNotPutOn(await QualificationReader.On(act.Db, act.Now, ct), list!, request.Person, request.From, request.To));
            var row = new QualificationRow
            {
                Id = act.NewId(), List = request.List, Person = request.Person, FromDay = request.From, ToDay = request.To, Evidence = request.Evidence.Trim(), By = who.Person, AtUs = act.Now.Microseconds,
            };
            act.Db.Qualifications.Add(row);
            return new ActResult<ListReceipt>(new ListReceipt(act.Sequence, request.Person, row.Id), request.Person, new { request, Entry = row.Id });
        }, ct);

    /// <exception cref="NotFoundException">No such entry.</exception>
    public Task<ListReceipt> TakeOff(Caller who, TakeOffListRequest request, string? key, CancellationToken ct) =>
        acts.Do(who, ActKind.TakeOffList, request, key, async act =>
        {
            MachineActs.Throw(MachineActs.Texts(("reason", request.Reason)));
            var people = await QualificationReader.On(act.Db, act.Now, ct);
            var entry = people.Entries.FirstOrDefault(e => e.Id == request.Entry) ?? throw new NotFoundException($"There is no entry {request.Entry} on any list.");
            RunRules.Refuse(QualificationRules.WhyNotTakeOff(entry, people.Day));
            act.Db.QualificationEnds.Add(new QualificationEndRow
            {
                Id = act.NewId(), EntryId = entry.Id, Day = people.Day, Reason = request.Reason.Trim(), By = who.Person, AtUs = act.Now.Microseconds,
            });
            return new ActResult<ListReceipt>(new ListReceipt(act.Sequence, entry.Person, entry.Id), entry.Person, new { request, entry.List, entry.Person });
        }, ct);

    /// <summary>What is wrong with two days, both included.</summary>
    /// <param name="last">What the last day is called.</param>
    internal static IEnumerable<InputFault> Days(string? from, string? to, string last = "to")
    {
        foreach (var (where, day) in new[] { ("from", from), (last, to) })
        {
            if (!DateOnly.TryParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out _))
            {
                yield return new InputFault(where, string.IsNullOrEmpty(day) ? "nothing" : $"'{day}'", "a day, as in 2026-11-28");
                yield break;
            }
        }

        if (string.CompareOrdinal(to, from) < 0)
        {
            yield return new InputFault(last, $"{to}", $"{from} or a later day");
        }
    }
}
