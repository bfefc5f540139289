using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Files;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.StepFiles;

/// <summary>Reads photos and files of steps.</summary>
public sealed class StepFileReader(Store store, FileStore files)
{
    /// <summary>The content of a file of a machine, checked against its hash.</summary>
    /// <exception cref="NotFoundException">The machine has no such file.</exception>
    /// <exception cref="FileNotSoundException">The content is missing, or is no longer what was kept.</exception>
    public async Task<(StepFile File, byte[] Bytes)> Open(string serial, string hash, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var row = await db.StepFiles.AsNoTracking().Where(f => f.Serial == serial && f.Hash == hash).OrderBy(f => f.Id).FirstOrDefaultAsync(ct)
            ?? throw new NotFoundException($"{serial} has no such file.");
        var file = ToFile(row, null);
        try
        {
            return (file, await files.Get(hash, ct) ?? throw new FileNotSoundException(file, "it is missing"));
        }
        catch (InvalidDataException)
        {
            throw new FileNotSoundException(file, "its content on disk was changed");
        }
    }

    /// <summary>The first file of a machine whose content is missing or changed, with why; null while all are sound.</summary>
    internal static async Task<string?> WhyNotSound(FileStore files, IEnumerable<StepFile> of, CancellationToken ct)
    {
        foreach (var file in of.DistinctBy(f => f.Hash))
        {
            if (await files.WhyNotSound(file.Hash, ct) is { } why)
            {
                return $"{file.InWords}: {why}";
            }
        }

        return null;
    }

    internal static async Task<ImmutableArray<StepFile>> Of(Db db, string serial, CancellationToken ct)
    {
        var rows = await db.StepFiles.AsNoTracking().Where(f => f.Serial == serial).OrderBy(f => f.Id).ToListAsync(ct);
        if (rows.Count == 0)
        {
            return [];
        }

        var aside = (await db.FilesSetAside.AsNoTracking().Where(a => a.Serial == serial).ToListAsync(ct)).ToDictionary(a => a.FileId);
        return [.. rows.Select(r => ToFile(r, aside.GetValueOrDefault(r.Id)))];
    }

    internal static StepFile ToFile(StepFileRow row, FileSetAsideRow? aside) => new(
        row.Id, row.Step, row.Subject, row.Shows, row.Name, row.MediaType, row.Size, row.Hash, row.Person, new Instant(row.AtUs),
        aside is null ? null : new FileSetAside(aside.Id, aside.Person, new Instant(aside.AtUs), aside.Reason),
        row.RunId is null && row.Place is null && row.Nonconformance is null ? null : new FileOf(row.RunId, row.Place, row.Nonconformance));

    internal static StepFileRow ToRow(StepFile file, string serial) => new()
    {
        Id = file.Id, Serial = serial, Step = file.Step, Subject = file.Subject, Shows = file.Shows, Name = file.Name, MediaType = file.MediaType,
        Size = file.Size, Hash = file.Hash, Person = file.Person, AtUs = file.At.Microseconds,
        RunId = file.Of?.Run, Place = file.Of?.Place, Nonconformance = file.Of?.Nonconformance,
    };

    /// <summary>What a file is attached to, as the history names it.</summary>
    internal static string Of(int step) => step.ToString(CultureInfo.InvariantCulture);
}

/// <summary>A file cannot be shown: its content is missing, or is no longer what was kept.</summary>
public sealed class FileNotSoundException(StepFile file, string why)
    : Exception($"The {file.InWords} is not shown: {why}. It was kept as SHA-256 {file.Hash[..12]}…; restore it from the backup.");
