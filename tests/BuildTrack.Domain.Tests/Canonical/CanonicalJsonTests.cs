using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Tests.Canonical;

public sealed class CanonicalJsonTests
{
    [Theory]
    [InlineData("""{"b":1,"a":2}""", """{"a":2,"b":1}""")]
    [InlineData("""{"a":1,"A":2,"_":3,"ä":4,"1":5}""", """{"1":5,"A":2,"_":3,"a":1,"ä":4}""")]
    [InlineData("""{ "z" : [ 3 , { "y" : 1, "x" : [ ] } , null ] }""", """{"z":[3,{"x":[],"y":1},null]}""")]
    [InlineData("""[true,false,null,"",{}]""", """[true,false,null,"",{}]""")]
    public void Keys_stand_in_ordinal_order_at_every_depth_without_white_space(string json, string expected) =>
        Assert.Equal(expected, CanonicalJson.Write(JsonNode.Parse(json)));

    [Theory]
    [InlineData("1.0", "1")]
    [InlineData("1.50", "1.5")]
    [InlineData("0.1", "0.1")]
    [InlineData("-0", "0")]
    [InlineData("-0.0", "0")]
    [InlineData("-0e7", "0")]
    [InlineData("1e2", "100")]
    [InlineData("1e21", "1E+21")]
    [InlineData("1e-7", "1E-07")]
    [InlineData("123456789012345678", "123456789012345678")]
    [InlineData("-9223372036854775808", "-9223372036854775808")]
    [InlineData("5e-324", "5E-324")]
    [InlineData("0.30000000000000004", "0.30000000000000004")]
    public void Equal_numbers_have_one_text(string number, string expected) => Assert.Equal(expected, CanonicalJson.Write(JsonNode.Parse(number)));

    [Fact]
    public void Every_finite_double_reads_back_equal()
    {
        const int Seed = 8785;
        var random = new Random(Seed);
        for (var i = 0; i < 20_000; i++)
        {
            var number = BitConverter.Int64BitsToDouble(random.NextInt64(long.MinValue, long.MaxValue));
            if (double.IsFinite(number) && number != 0)
            {
                var text = CanonicalJson.Of(number);
                Assert.True(number.Equals(double.Parse(text, NumberStyles.Float, CultureInfo.InvariantCulture)), $"seed {Seed}, number {i}: {number:R} became {text}");
                Assert.True(text == CanonicalJson.Write(JsonNode.Parse(text)), $"seed {Seed}, number {i}: {text} is written again otherwise");
            }
        }
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    public void Numbers_that_are_none_are_refused(double number)
    {
        Assert.Throws<ArgumentException>(() => CanonicalJson.Of(new { Value = number }));
        Assert.ThrowsAny<ArgumentException>(() => CanonicalJson.Of(new { Nested = new[] { new { Value = (double?)number } } }));
    }

    [Fact]
    public void A_number_too_large_for_a_double_is_refused_with_its_place() =>
        Assert.StartsWith("$.a[1].b is 1e999", Assert.Throws<ArgumentException>(() => CanonicalJson.Write(JsonNode.Parse("""{"a":[0,{"b":1e999}]}"""))).Message, StringComparison.Ordinal);

    [Theory]
    [InlineData("a\0b", "character 2 is U+0000")]
    [InlineData("ab\uD800", "character 3 is half a surrogate pair (U+D800)")]
    [InlineData("\uDC00ab", "character 1 is half a surrogate pair (U+DC00)")]
    [InlineData("\uD83D\uD83D\uDE00", "character 1 is half a surrogate pair (U+D83D)")]
    public void Texts_that_a_database_would_change_are_refused_wherever_they_stand(string text, string why)
    {
        Assert.StartsWith(why, CanonicalJson.WhyNotText(text), StringComparison.Ordinal);
        Assert.Contains(why, Assert.Throws<ArgumentException>(() => CanonicalJson.Of(new { A = new[] { text } })).Message, StringComparison.Ordinal);
        Assert.Contains(why, Assert.Throws<ArgumentException>(() => CanonicalJson.Of(new Dictionary<string, int> { [text] = 1 })).Message, StringComparison.Ordinal);
        Assert.Contains(why, Assert.Throws<ArgumentException>(() => CanonicalJson.Of(ImmutableArray.Create(Make(text)))).Message, StringComparison.Ordinal);

        static Reading Make(string typed) => Support.Make.Reading(1, "C1", 1) with { Reason = typed };
    }

    [Theory]
    [InlineData("plain")]
    [InlineData("µm ± ≤ ² Ø σ √ −")]
    [InlineData("😀 𝛿 漢")]
    [InlineData("\"quoted\" \\ / \b\f\n\r\t \u001F \u007F")]
    [InlineData("<script>&'</script>")]
    [InlineData("\u2028\u2029\uFEFF")]
    public void Other_texts_read_back_equal(string text)
    {
        var canonical = CanonicalJson.Of(new Dictionary<string, string> { ["k"] = text });
        Assert.Equal(text, CanonicalJson.Read<Dictionary<string, string>>(canonical)["k"]);
        Assert.Equal(text, JsonDocument.Parse(canonical).RootElement.GetProperty("k").GetString());
    }

    [Fact]
    public void A_record_reads_back_to_the_same_text_and_hash()
    {
        var run = Support.Make.GoodPass(5) with { Conditions = new Conditions(20.50m, [20.1m], [20.0m], null) };
        var text = CanonicalJson.Of(run);
        Assert.Equal(text, CanonicalJson.Of(CanonicalJson.Read<Run>(text)));
        Assert.DoesNotContain("null", text, StringComparison.Ordinal);
        Assert.Contains("\"kind\":\"pass\"", text, StringComparison.Ordinal);
        Assert.Contains("\"begun\":\"2026-03-02T12:00:00.000000Z\"", text, StringComparison.Ordinal);
    }

    [Fact]
    public void What_is_not_of_the_record_is_not_read()
    {
        Assert.Throws<JsonException>(() => CanonicalJson.Read<Place>("""{"kind":"at","from":"R1","more":1}"""));
        Assert.Throws<JsonException>(() => CanonicalJson.Read<Place>("""{"kind":"nowhere"}"""));
        Assert.Throws<JsonException>(() => CanonicalJson.Read<Place>("""{"kind":0}"""));
        Assert.Throws<JsonException>(() => CanonicalJson.Read<Place>("null"));
    }

    /// <summary>SHA-256 of "abc" and of nothing: FIPS 180-4 examples.</summary>
    [Theory]
    [InlineData("abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")]
    [InlineData("", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855")]
    public void The_hash_is_sha_256_of_utf_8(string text, string expected) => Assert.Equal(expected, CanonicalJson.Hash(text));

    [Theory]
    [InlineData("de-AT")]
    [InlineData("ar-SA")]
    [InlineData("tr-TR")]
    public void The_culture_does_not_matter(string culture)
    {
        var was = CultureInfo.CurrentCulture;
        var expected = CanonicalJson.Of(Support.Make.GoodPass(5));
        try
        {
            CultureInfo.CurrentCulture = new CultureInfo(culture);
            Assert.Equal(expected, CanonicalJson.Of(Support.Make.GoodPass(5)));
            Assert.Equal("""{"I":1.5,"i":-2.25}""", CanonicalJson.Of(new Dictionary<string, double> { ["i"] = -2.25, ["I"] = 1.5 }));
        }
        finally
        {
            CultureInfo.CurrentCulture = was;
        }
    }
}
