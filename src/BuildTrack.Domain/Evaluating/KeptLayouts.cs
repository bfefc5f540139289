using System.Collections.Concurrent;

namespace BuildTrack.Domain.Evaluating;

/// <summary>What follows from a layout alone, kept for the next calculation over it: a machine is calculated many times, its stations stay.</summary>
internal static class KeptLayouts
{
    /// <summary>A plant has a few dozen layouts; beyond this many all are forgotten and made anew.</summary>
    private const int Most = 64;

    private static readonly ConcurrentDictionary<string, object> Kept = new(StringComparer.Ordinal);

    /// <summary>What was made for this key, or makes it.</summary>
    /// <param name="key">Names the kind of thing and holds everything that it is made from.</param>
    public static T Of<T>(string key, Func<T> make)
        where T : class
    {
        if (Kept.TryGetValue(key, out var kept))
        {
            return (T)kept;
        }

        if (Kept.Count >= Most)
        {
            Kept.Clear();
        }

        return (T)Kept.GetOrAdd(key, _ => make());
    }
}
