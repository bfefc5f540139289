using System.Globalization;
using System.Text;
using QRCoder;

namespace BuildTrack.Documents.Drawings;

/// <summary>The dark squares of a QR code with its quiet zone of four squares, as one path of a drawing.</summary>
/// <param name="Side">Squares on a side, the quiet zone included; dimensionless.</param>
/// <param name="Path">Runs of dark squares by row, a square one unit wide: M4 4h7v1h-7z …</param>
public sealed record QrSquares(int Side, string Path)
{
    /// <summary>The code of a text; a quarter of its squares may be covered by oil or scratched (error correction Q of ISO/IEC 18004).</summary>
    public static QrSquares Of(string text)
    {
        using var code = QRCodeGenerator.GenerateQrCode(text, QRCodeGenerator.ECCLevel.Q);
        var rows = code.ModuleMatrix;
        var path = new StringBuilder();
        for (var y = 0; y < rows.Count; y++)
        {
            for (var x = 0; x < rows.Count; x++)
            {
                var from = x;
                while (x < rows.Count && rows[y][x])
                {
                    x++;
                }

                if (x > from)
                {
                    path.Append(CultureInfo.InvariantCulture, $"M{from} {y}h{x - from}v1h-{x - from}z");
                }
            }
        }

        return new(rows.Count, path.ToString());
    }
}
