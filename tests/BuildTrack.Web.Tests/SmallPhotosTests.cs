using BuildTrack.Web.Photos;
using SkiaSharp;

namespace BuildTrack.Web.Tests;

/// <summary>Small photos are made once.</summary>
public sealed class SmallPhotosTests
{
    [Fact]
    public async Task A_photo_is_drawn_once_however_many_ask()
    {
        using var photos = new SmallPhotos();
        var photo = Photo();
        var first = await photos.Of("hash", photo, TestContext.Current.CancellationToken);
        Assert.NotNull(first);
        Assert.Same(first, await photos.Of("hash", [], TestContext.Current.CancellationToken));
    }

    private static byte[] Photo()
    {
        using var surface = SKSurface.Create(new SKImageInfo(2000, 1500));
        using var image = surface.Snapshot();
        using var data = image.Encode(SKEncodedImageFormat.Jpeg, 90);
        return data.ToArray();
    }
}
