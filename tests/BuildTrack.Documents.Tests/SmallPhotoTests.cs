using System.Buffers.Binary;
using BuildTrack.Documents.Photos;
using SkiaSharp;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>Photos for lists: upright, small, and nothing where nothing can be drawn.</summary>
public sealed class SmallPhotoTests
{
    // Four fields of a picture as it is seen: red green over blue white.
    private static readonly SKColor[] Seen = [new(220, 0, 0), new(0, 200, 0), new(0, 0, 220), new(255, 255, 255)];

    /// <summary>Which field lies in which corner of the file (top left, top right, bottom left, bottom right) for each orientation: Exif 2.3 (CIPA DC-008), table of tag 274, where row 0 and column 0 are seen.</summary>
    [Theory]
    [InlineData(1, "0123", false)]
    [InlineData(2, "1032", false)]
    [InlineData(3, "3210", false)]
    [InlineData(4, "2301", false)]
    [InlineData(5, "0213", true)]
    [InlineData(6, "1302", true)]
    [InlineData(7, "3120", true)]
    [InlineData(8, "2031", true)]
    public void A_photo_stands_upright_however_the_camera_was_held(int orientation, string corners, bool turned)
    {
        var (width, height) = turned ? (900, 1200) : (1200, 900);
        var small = SmallPhoto.Draw(WithOrientation(Jpeg(width, height, [.. corners.Select(c => Seen[c - '0'])]), orientation))!;
        using var bitmap = SKBitmap.Decode(small);
        Assert.Equal((640, 480), (bitmap.Width, bitmap.Height));
        (int X, int Y)[] at = [(100, 80), (540, 80), (100, 400), (540, 400)];
        for (var i = 0; i < 4; i++)
        {
            var (found, expected) = (bitmap.GetPixel(at[i].X, at[i].Y), Seen[i]);
            Assert.True(Math.Abs(found.Red - expected.Red) + Math.Abs(found.Green - expected.Green) + Math.Abs(found.Blue - expected.Blue) < 60, $"field {i}: {found}, expected {expected}");
        }

        // What the camera wrote into the file (place, time, serial number) stays in the file that was sent.
        Assert.Equal(-1, small.AsSpan().IndexOf("Exif"u8));
    }

    [Theory]
    [InlineData(SKEncodedImageFormat.Png)]
    [InlineData(SKEncodedImageFormat.Webp)]
    [InlineData(SKEncodedImageFormat.Jpeg)]
    public void A_large_photo_becomes_small_and_a_small_one_stays_as_it_was_sent(SKEncodedImageFormat format)
    {
        var large = Encoded(4000, 2500, format, Seen);
        var small = SmallPhoto.Draw(large)!;
        using var bitmap = SKBitmap.Decode(small);
        Assert.Equal((640, 400), (bitmap.Width, bitmap.Height));
        Assert.True(small.Length < 100_000, $"{small.Length} bytes");
        Assert.Null(SmallPhoto.Draw(Encoded(640, 480, format, Seen)));
    }

    [Fact]
    public void What_cannot_be_drawn_is_shown_as_it_was_sent()
    {
        Assert.Null(SmallPhoto.Draw([0xFF, 0xD8, 0xFF, 0xE0]));
        Assert.Null(SmallPhoto.Draw("no photo"u8.ToArray()));
        var cut = Encoded(2000, 1500, SKEncodedImageFormat.Jpeg, Seen);
        Assert.Null(SmallPhoto.Draw(cut[..(cut.Length / 2)]));
    }

    /// <summary>A PNG whose header claims 60,000 × 60,000 pixels, with the checksum that belongs to it (ISO/IEC 15948, IHDR and annex D): the library takes it for a photo, and it is not decoded.</summary>
    [Fact]
    public void A_photo_that_claims_more_than_the_memory_holds_is_not_decoded()
    {
        var claims = Encoded(1000, 700, SKEncodedImageFormat.Png, Seen);
        byte[] side = [0, 0, 0xEA, 0x60];
        side.CopyTo(claims, 16);
        side.CopyTo(claims, 20);
        BinaryPrimitives.WriteUInt32BigEndian(claims.AsSpan(29), Crc(claims.AsSpan(12, 17)));
        using var data = SKData.CreateCopy(claims);
        using var codec = SKCodec.Create(data);
        Assert.Equal((60_000, 60_000), (codec.Info.Width, codec.Info.Height));
        Assert.Null(SmallPhoto.Draw(claims));
    }

    private static uint Crc(ReadOnlySpan<byte> bytes)
    {
        var crc = 0xFFFFFFFFu;
        foreach (var b in bytes)
        {
            crc ^= b;
            for (var bit = 0; bit < 8; bit++)
            {
                crc = (crc & 1) == 1 ? (crc >> 1) ^ 0xEDB88320u : crc >> 1;
            }
        }

        return ~crc;
    }

    private static byte[] Jpeg(int width, int height, SKColor[] fields) => Encoded(width, height, SKEncodedImageFormat.Jpeg, fields);

    private static byte[] Encoded(int width, int height, SKEncodedImageFormat format, SKColor[] fields)
    {
        using var surface = SKSurface.Create(new SKImageInfo(width, height));
        for (var i = 0; i < 4; i++)
        {
            using var paint = new SKPaint { Color = fields[i] };
            surface.Canvas.DrawRect(new SKRect(i % 2 * width / 2f, i / 2 * height / 2f, ((i % 2) + 1) * width / 2f, ((i / 2) + 1) * height / 2f), paint);
        }

        using var image = surface.Snapshot();
        using var data = image.Encode(format, 90);
        return data.ToArray();
    }

    // An APP1 segment behind the start of the image: Exif header, TIFF header, one entry: tag 274, type short, one value.
    private static byte[] WithOrientation(byte[] jpeg, int orientation)
    {
        byte[] body = [.. "Exif\0\0"u8, .. "MM\0*"u8, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, (byte)orientation, 0, 0, 0, 0, 0, 0];
        return [.. jpeg[..2], 0xFF, 0xE1, 0, (byte)(body.Length + 2), .. body, .. jpeg[2..]];
    }
}
