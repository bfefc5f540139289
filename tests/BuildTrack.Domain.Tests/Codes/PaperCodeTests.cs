using System.Text.Json;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Codes;

namespace BuildTrack.Domain.Tests.Codes;

/// <summary>Codes on paper: what they hold, how they are read, and what a lost character or another keyboard does to them.</summary>
public sealed class PaperCodeTests
{
    // Table 5 of ISO/IEC 18004: the 45 characters of the alphanumeric mode, from memory.
    private const string Alphanumeric = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

    // As keys of the layout of the United States are labelled on other keyboards; from memory.
    private static readonly Dictionary<string, (string Keys, string Typed)> Keyboards = new()
    {
        ["German"] = ("YZ:-", "ZYÖß"),
        ["Swedish"] = (":-", "Ö+"),
        ["Spanish"] = (":-", "Ñ'"),
        ["Italian"] = (":-", "ç'"),
        ["French"] = ("QAWZM:1234567890-%", "AQZW?M&é\"'(-è_çà)5"),
    };

    private static PaperCode[] Some { get; } =
    [
        PaperCode.OfMachine("OV1530-0417"), PaperCode.OfStep("OV1530-0417", 100), PaperCode.OfStation("OV2661-0031", new Station("R1-05", 1000, 0)), PaperCode.OfInstrument("TRK-01"),
        PaperCode.OfInstrument("trk-01 ü"), PaperCode.OfComponent("OV1530-0417", 1234), PaperCode.OfMachine("AQWZYM-1"), new(CodeKind.Badge, "7QX2MZ8K4JH1WPA9TYBD"),
    ];

    [Fact]
    public void The_check_characters_are_those_of_the_published_example()
    {
        using var file = JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "Data", "check-characters.json")));
        foreach (var c in file.RootElement.GetProperty("cases").EnumerateArray())
        {
            Assert.Equal(c.GetProperty("check").GetString(), CheckCharacters.Of(c.GetProperty("text").GetString()!));
        }
    }

    [Fact]
    public void By_the_definition_of_the_standard_the_weighted_sum_leaves_one()
    {
        // The twin: every character times its power of 36, from the right, in numbers of any length.
        const string alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";
        var random = new Random(7064);
        for (var n = 0; n < 500; n++)
        {
            var text = string.Concat(Enumerable.Range(0, random.Next(1, 30)).Select(_ => alphabet[random.Next(36)]));
            var whole = text + CheckCharacters.Of(text);
            var sum = whole.Reverse().Select((c, i) => alphabet.IndexOf(c) * System.Numerics.BigInteger.Pow(36, i)).Aggregate(System.Numerics.BigInteger.Add);
            Assert.True(sum % 1271 == 1, whole);
        }
    }

    [Fact]
    public void A_code_is_read_back_and_holds_only_characters_of_the_alphanumeric_mode()
    {
        Assert.StartsWith("BT:S:OV1530-0417:100:", Some[1].Text, StringComparison.Ordinal);
        Assert.StartsWith("BT:P:OV2661-0031:R1-05:1000:", Some[2].Text, StringComparison.Ordinal);
        foreach (var code in Some)
        {
            Assert.True(code.Text.All(Alphanumeric.Contains), code.Text);
            Assert.Equal(code, PaperCode.Read(code.Text));
            Assert.Equal(code, PaperCode.Read($" {code.Text.ToLowerInvariant()}\r"));
            Assert.True(PaperCode.Begins(code.Text));
        }
    }

    [Fact]
    public void A_character_that_is_lost_or_changed_is_noticed()
    {
        foreach (var text in Some.Select(c => c.Text))
        {
            for (var i = 3; i < text.Length; i++)
            {
                Assert.Null(PaperCode.Read(text.Remove(i, 1)));
                var other = text[i] == '7' ? '3' : '7';
                Assert.Null(PaperCode.Read(string.Concat(text.AsSpan(0, i), other.ToString(), text.AsSpan(i + 1))));
            }
        }
    }

    [Theory]
    [InlineData("German")]
    [InlineData("Swedish")]
    [InlineData("Spanish")]
    [InlineData("Italian")]
    [InlineData("French")]
    public void A_scanner_set_to_another_layout_than_the_keyboard_is_understood(string keyboard)
    {
        var (keys, typed) = Keyboards[keyboard];
        foreach (var code in Some)
        {
            var text = string.Concat(code.Text.Select(c => keys.IndexOf(c) is >= 0 and var i ? typed[i] : c));
            Assert.True(PaperCode.Begins(text), text);
            Assert.True(code == PaperCode.Read(text), $"{keyboard}: {text}");
        }
    }

    [Theory]
    [InlineData(null)]
    [InlineData("")]
    [InlineData("OV1530-0417")]
    [InlineData("BT:")]
    [InlineData("BT:X:OV1530-0417:1")]
    [InlineData("BTU-12")]
    public void What_is_no_code_is_none(string? text) => Assert.Null(PaperCode.Read(text));

    [Fact]
    public void A_kind_with_the_wrong_number_of_parts_is_none()
    {
        foreach (var body in new[] { "BT:S:OV1", "BT:M:OV1:100", "BT:P:OV1:R1", "BT:C::12", "BT:X:OV1", "BT:M:OV.1" })
        {
            Assert.Null(PaperCode.Read($"{body}:{CheckCharacters.Of(body)}"));
        }

        Assert.NotNull(PaperCode.Read($"BT:M:OV1:{CheckCharacters.Of("BT:M:OV1")}"));
    }

    [Fact]
    public void A_badge_does_not_tell_its_secret() => Assert.DoesNotContain("7QX2", Some[^1].Says, StringComparison.Ordinal);
}
