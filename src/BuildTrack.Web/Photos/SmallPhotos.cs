using BuildTrack.Documents.Photos;
using Microsoft.Extensions.Caching.Memory;

namespace BuildTrack.Web.Photos;

/// <summary>Photos drawn small for lists: made when first asked for, kept in memory, no part of the record.</summary>
public sealed class SmallPhotos : IDisposable
{
    private const long KeptBytes = 32 * 1024 * 1024;

    private readonly MemoryCache kept = new(new MemoryCacheOptions { SizeLimit = KeptBytes });

    // Two at once: a sheet asks for all of its photos in one breath.
    private readonly SemaphoreSlim making = new(2, 2);

    public void Dispose()
    {
        kept.Dispose();
        making.Dispose();
    }

    /// <summary>The small photo; null where the photo is small already, or cannot be drawn: it is shown as it was sent.</summary>
    /// <param name="hash">SHA-256 of the photo's content.</param>
    public async Task<byte[]?> Of(string hash, byte[] photo, CancellationToken ct)
    {
        ArgumentNullException.ThrowIfNull(photo);
        if (kept.TryGetValue(hash, out byte[]? known))
        {
            return known;
        }

        await making.WaitAsync(ct);
        try
        {
            var small = await Task.Run(() => SmallPhoto.Draw(photo), ct);
            kept.Set(hash, small, new MemoryCacheEntryOptions { Size = 256 + (small?.Length ?? 0) });
            return small;
        }
        finally
        {
            making.Release();
        }
    }
}
