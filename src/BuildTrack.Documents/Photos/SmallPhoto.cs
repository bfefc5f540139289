using SkiaSharp;

namespace BuildTrack.Documents.Photos;

/// <summary>A photo drawn small for lists: a JPEG turned upright and without what the camera wrote into the file.</summary>
public static class SmallPhoto
{
    /// <summary>Longest side, pixels: two for each that a list draws.</summary>
    public const int Side = 640;

    // What is decoded at once takes four bytes a pixel: 120 MB. A few kilobytes of file can claim any size.
    private const long MostPixels = 30_000_000;

    /// <summary>Draws a photo small; null where it is small already, has too many pixels, or is damaged.</summary>
    public static byte[]? Draw(byte[] photo)
    {
        ArgumentNullException.ThrowIfNull(photo);
        using var data = SKData.CreateCopy(photo);
        using var codec = SKCodec.Create(data);
        if (codec is null || Math.Max(codec.Info.Width, codec.Info.Height) <= Side)
        {
            return null;
        }

        // A JPEG is decoded at an eighth, a quarter or a half; the rest of the way is drawn.
        var scale = (float)Side / Math.Max(codec.Info.Width, codec.Info.Height);
        var decoded = codec.GetScaledDimensions(scale);
        if ((long)decoded.Width * decoded.Height > MostPixels)
        {
            return null;
        }

        using var bitmap = new SKBitmap(new SKImageInfo(decoded.Width, decoded.Height, SKColorType.Rgba8888, SKAlphaType.Premul));
        if (codec.GetPixels(bitmap.Info, bitmap.GetPixels()) != SKCodecResult.Success)
        {
            return null;
        }

        var (width, height) = (Math.Max(1, (int)Math.Round(codec.Info.Width * scale)), Math.Max(1, (int)Math.Round(codec.Info.Height * scale)));
        var turned = codec.EncodedOrigin >= SKEncodedOrigin.LeftTop;
        using var surface = SKSurface.Create(new SKImageInfo(turned ? height : width, turned ? width : height, SKColorType.Rgba8888, SKAlphaType.Premul));
        surface.Canvas.Clear(SKColors.White);
        surface.Canvas.SetMatrix(Upright(codec.EncodedOrigin, width, height));
        using var image = SKImage.FromBitmap(bitmap);
        surface.Canvas.DrawImage(image, new SKRect(0, 0, width, height), new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear));
        using var drawn = surface.Snapshot();
        using var jpeg = drawn.Encode(SKEncodedImageFormat.Jpeg, 82);
        return jpeg.ToArray();
    }

    // From the picture as it lies in the file to as it was seen: the orientation that the camera noted (Exif, tag 274).
    private static SKMatrix Upright(SKEncodedOrigin origin, float width, float height) => origin switch
    {
        SKEncodedOrigin.TopRight => new SKMatrix(-1, 0, width, 0, 1, 0, 0, 0, 1),
        SKEncodedOrigin.BottomRight => new SKMatrix(-1, 0, width, 0, -1, height, 0, 0, 1),
        SKEncodedOrigin.BottomLeft => new SKMatrix(1, 0, 0, 0, -1, height, 0, 0, 1),
        SKEncodedOrigin.LeftTop => new SKMatrix(0, 1, 0, 1, 0, 0, 0, 0, 1),
        SKEncodedOrigin.RightTop => new SKMatrix(0, -1, height, 1, 0, 0, 0, 0, 1),
        SKEncodedOrigin.RightBottom => new SKMatrix(0, -1, height, -1, 0, width, 0, 0, 1),
        SKEncodedOrigin.LeftBottom => new SKMatrix(0, 1, 0, -1, 0, width, 0, 0, 1),
        _ => SKMatrix.Identity,
    };
}
