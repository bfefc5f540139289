using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Certificates;

/// <summary>By which name each of the plant's people stands on a customer's copy: "technician 1", numbered as they are met. Where names are disclosed, everybody keeps the own.</summary>
/// <remarks>The customer's own people are never asked about here: they keep their names.</remarks>
internal sealed class CopyNames
{
    private readonly ImmutableSortedDictionary<string, CertifiedPerson> people;
    private readonly bool withheld;
    private readonly Dictionary<string, string> given = new(StringComparer.Ordinal);
    private readonly Dictionary<string, CertifiedPerson> known = new(StringComparer.Ordinal);
    private readonly (Regex Name, string Person)[] typed, spoken;

    public CopyNames(ImmutableSortedDictionary<string, CertifiedPerson> people, bool withheld)
    {
        (this.people, this.withheld) = (people, withheld);
        // The longest first, so that a name within another does not tear it.
        spoken = [.. people.OrderByDescending(p => p.Value.Name.Length).ThenBy(p => p.Key, StringComparer.Ordinal).Where(p => p.Value.Name.Length > 0).Select(p => (Whole(p.Value.Name), p.Key))];
        typed = [.. spoken, .. people.Keys.OrderByDescending(k => k.Length).ThenBy(k => k, StringComparer.Ordinal).Select(k => (Whole(k), k))];
    }

    /// <summary>Those who stand on the copy.</summary>
    public ImmutableSortedDictionary<string, CertifiedPerson> Known => withheld ? known.ToImmutableSortedDictionary(StringComparer.Ordinal) : people;

    /// <summary>The name a person is known by: "technician-1" for a sign-in name.</summary>
    public string Of(string person)
    {
        if (!withheld)
        {
            return person;
        }

        if (given.TryGetValue(person, out var name))
        {
            return name;
        }

        var roles = people.TryGetValue(person, out var one) ? one.Roles : "";
        var role = roles.Split([' ', ','], StringSplitOptions.RemoveEmptyEntries).FirstOrDefault() ?? "person";
        var number = (given.Values.Count(v => v.StartsWith(role + "-", StringComparison.Ordinal)) + 1).ToString(CultureInfo.InvariantCulture);
        known[$"{role}-{number}"] = new CertifiedPerson($"{role} {number}", roles);
        return given[person] = $"{role}-{number}";
    }

    public string? Maybe(string? person) => person is null ? null : Of(person);

    /// <summary>The owner of an item: one of the plant's people by the other name, an outside party by its own.</summary>
    public string Own(string owner) => people.ContainsKey(owner) ? Of(owner) : owner;

    /// <summary>A text that a person typed, with the names in it replaced, in full or as they sign in.</summary>
    public string? Text(string? text) => text is null ? null : Replace(text, typed);

    /// <summary>A sentence of a calculation. A sign-in name may be a word of it, so only full names are looked for.</summary>
    public string Sentence(string text) => Replace(text, spoken);

    /// <summary>A requirement, with who approved it.</summary>
    public Requirement In(Requirement requirement) =>
        requirement with { Origin = Text(requirement.Origin)!, Edition = Text(requirement.Edition)!, ApprovedBy = Maybe(requirement.ApprovedBy) };

    private string Replace(string text, (Regex Name, string Person)[] names)
    {
        if (!withheld)
        {
            return text;
        }

        foreach (var (name, person) in names)
        {
            text = name.Replace(text, _ => known[Of(person)].Name);
        }

        return text;
    }

    // A full stop or hyphen may be part of a sign-in name, and a full stop may end a sentence.
    private static Regex Whole(string name) => new($@"(?<![\w])(?<![\w][.-]){Regex.Escape(name)}(?![\w]|[.-][\w])", RegexOptions.CultureInvariant | RegexOptions.IgnoreCase);
}

/// <summary>The texts of a run as a customer's copy has them.</summary>
/// <param name="reasons">The reasons why runs were set aside are withheld.</param>
internal sealed class RunTexts(CopyNames names, bool reasons)
{
    public CopyNames Names => names;

    public Run In(Run run) => run with
    {
        Person = names.Of(run.Person),
        Helpers = [.. run.Helpers.Select(names.Of)],
        Checks = [.. run.Checks.Select(c => c with { Found = names.Text(c.Found)! })],
        Conditions = run.Conditions is { } c ? c with { Note = names.Text(c.Note), Anyway = names.Text(c.Anyway) } : null,
        Instruments = [.. run.Instruments.Select(i => i with { Holder = names.Text(i.Holder), IntervalReason = names.Text(i.IntervalReason), Laboratory = names.Text(i.Laboratory) })],
        Discarded = run.Discarded is { } d ? d with { Person = names.Of(d.Person), Reason = reasons ? CustomersCopy.NotDisclosed : names.Text(d.Reason)! } : null,
        Readings = [.. run.Readings.Select(r => r with { Person = names.Of(r.Person), Reason = names.Text(r.Reason), Value = r.Value.Kind == ValueKind.Text ? r.Value with { Typed = names.Text(r.Value.Typed)! } : r.Value })],
    };
}
