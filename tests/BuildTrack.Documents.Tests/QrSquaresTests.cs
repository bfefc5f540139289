using System.Text.RegularExpressions;
using BuildTrack.Documents.Drawings;
using Xunit;

namespace BuildTrack.Documents.Tests;

/// <summary>The squares of a QR code: as many as the standard says, with its finder patterns; what they say is decoded from printed pages by the browser tests.</summary>
public sealed partial class QrSquaresTests
{
    // ISO/IEC 18004, table 7, alphanumeric mode at error correction Q: version 1 holds 16 characters, 2 holds 29, 3 holds 47 (from memory). A side has 17 + 4 v squares.
    [Theory]
    [InlineData(16, 1)]
    [InlineData(17, 2)]
    [InlineData(29, 2)]
    [InlineData(30, 3)]
    [InlineData(47, 3)]
    [InlineData(48, 4)]
    public void A_text_takes_the_version_of_the_standard_in_alphanumeric_mode(int characters, int version)
    {
        var text = string.Concat(Enumerable.Range(0, characters).Select(i => "BT:S-0417%"[i % 10]));
        Assert.Equal(17 + (4 * version) + 8, QrSquares.Of(text).Side);
    }

    [Fact]
    public void The_three_corners_carry_the_finder_pattern_and_the_quiet_zone_is_empty()
    {
        var squares = QrSquares.Of("BT:S:OV1530-0417:100:7K");
        var dark = new bool[squares.Side, squares.Side];
        foreach (Match run in Run().Matches(squares.Path))
        {
            var (x, y, length) = (Number(run, 1), Number(run, 2), Number(run, 3));
            for (var i = 0; i < length; i++)
            {
                dark[y, x + i] = true;
            }
        }

        // Seven rows of 1011101 and their like: the pattern that every reader looks for.
        string[] finder = ["1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111"];
        var far = squares.Side - 4 - 7;
        foreach (var (left, top) in new[] { (4, 4), (far, 4), (4, far) })
        {
            for (var row = 0; row < 7; row++)
            {
                Assert.Equal(finder[row], string.Concat(Enumerable.Range(0, 7).Select(i => dark[top + row, left + i] ? '1' : '0')));
            }
        }

        for (var i = 0; i < squares.Side; i++)
        {
            for (var edge = 0; edge < 4; edge++)
            {
                Assert.False(dark[edge, i] || dark[i, edge] || dark[squares.Side - 1 - edge, i] || dark[i, squares.Side - 1 - edge]);
            }
        }
    }

    private static int Number(Match run, int group) => int.Parse(run.Groups[group].Value, System.Globalization.CultureInfo.InvariantCulture);

    [GeneratedRegex(@"M(\d+) (\d+)h(\d+)v1h-\3z")]
    private static partial Regex Run();
}
