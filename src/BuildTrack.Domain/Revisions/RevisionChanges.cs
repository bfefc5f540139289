using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Domain.Revisions;

/// <summary>What differs between two revisions: what an administrator reads before approving the later one.</summary>
/// <remarks>
/// The order in which files list things says nothing, and neither do comments; so two revisions of different hash may have no change.
/// From b to a the same changes come out as from a to b, in the same order, with "was" and "becomes" exchanged.
/// </remarks>
public static class RevisionChanges
{
    public const string Whole = "all";

    /// <summary>Whether a change is approved with a reason only: a limit, or what the company lays down for everybody.</summary>
    public static bool NeedsReason(RevisionChange change) => change.Part is RevisionPart.Limit or RevisionPart.LimitTable or RevisionPart.CompanyRule;

    public static ImmutableArray<RevisionChange> Between(ChecklistRevision from, ChecklistRevision to)
    {
        var (before, after) = (ById(from), ById(to));
        return [.. before.Keys.Union(after.Keys)
            .OrderBy(k => k.Part).ThenBy(k => k.Rank).ThenBy(k => k.Id, StringComparer.Ordinal)
            .SelectMany(key => OfOne(before.GetValueOrDefault(key), after.GetValueOrDefault(key)))];
    }

    // A faulty set may name one thing twice; the loader refuses it, and here the last one counts.
    private static Dictionary<ThingKey, Thing> ById(ChecklistRevision revision)
    {
        var things = new Dictionary<ThingKey, Thing>();
        foreach (var thing in RevisionThings.Of(revision))
        {
            things[thing.Key] = thing;
        }

        return things;
    }

    private static IEnumerable<RevisionChange> OfOne(Thing? before, Thing? after)
    {
        var key = (before ?? after)!.Key;
        if (before is null || after is null)
        {
            yield return new RevisionChange(key.Part, key.Id, Whole, before?.InWords, after?.InWords, null);
            yield break;
        }

        foreach (var name in before.Facts.Concat(after.Facts).Select(f => f.Name).Distinct().OrderBy(RankOf).ThenBy(n => n, StringComparer.Ordinal))
        {
            var (was, becomes) = (before.Fact(name), after.Fact(name));
            if ((was?.Compared ?? Thing.None) != (becomes?.Compared ?? Thing.None))
            {
                yield return new RevisionChange(key.Part, key.Id, name, was?.Text ?? Thing.None, becomes?.Text ?? Thing.None, Direction(was, becomes));
            }
        }

        // Sorted by where the fact stands in the thing, whichever of the two has it.
        int RankOf(string name) => Math.Max(before.RankOf(name), after.RankOf(name));
    }

    private static LimitDirection? Direction(Fact? was, Fact? becomes)
    {
        if ((was ?? becomes)?.Strictness is null)
        {
            return null;
        }

        var (before, after) = (was?.Strictness ?? [], becomes?.Strictness ?? []);
        if (before.Length != after.Length || (was?.Unit is { } one && becomes?.Unit is { } other && one != other))
        {
            return null;
        }

        var steps = before.Zip(after, (b, a) => a.CompareTo(b)).Where(s => s != 0).ToArray();
        return steps.Length == 0 ? null : steps.All(s => s > 0) ? LimitDirection.Tighter : steps.All(s => s < 0) ? LimitDirection.Looser : null;
    }
}
