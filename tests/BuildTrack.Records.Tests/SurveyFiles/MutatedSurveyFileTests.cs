using System.Diagnostics;
using System.Text;
using System.Text.RegularExpressions;
using Xunit;

namespace BuildTrack.Records.Tests.SurveyFiles;

public partial class MutatedSurveyFileTests
{
    private const int Seed = 20261126;

    private static readonly string[] Pieces =
        ["\"", "\"\"", ",", ";", "\t", "\n", "\r", "\0", "\uFEFF", "\u200F", "\u2212", "NaN", "1e999", "1.234,5", " ", "\u2009", "station", "R1-01", "x_mm", "-", ".", "e5", "999999999999999999999999"];

    [Fact]
    public void Two_thousand_damaged_files_are_read_or_refused_with_a_place()
    {
        var random = new Random(Seed);
        string[] good =
        [
            SurveyFile.Text(",", "\n", "0.031", "-0.012", "1", "+2.5"), SurveyFile.Text(";", "\r\n", "0,031", "\u22120,012", "1", "2,5"),
            SurveyFile.Text("\t", "\r", "0.031", "\"0.012\""), "station;x_mm;y_mm;z_mm\nR1-01;0;0;1,5\nR1-02;250;0;2,5\nR2-01;0;1450,5;3\nR2-02;250;1450,5;4\n",
        ];
        Assert.All(good, text => Assert.Empty(SurveyFile.Read(text).Faults));

        var refused = 0;
        for (var i = 0; i < 2_000; i++)
        {
            var bytes = Damage(random, good[random.Next(good.Length)]);
            var clock = Stopwatch.StartNew();
            var result = SurveyFile.Read(bytes);
            Assert.True(clock.Elapsed < TimeSpan.FromSeconds(10), $"seed {Seed}, file {i}: too slow");

            // All or none: a file without fault has each station once, a refused one has no row.
            Assert.Equal(result.Faults.IsEmpty ? 4 : 0, result.Rows.Length);
            Assert.Equal(result.Rows.Length, result.Rows.Select(r => r.Place).Distinct().Count());
            Assert.All(result.Faults, f => Assert.True(Place().IsMatch(f.Where) && f.Found.Length > 0 && f.Expected.Length > 0, $"seed {Seed}, file {i}: {f}"));
            refused += result.Faults.IsEmpty ? 0 : 1;
        }

        Assert.InRange(refused, 1_000, 1_990);
    }

    private static byte[] Damage(Random random, string text)
    {
        var damaged = new StringBuilder(text);
        for (var n = random.Next(1, 4); n > 0 && damaged.Length > 2; n--)
        {
            var at = random.Next(damaged.Length);
            switch (random.Next(5))
            {
                case 0:
                    damaged.Remove(at, Math.Min(random.Next(1, 8), damaged.Length - at));
                    break;
                case 1:
                    damaged.Insert(at, Pieces[random.Next(Pieces.Length)]);
                    break;
                case 2:
                    damaged[at] = (char)random.Next(1, 0x3000);
                    break;
                case 3:
                    damaged.Insert(at, damaged.ToString(at, Math.Min(random.Next(1, 60), damaged.Length - at)));
                    break;
                default:
                    damaged[at] = "0123456789.,- "[random.Next(14)];
                    break;
            }
        }

        byte[] bytes = random.Next(8) switch
        {
            0 => [.. Encoding.Unicode.GetPreamble(), .. Encoding.Unicode.GetBytes(damaged.ToString())],
            1 => Encoding.Latin1.GetBytes(damaged.ToString()),
            _ => Encoding.UTF8.GetBytes(damaged.ToString()),
        };
        if (random.Next(6) == 0 && bytes.Length > 0)
        {
            bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
        }

        return bytes;
    }

    [GeneratedRegex(@"^bed\.csv line [1-9]\d*(, (column|character) .+)?$")]
    private static partial Regex Place();
}
