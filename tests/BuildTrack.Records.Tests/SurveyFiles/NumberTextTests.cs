using System.Globalization;
using BuildTrack.Domain.Measuring;
using BuildTrack.Records.Surveys;
using Xunit;

namespace BuildTrack.Records.Tests.SurveyFiles;

public class NumberTextTests
{
    [Theory]
    [InlineData("0.031", "mm", 31_000)]
    [InlineData("0,031", "mm", 31_000)]
    [InlineData("+0.031", "mm", 31_000)]
    [InlineData("-0,031", "mm", -31_000)]
    [InlineData("\u22120,031", "mm", -31_000)]
    [InlineData("\u2212 0.031", "mm", -31_000)]
    [InlineData("  12 ", "µm", 12_000)]
    [InlineData("12", "\u03BCm", 12_000)]
    [InlineData(".5", "µm", 500)]
    [InlineData("000.031", "mm", 31_000)]
    [InlineData("1,234", "mm", 1_234_000)]
    [InlineData("1.5", "m", 1_500_000_000)]
    [InlineData("1\u2009234.5", "µm", 1_234_500)]
    [InlineData("1\u00A0234\u202F567,5", "µm", 1_234_567_500)]
    [InlineData("0.031\u2009250", "mm", 31_250)]
    [InlineData("0.031\u200925", "mm", 31_250)]
    [InlineData("-0", "mm", 0)]
    [InlineData("1000", "m", 1_000_000_000_000)]
    // Half a nanometre goes to the even one, decided in decimal arithmetic.
    [InlineData("0.0000005", "mm", 0)]
    [InlineData("0.0000015", "mm", 2)]
    [InlineData("0.0000025", "mm", 2)]
    [InlineData("-0.0000035", "mm", -4)]
    [InlineData("0.0005", "µm", 0)]
    [InlineData("0.000500000000000000000001", "µm", 1)]
    [InlineData("0.000002499999999999999999", "mm", 2)]
    public void A_length_is_understood_in_nanometres(string typed, string unit, long nanometres)
    {
        Assert.True(NumberText.TryUnderstand(typed, unit, out var nm, out var number, out var fault), fault);
        Assert.Equal(nanometres, nm);
        Assert.Null(number);
        Assert.Null(fault);
    }

    [Theory]
    [InlineData("11,6", "µm/m", 11.6)]
    [InlineData("\u22124", "µm/m", -4)]
    [InlineData("2,4", "arcsec", 2.4)]
    [InlineData("0.1", "bar", 0.1)]
    [InlineData("5 980", "W", 5980)]
    [InlineData("-0.0", "K", 0)]
    public void Another_number_is_understood_in_its_own_unit(string typed, string unit, double expected)
    {
        Assert.True(NumberText.TryUnderstand(typed, unit, out var nm, out var number, out var fault), fault);
        Assert.Null(nm);
        Assert.Equal(BitConverter.DoubleToInt64Bits(expected), BitConverter.DoubleToInt64Bits(number!.Value));
    }

    [Theory]
    [InlineData("", "a number")]
    [InlineData("   ", "a number")]
    [InlineData("1.234,5", "point and comma together")]
    [InlineData("1,234.5", "point and comma together")]
    [InlineData("1.234.567", "points are not read as grouping")]
    [InlineData("1,234,567", "commas are not read as grouping")]
    [InlineData("NaN", "a finite number")]
    [InlineData("-Infinity", "a finite number")]
    [InlineData("∞", "a finite number")]
    [InlineData("1e-3", "without exponent")]
    [InlineData("1E3", "without exponent")]
    [InlineData("12,", "digits on both sides")]
    [InlineData(".", "digits on both sides")]
    [InlineData("-", "digits on both sides")]
    [InlineData("031", "was a decimal sign left out?")]
    [InlineData("12 5", "groups of three")]
    [InlineData("1 2345", "groups of three")]
    [InlineData("1234 567", "groups of three")]
    [InlineData("1  234", "groups of three")]
    [InlineData("0.03 1", "groups of three")]
    [InlineData("0.031 mm", "'m' does not belong")]
    [InlineData("--1", "'-' does not belong")]
    [InlineData("\u20130,031", "does not belong")]
    [InlineData("1'234", "''' does not belong")]
    [InlineData("\u0661\u0662", "does not belong")]
    [InlineData("12\u200F", "'‹U+200F›' does not belong")]
    [InlineData("0x1F", "'x' does not belong")]
    [InlineData("1000000.1", "at most 1,000 m")]
    [InlineData("99999999999999999999", "at most 1,000 m")]
    [InlineData("12345678901234567890123456", "at most 25 digits")]
    public void What_could_mean_two_numbers_or_none_is_refused(string typed, string expected)
    {
        Assert.False(NumberText.TryUnderstand(typed, "mm", out var nm, out var number, out var fault));
        Assert.Contains(expected, fault, StringComparison.Ordinal);
        Assert.Null(nm);
        Assert.Null(number);
    }

    [Fact]
    public void A_unit_that_nobody_knows_is_refused()
    {
        Assert.False(NumberText.TryUnderstand("1", "thou", out _, out _, out var fault));
        Assert.Contains("instead of 'thou'", fault, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("3.1e-2", 31_000)]
    [InlineData("3,1E-2", 31_000)]
    [InlineData("-1e\u22123", -1_000)]
    [InlineData("+2.5E-6", 2)]
    [InlineData("1e2", 100_000_000)]
    public void Programs_may_write_an_exponent_in_a_file(string typed, long nanometres) =>
        Assert.Equal(nanometres, SurveyFile.Read(SurveyFile.Text(";", "\n", typed)).Rows[0].Nanometres);

    [Theory]
    [InlineData("1e999")]
    [InlineData("1e-999")]
    [InlineData("1e")]
    [InlineData("1e1.5")]
    [InlineData("e5")]
    [InlineData("1e99999999999")]
    [InlineData("1e20")]
    public void An_exponent_that_no_instrument_shows_is_refused_in_a_file(string typed) =>
        Assert.Equal("bed.csv line 2, column z_mm", Assert.Single(SurveyFile.Read(SurveyFile.Text(";", "\n", typed)).Faults).Where);

    [Fact]
    public void What_a_machine_writes_is_understood_as_it_was_meant_under_any_culture()
    {
        var random = new Random(7);
        var before = Thread.CurrentThread.CurrentCulture;
        try
        {
            foreach (var culture in new[] { "de-DE", "en-US", "fr-CH", "ar-SA" })
            {
                Thread.CurrentThread.CurrentCulture = new CultureInfo(culture);
                for (var i = 0; i < 500; i++)
                {
                    var nm = random.NextInt64(-2_000_000_000, 2_000_000_000);
                    var text = (nm / 1_000_000m).ToString("0.000000", CultureInfo.InvariantCulture);
                    Assert.True(NumberText.TryUnderstand(i % 2 == 0 ? text : text.Replace('.', ',').Replace('-', '\u2212'), "mm", out var understood, out _, out _));
                    Assert.Equal(nm, understood);
                }
            }
        }
        finally
        {
            Thread.CurrentThread.CurrentCulture = before;
        }
    }
}
