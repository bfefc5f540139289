using System.Buffers.Binary;
using System.IO.Compression;
using BuildTrack.Domain.Canonical;

namespace BuildTrack.Records.Demo;

/// <summary>A small drawn picture in place of a photo: a bed from above with two rows of clamps or masked pads, another one for every machine, the indicator on a crate, or the chart of a recorder.</summary>
/// <remarks>PNG, greyscale of 8 bit, without filter (ISO/IEC 15948).</remarks>
internal static class DemoPicture
{
    private const int Width = 480, Height = 360, Bed = 60, Pad = 34;

    /// <param name="about">What decides how it looks: serial number and subject.</param>
    public static byte[] Png(string about)
    {
        var seed = Convert.FromHexString(CanonicalJson.Hash(about));
        return Draw((x, y) => Grey(x, y, seed));
    }

    /// <summary>A transport indicator that has not tripped: a label on boards, in its middle a window that is still white.</summary>
    public static byte[] Indicator() => Draw(OnCrate);

    /// <summary>The chart of a recorder: up, held, and slowly down, or held to its end, with the wobble of its control.</summary>
    /// <param name="about">What decides how it wobbles: serial number and subject.</param>
    /// <param name="cools">It comes down again, as a furnace does.</param>
    public static byte[] Chart(string about, bool cools)
    {
        var seed = Convert.FromHexString(CanonicalJson.Hash(about));
        return Draw((x, y) => OnChart(x, y, seed, cools));
    }

    private static byte[] Draw(Func<int, int, byte> grey)
    {
        using var rows = new MemoryStream();
        using (var zip = new ZLibStream(rows, CompressionLevel.SmallestSize, leaveOpen: true))
        {
            for (var y = 0; y < Height; y++)
            {
                zip.WriteByte(0);
                for (var x = 0; x < Width; x++)
                {
                    zip.WriteByte(grey(x, y));
                }
            }
        }

        using var png = new MemoryStream();
        png.Write([0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A]);
        var size = new byte[13];
        BinaryPrimitives.WriteInt32BigEndian(size, Width);
        BinaryPrimitives.WriteInt32BigEndian(size.AsSpan(4), Height);
        size[8] = 8;
        Chunk(png, "IHDR"u8, size);
        Chunk(png, "IDAT"u8, rows.ToArray());
        Chunk(png, "IEND"u8, []);
        return png.ToArray();
    }

    // Floor, bed, and on each of its long sides a pad every so often, each a little out of place.
    private static byte Grey(int x, int y, byte[] seed)
    {
        if (x < Bed / 2 || x >= Width - (Bed / 2) || y < Bed || y >= Height - Bed)
        {
            return (byte)(70 + ((x * 7 + y * 13) % 9));
        }

        var pads = 5 + (seed[0] % 3);
        var pitch = (Width - Bed) / pads;
        var (at, across) = ((x - (Bed / 2)) / pitch, y < Height / 2 ? y - Bed - 14 : Height - Bed - 14 - Pad - y + Pad);
        var along = x - (Bed / 2) - (at * pitch) - (pitch - Pad) / 2 - (seed[1 + at] % 13) + 6;
        var pad = along is >= 0 and < Pad && across is >= 0 and < Pad;
        var edge = pad && (along is < 3 or >= Pad - 3 || across is < 3 or >= Pad - 3);
        return (byte)(edge ? 40 : pad ? 225 : 150 + (seed[20] % 20) + (x / 24) + ((x + y) % 5));
    }

    private static byte OnCrate(int x, int y)
    {
        var (right, down) = (x - (Width / 2), y - (Height / 2));
        var round = Math.Sqrt((right * right) + (down * down));
        return round < 50 ? (byte)245
            : round < 58 ? (byte)50
            : Math.Abs(right) < 110 && Math.Abs(down) < 90 ? (byte)(down < -70 ? 60 : 205)
            : (byte)(y % 90 < 4 ? 60 : 120 + ((x * 3 + y * 11) % 13) + (10 * (y / 90)));
    }

    private static byte OnChart(int x, int y, byte[] seed, bool cools)
    {
        const int low = 330, high = 60;
        var (up, held) = (90 + (seed[0] % 20), cools ? 270 + (seed[1] % 20) : Width);
        var share = x < up ? (double)x / up : x < held ? 1 : Math.Exp(-(x - held) / 90.0);
        var line = low - ((low - high) * share) + (2 * Math.Sin((x + seed[2]) / 3.0));
        return (byte)(Math.Abs(y - line) < 1.5 + (x < up ? 3 : 0) ? 30 : y % 45 == 0 || x % 40 == 0 ? 190 : 245);
    }

    private static void Chunk(MemoryStream to, ReadOnlySpan<byte> type, byte[] data)
    {
        var number = new byte[4];
        byte[] body = [.. type, .. data];
        BinaryPrimitives.WriteInt32BigEndian(number, data.Length);
        to.Write(number);
        to.Write(body);
        BinaryPrimitives.WriteUInt32BigEndian(number, Check(body));
        to.Write(number);
    }

    // The check sum of PNG: ISO 3309, as in its annex D.
    private static uint Check(byte[] data)
    {
        var sum = 0xFFFFFFFFu;
        foreach (var one in data)
        {
            sum ^= one;
            for (var bit = 0; bit < 8; bit++)
            {
                sum = (sum & 1) != 0 ? 0xEDB88320u ^ (sum >> 1) : sum >> 1;
            }
        }

        return ~sum;
    }
}
