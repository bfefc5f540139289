using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Checklists;

/// <summary>What became of a set of checklist files: a revision without a fault, or all faults and no revision.</summary>
public sealed record ChecklistLoadResult(ChecklistRevision? Revision, ImmutableArray<ChecklistFault> Faults);

/// <summary>One fault of one checklist file.</summary>
/// <param name="File">Path below the checklist folder, with '/'.</param>
/// <param name="Line">From 1.</param>
/// <param name="Column">Character in the line, from 1.</param>
public sealed record ChecklistFault(string File, int Line, int Column, string Found, string Expected)
{
    public override string ToString() => FormattableString.Invariant($"{File} line {Line}, column {Column}: found {Found}, expected {Expected}");
}

/// <summary>Collects faults while files are read; order of finding does not matter, they come out by file and place.</summary>
internal sealed class LoaderFaults
{
    /// <summary>Nobody mends more than this at a time.</summary>
    public const int Cap = 200;

    // A damaged file of many thousand nodes could give as many faults; sorting those few the cap leaves needs no more than this.
    private const int Kept = 5_000;

    private readonly List<ChecklistFault> found = [];

    public int Count => found.Count;

    public void Add(string file, YamlNode at, string found, string expected) => Add(file, at.Line, at.Column, found, expected);

    public void Add(string file, int line, int column, string found, string expected)
    {
        if (this.found.Count < Kept)
        {
            this.found.Add(new ChecklistFault(file, line, column, found, expected));
        }
    }

    public ImmutableArray<ChecklistFault> ByPlace() =>
        [.. found.Distinct().OrderBy(f => f.File, StringComparer.Ordinal).ThenBy(f => f.Line).ThenBy(f => f.Column).Take(Cap)];
}
