using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Files;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Surveys;

/// <summary>A file with a header of its own: what it has, what the survey needs of it, and what was said of its columns last time.</summary>
/// <param name="FileHash">SHA-256, by which the file is kept until somebody said which column is what.</param>
/// <param name="Names">Its columns that can be named: each has a name that no other one has.</param>
/// <param name="Header">The whole header.</param>
/// <param name="First">The first rows, as they stand there.</param>
/// <param name="Ways">How it can tell the places of the survey.</param>
/// <param name="Last">Null where nothing was said before, or where this file lacks a column that was named.</param>
public sealed record OwnColumns(
    string FileHash, string FileName, ImmutableArray<string> Names, ImmutableArray<string> Header, ImmutableArray<ImmutableArray<string>> First,
    ImmutableArray<PlaceWay> Ways, ImmutableArray<NeededColumn> Needed, RememberedColumns? Last);

/// <summary>A column of the survey that a file has to hold.</summary>
/// <param name="Units">What its numbers may be meant in; first what the instrument shows.</param>
public sealed record NeededColumn(string Id, string Title, ImmutableArray<string> Units);

/// <summary>What was said of the columns when a file of the same instruments was recorded last.</summary>
/// <param name="Instruments">"PWR-01".</param>
public sealed record RememberedColumns(ColumnMapping Mapping, string Instruments, string Person, Instant At);

/// <summary>Looks at files with a header of their own. It records nothing.</summary>
public sealed class OwnColumnsLook(FileStore files, Store store)
{
    /// <summary>The columns of a file; null where its header is ours, or where it is no table. The file is kept by its hash.</summary>
    public async Task<OwnColumns?> Look(Caller who, string serial, long run, string fileName, ReadOnlyMemory<byte> bytes, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var at = await RunPlace.Find(db, serial, run, ct);
        RunRules.Refuse(RunRules.WhyNotRecord(at, who));
        if (!at.TakesFiles || SurveyFileText.Decode(new SurveyFileFaults(fileName), bytes.Span) is not { } text
            || SurveyFileHeader.IsOurs(text, at.Numbers.Select(n => n.Column.Id)) || OwnHeader.Of(text) is not { } header)
        {
            return null;
        }

        var places = at.FilePlaces;
        var last = await Last(db, at, ct);
        var fits = last is not null && header.HasAll(last.Mapping)
            && !last.Mapping.Faults(at.Survey, places, [.. at.Numbers.Select(n => (n.Column.Id, n.Unit))]).Any();
        return new OwnColumns(
            await files.Put(bytes, ct), fileName, [.. header.Names.Where(n => n.Length > 0 && header.Where(n).Length == 1)], header.Names, header.First,
            ColumnMapping.WaysOf(at.Survey, places),
            [.. at.Numbers.Select(n => new NeededColumn(n.Column.Id, n.Column.Title, ColumnMapping.UnitsFor(n.Unit)))],
            fits ? last : null);
    }

    /// <summary>The bytes of a file that was looked at.</summary>
    /// <exception cref="BadInputException">There is none of that hash.</exception>
    public async Task<byte[]> Kept(string hash, CancellationToken ct) =>
        (hash is { Length: 64 } && hash.All(char.IsAsciiHexDigitLower) ? await files.Get(hash, ct) : null)
        ?? throw new BadInputException("file", hash is { Length: > 0 } ? Quoted.Of(hash) : "nothing", "the hash of a file that was read here before");

    /// <summary>What was said of the columns of a run's file; null where their header is ours, or where there is no file.</summary>
    public async Task<ColumnMapping?> Of(long run, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var text = await db.Runs.Where(r => r.Id == run).Select(r => r.FileColumns).SingleOrDefaultAsync(ct);
        return text is null ? null : CanonicalJson.Read<ColumnMapping>(text);
    }

    // A run that was set aside may have been so for its columns.
    private static async Task<RememberedColumns?> Last(Db db, RunPlace at, CancellationToken ct)
    {
        ImmutableArray<string> instruments = [.. at.Numbers.Select(n => at.Run.InstrumentFor(n.Column.Quantity)?.Id).OfType<string>().Distinct()];
        if (instruments.IsEmpty)
        {
            return null;
        }

        var runs = db.Runs.Where(r =>
            r.FileColumns != null && r.DiscardedUs == null && db.Measurements.Any(m => m.Id == r.MeasurementId && m.Survey == at.Survey.Id));
        foreach (var instrument in instruments)
        {
            runs = runs.Where(r => db.RunInstruments.Any(i => i.RunId == r.Id && i.Instrument == instrument));
        }

        // The file that was recorded last, not the run that was begun last.
        var found = await runs.Select(r => new
        {
            r.Id, r.Person, r.FileColumns, At = db.Readings.Where(x => x.RunId == r.Id && x.Route == (int)EntryRoute.File).Max(x => (long?)x.AtUs) ?? r.BegunUs,
        }).OrderByDescending(r => r.At).ThenByDescending(r => r.Id).FirstOrDefaultAsync(ct);
        return found is null ? null
            : new RememberedColumns(CanonicalJson.Read<ColumnMapping>(found.FileColumns!), string.Join(", ", instruments), found.Person, new Instant(found.At));
    }
}
