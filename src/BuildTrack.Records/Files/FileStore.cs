using BuildTrack.Domain.Canonical;
using BuildTrack.Records.Storage;

namespace BuildTrack.Records.Files;

/// <summary>Evidence files by the SHA-256 of their bytes; a name is never used as a path.</summary>
public sealed class FileStore(StoreSettings settings)
{
    /// <summary>Keeps bytes and returns their SHA-256. Written to a temporary file, flushed, then renamed: a file is there whole or not at all.</summary>
    public async Task<string> Put(ReadOnlyMemory<byte> bytes, CancellationToken ct)
    {
        var hash = CanonicalJson.Hash(bytes.Span);
        var path = PathOf(hash);
        if (File.Exists(path))
        {
            return hash;
        }

        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        var temporary = $"{path}.{Guid.NewGuid():N}.new";
        await using (var file = new FileStream(temporary, FileMode.CreateNew, FileAccess.Write))
        {
            await file.WriteAsync(bytes, ct);
            file.Flush(flushToDisk: true);
        }

        File.Move(temporary, path, overwrite: true);
        return hash;
    }

    /// <summary>The bytes of a file; null if it is not there.</summary>
    /// <exception cref="InvalidDataException">The bytes on disk are no longer those that were kept.</exception>
    public async Task<byte[]?> Get(string hash, CancellationToken ct)
    {
        var path = PathOf(hash);
        if (!File.Exists(path))
        {
            return null;
        }

        var bytes = await File.ReadAllBytesAsync(path, ct);
        var found = CanonicalJson.Hash(bytes);
        return found == hash ? bytes : throw new InvalidDataException($"File {hash[..12]}… was changed on disk: found SHA-256 {found[..12]}….");
    }

    /// <summary>Why a kept file no longer counts as evidence; null when it does.</summary>
    public async Task<string?> WhyNotSound(string hash, CancellationToken ct)
    {
        try
        {
            return await Get(hash, ct) is null ? $"file {hash[..12]}… is missing" : null;
        }
        catch (Exception error) when (error is InvalidDataException or ArgumentException)
        {
            return error.Message;
        }
    }

    private string PathOf(string hash) =>
        hash.Length == 64 && hash.All(char.IsAsciiHexDigitLower)
            ? Path.Combine(settings.FilesFolder, hash[..2], hash)
            : throw new ArgumentException($"'{hash}' is no SHA-256.", nameof(hash));
}
