using System.Text;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.StepFiles;

namespace BuildTrack.Domain.Tests.StepFiles;

/// <summary>What a file is, by its first bytes; and its name, made harmless.</summary>
public sealed class FileContentTests
{
    // Signatures: ISO/IEC 10918-1 (JPEG), ISO/IEC 15948 5.2 (PNG), RFC 9649 2.4 (WebP), ISO 32000-1 7.5.2 (PDF), RFC 3629 (UTF-8).
    [Theory]
    [InlineData("FF D8 FF E0 00 10 4A 46 49 46", FileContent.Jpeg)]
    [InlineData("FF D8 FF E1", FileContent.Jpeg)]
    [InlineData("FF D8 00", null)]
    [InlineData("89 50 4E 47 0D 0A 1A 0A 00 00 00 0D", FileContent.Png)]
    [InlineData("89 50 4E 47 0A 1A 0A 00", null)]
    [InlineData("52 49 46 46 10 00 00 00 57 45 42 50 56 50 38 4C", FileContent.WebP)]
    [InlineData("52 49 46 46 10 00 00 00 57 41 56 45", null)]
    [InlineData("52 49 46 46", FileContent.Text)]
    [InlineData("25 50 44 46 2D 31 2E 37 0A 00 FF", FileContent.Pdf)]
    [InlineData("20 25 50 44 46 2D 00", null)]
    [InlineData("EF BB BF 74 2C 57 0D 0A 30 2C 33 0D 0A", FileContent.Text)]
    [InlineData("C2 B5 6D", FileContent.Text)]
    [InlineData("B5 6D", null)]
    [InlineData("61 00 62", null)]
    [InlineData("4D 5A 90 00 03", null)]
    [InlineData("47 49 46 38 39 61 01 00", null)]
    [InlineData("ED A0 80", null)]
    [InlineData("", null)]
    public void A_content_is_known_by_its_bytes(string hex, string? type) =>
        Assert.Equal(type, FileContent.MediaTypeOf(Convert.FromHexString(hex.Replace(" ", "", StringComparison.Ordinal))));

    [Fact]
    public void A_picture_drawn_in_text_is_text_that_nobody_s_browser_draws()
    {
        var type = FileContent.MediaTypeOf(Encoding.UTF8.GetBytes("<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>"));
        Assert.Equal(FileContent.Text, type);
        Assert.False(FileContent.IsPhoto(type!));
    }

    [Theory]
    [InlineData(@"..\..\x.png", "x.png")]
    [InlineData("../../etc/passwd", "passwd")]
    [InlineData(@"D:\photos/clamp.jpg", "clamp.jpg")]
    [InlineData("..", "file")]
    [InlineData("a/..", "file")]
    [InlineData(".hidden", "hidden")]
    [InlineData(". .hidden", "hidden")]
    [InlineData("", "file")]
    [InlineData(null, "file")]
    [InlineData("   ", "file")]
    [InlineData("a\r\nSet-Cookie: x.png", "aSet-Cookie_ x.png")]
    [InlineData("a\"b;c%00.png", "a_b_c_00.png")]
    [InlineData("gnp.\u202Egpj.exe", "gnp.gpj.exe")]
    [InlineData("Spannbild Bett ä 4.jpg", "Spannbild Bett ä 4.jpg")]
    [InlineData("夹具.webp", "夹具.webp")]
    public void A_name_is_its_last_part_and_harmless(string? sent, string kept) => Assert.Equal(kept, FileName.Clean(sent));

    [Fact]
    public void A_long_name_keeps_its_ending_and_whole_characters()
    {
        Assert.Equal(new string('a', 116) + ".png", FileName.Clean(new string('a', 300) + ".png"));
        Assert.Equal(FileName.Longest, FileName.Clean(new string('b', 300)).Length);
        var pairs = FileName.Clean("x" + string.Concat(Enumerable.Repeat("📷", 200)) + ".jpg");
        Assert.True(pairs.Length <= FileName.Longest && pairs.EndsWith("📷.jpg", StringComparison.Ordinal), pairs);
    }

    // Twin: whatever is sent, the name that is kept can be no path, no header line and no other name a second time. Seeded.
    [Fact]
    public void No_name_that_can_be_sent_is_a_path()
    {
        var random = new Random(20261128);
        const string Pieces = "./\\:\0\r\n\t\"%;*?<>|aé\u202E\uFEFF\uD800 -_~$";
        for (var i = 0; i < 20_000; i++)
        {
            var sent = new string([.. Enumerable.Range(0, random.Next(40)).Select(_ => Pieces[random.Next(Pieces.Length)])]);
            var kept = FileName.Clean(sent);
            Assert.False(kept.Length is 0 or > FileName.Longest || kept.StartsWith('.') || kept.Any(c => char.IsControl(c) || char.IsSurrogate(c) || "/\\:\"%;".Contains(c, StringComparison.Ordinal)), $"{sent} became {kept}");
            Assert.Equal(kept, FileName.Clean(kept));
        }
    }

    [Theory]
    [InlineData(0, "0 bytes")]
    [InlineData(1023, "1023 bytes")]
    [InlineData(1024, "1 KB")]
    [InlineData(1024 * 1024, "1.0 MB")]
    [InlineData(10 * 1024 * 1024, "10.0 MB")]
    public void A_size_in_words(long size, string words) => Assert.Equal(words, FileContent.SizeInWords(size));

    [Fact]
    public void What_is_not_taken_is_refused_by_its_rule()
    {
        var clamps = new RequiredPhoto("clamps", "Clamp pattern");
        byte[] png = [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 1];
        byte[] Long(byte[] begin, int size) => [.. begin, .. new byte[size - begin.Length]];
        Assert.Null(FileRules.WhyNotTake("a.png", png, clamps));
        Assert.Null(FileRules.WhyNotTake("log.csv", "t,W\n"u8, null));
        Assert.Equal(FileRules.Empty, FileRules.WhyNotTake("a.png", [], null)!.Id);
        Assert.Equal(FileRules.OtherKind, FileRules.WhyNotTake("a.png", [0x4D, 0x5A, 0], null)!.Id);
        Assert.Equal(FileRules.NoPhoto, FileRules.WhyNotTake("log.csv", "t,W\n"u8, clamps)!.Id);
        Assert.Null(FileRules.WhyNotTake("a.png", Long(png, FileContent.LongestPhoto), null));
        Assert.Equal((FileRules.TooLong, "'a.png' has 10.0 MB; a photo may have 10.0 MB."), FileRules.WhyNotTake("a.png", Long(png, FileContent.LongestPhoto + 1), null) is { } rule ? (rule.Id, rule.Sentence) : default);
        Assert.Null(FileRules.WhyNotTake("a.pdf", Long([.. "%PDF-1.7"u8], FileContent.LongestOther), null));
        Assert.Equal(FileRules.TooLong, FileRules.WhyNotTake("a.pdf", Long([.. "%PDF-1.7"u8], FileContent.LongestOther + 1), null)!.Id);
    }
}
