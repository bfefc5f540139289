using System.Globalization;
using System.Text.RegularExpressions;
using ZXing;
using ZXing.Common;
using ZXing.Multi.QrCode;

namespace BuildTrack.Browser.Tests;

/// <summary>Codes read from pictures by a library of others.</summary>
internal static partial class PrintedCode
{
    private static readonly Dictionary<DecodeHintType, object> Hints = new() { [DecodeHintType.TRY_HARDER] = true };

    /// <summary>Every code of a grey picture.</summary>
    public static string[] In(byte[] grey, int width, int height)
    {
        var source = new RGBLuminanceSource(grey, width, height, RGBLuminanceSource.BitmapFormat.Gray8);
        return [.. (new QRCodeMultiReader().decodeMultiple(new BinaryBitmap(new HybridBinarizer(source)), Hints) ?? []).Select(r => r.Text)];
    }

    /// <summary>What the squares of a drawing say: M3 4h2v1h-2z is two dark squares from column 3 of row 4.</summary>
    public static string Of(string path)
    {
        const int scale = 8;
        var runs = Run().Matches(path).Select(m => (X: Number(m, 1), Y: Number(m, 2), Long: Number(m, 3))).ToArray();
        var size = (runs.Max(r => Math.Max(r.X + r.Long, r.Y + 1)) + 4) * scale;
        var grey = Enumerable.Repeat((byte)255, size * size).ToArray();
        foreach (var (x, y, length) in runs)
        {
            for (var row = y * scale; row < (y + 1) * scale; row++)
            {
                grey.AsSpan((row * size) + (x * scale), length * scale).Clear();
            }
        }

        return Assert.Single(In(grey, size, size));
    }

    private static int Number(Match match, int group) => int.Parse(match.Groups[group].Value, CultureInfo.InvariantCulture);

    [GeneratedRegex(@"M(\d+) (\d+)h(\d+)v1")]
    private static partial Regex Run();
}
