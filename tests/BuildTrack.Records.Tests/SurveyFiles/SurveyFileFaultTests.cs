using System.Text;
using BuildTrack.Domain.Checklists;
using BuildTrack.Records.Surveys;
using Xunit;

namespace BuildTrack.Records.Tests.SurveyFiles;

/// <summary>What is refused, and the sentence that says why.</summary>
public class SurveyFileFaultTests
{
    private const string Header = "a header with station, z_mm, separated by comma, semicolon or tab";
    private const string Missing = "expected one line for each of 4 stations";

    [Theory]
    // The file
    [InlineData("", "line 1: found an empty file, expected a header and one line for each station")]
    [InlineData(" \r\n\t\n", "line 1: found an empty file, expected a header and one line for each station")]
    [InlineData("R1-01,0.1\nR1-02,0.1\n", "line 1: found 'R1-01', expected " + Header)]
    [InlineData("\n\nstations;z_mm\n", "line 3: found 'stations;z_mm', expected " + Header)]
    [InlineData(";;;;", "line 1: found ';;;;', expected " + Header)]
    [InlineData("\"\"", "line 1: found no header, expected " + Header)]
    [InlineData("station,z_mm\nR1-01,0\0", "line 2, character 8: found U+0000, expected text; the file is binary, or UTF-16 without a byte order mark: save it as CSV UTF-8")]
    [InlineData("station,z_mm\nR1-0\uFFFD,0", "line 2, character 5: found a character that was damaged (U+FFFD), expected whole characters; save the file as CSV UTF-8")]
    // The header
    [InlineData("station,h\n", "line 1, column z_mm: found no such column, expected station, z_mm")]
    [InlineData("station,h_mm,z_mm\n", "line 1, column h_mm: found unknown column 'h_mm', expected station, z_mm, optionally x_mm, y_mm")]
    [InlineData("station,z_um\n", "line 1, column z_um: found 'z_um', that is µm, expected z_mm: the instrument shows mm")]
    [InlineData("station,z_arcsec\n", "line 1, column z_arcsec: found 'z_arcsec', that is arcsec, expected z_mm: the instrument shows mm")]
    [InlineData("station,z\n", "line 1, column z: found 'z' without a unit, expected z_mm: the instrument shows mm")]
    [InlineData("station,z_mm,Z_mm\n", "line 1, column Z_mm: found 'Z_mm' a second time (first as column 2), expected each column once")]
    [InlineData("station,z_mm,station\n", "line 1, column station: found 'station' a second time (first as column 1), expected each column once")]
    [InlineData("station,,z_mm\n", "line 1, column 2: found unknown column '', expected station, z_mm, optionally x_mm, y_mm")]
    [InlineData("station,z_mm\u200F\n", "line 1, column z_mm‹U+200F›: found unknown column 'z_mm‹U+200F›', expected station, z_mm, optionally x_mm, y_mm")]
    // Lines
    [InlineData("station,z_mm\nR1-01\n", "line 2: found 1 cell, expected 2, as in the header")]
    [InlineData("station;z_mm\nR1-01;1;2\n", "line 2: found 3 cells, expected 2, as in the header")]
    [InlineData("station,z_mm\nR1-01,0,031\n", "line 2: found 3 cells, expected 2, as in the header; a decimal comma needs quotes, or semicolons between the cells")]
    [InlineData("station,z_mm\nR1-01,1\nR1-01,2\n", "line 3, column station: found station R1-01 a second time (first in line 2), expected each station once")]
    [InlineData("station,z_mm\nR9-01,1\n", "line 2, column station: found unknown station 'R9-01', expected one of R1-01, R1-02, R2-01, R2-02")]
    [InlineData("station,z_mm\nr1-01,1\n", "line 2, column station: found unknown station 'r1-01', expected one of R1-01, R1-02, R2-01, R2-02")]
    [InlineData("station,z_mm\n,1\n", "line 2, column station: found no station, expected one of R1-01, R1-02, R2-01, R2-02")]
    [InlineData("station,z_mm\nR1-01,1\nR2-02,2\n", "line 3, column station: found no line for R1-02, R2-01, " + Missing)]
    [InlineData("station,z_mm\n", "line 1, column station: found no line for R1-01, R1-02, R2-01, R2-02, " + Missing)]
    // Quotes
    [InlineData("station,z_mm\nR1-01,\"0.1\nR1-02,0.2\n", "line 2, character 7: found a quote that is never closed, expected a closing quote before the next cell")]
    [InlineData("station,z_mm\nR1-01,\"0.1\"x\n", "line 2, character 12: found 'x' after a closing quote, expected the next cell or the end of the line")]
    [InlineData("station,z_mm\nR1-01,0.1\"\n", "line 2, character 10: found a quote inside a cell without quotes, expected quotes around the whole cell, doubled inside")]
    // Values
    [InlineData("station;z_mm\nR1-01;1.234,5\n", "line 2, column z_mm: found '1.234,5', expected one decimal sign and no grouping: with point and comma together it is not clear which is which")]
    [InlineData("station;z_mm\nR1-01;1,234.5\n", "line 2, column z_mm: found '1,234.5', expected one decimal sign and no grouping: with point and comma together it is not clear which is which")]
    [InlineData("station;z_mm\nR1-01;0,1\nR1-02;1.234\n", "line 3, column z_mm: found '1.234', expected decimal comma, as in line 2: one decimal sign throughout the file")]
    [InlineData("station,z_mm\nR1-01,NaN\n", "line 2, column z_mm: found 'NaN', expected a finite number")]
    [InlineData("station,z_mm\nR1-01,-inf\n", "line 2, column z_mm: found '-inf', expected a finite number")]
    [InlineData("station,z_mm\nR1-01,1e999\n", "line 2, column z_mm: found '1e999', expected a number that an instrument can show, with an exponent from -20 to 20")]
    [InlineData("station,z_mm\nR1-01,0.1 mm\n", "line 2, column z_mm: found '0.1 mm', expected a number and nothing else; 'm' does not belong to it")]
    [InlineData("station,z_mm\nR1-01,high\n", "line 2, column z_mm: found 'high', expected a number and nothing else; 'h' does not belong to it")]
    [InlineData("station,z_mm\nR1-01,\n", "line 2, column z_mm: found nothing, expected a number")]
    [InlineData("station,z_mm\nR1-01,0.1\u202E\n", "line 2, column z_mm: found '0.1‹U+202E›', expected a number and nothing else; '‹U+202E›' does not belong to it")]
    [InlineData("station,x_mm,z_mm\nR1-01,,1\n", "line 2, column x_mm: found nothing, expected a number")]
    [InlineData("station,x_mm,z_mm\nR1-01,1,1\n", "line 2, column x_mm: found '1', expected 0, as in the layout")]
    public void A_fault_says_where_what_and_what_was_expected(string text, string sentence)
    {
        var result = SurveyFile.Read(text);
        Assert.Contains(sentence, SurveyFile.Faults(result));
        Assert.Empty(result.Rows);
        Assert.Empty(result.Dialect);
    }

    [Fact]
    public void All_faults_of_a_file_are_told_at_once()
    {
        var result = SurveyFile.Read("station;z_mm;w\nR1-01;0,1;\nR1-02;x;\nR9;0,1;\nR1-01;NaN;\n");
        Assert.Equal(
            [
                "line 1, column w", "line 2", "line 3", "line 4, column station", "line 4", "line 5, column station", "line 5", "line 5, column station",
            ],
            SurveyFile.Faults(SurveyFile.Read("station;z_mm;w\nR1-01;0,1\nR1-02;x\nR9;0,1\nR1-01;NaN\n")).Select(f => f.Split(':')[0]));
        Assert.Equal(
            ["line 1, column w", "line 3, column z_mm", "line 4, column station", "line 5, column station", "line 5, column z_mm", "line 5, column station"],
            SurveyFile.Faults(result).Select(f => f.Split(':')[0]));
    }

    [Fact]
    public void No_more_than_two_hundred_faults_are_told()
    {
        var result = SurveyFile.Read("station,z_mm\n" + string.Concat(Enumerable.Repeat("R1-01,x\n", 1_000)));
        Assert.Equal(200, result.Faults.Length);
    }

    [Fact]
    public void Bytes_of_an_older_encoding_are_refused_at_their_place()
    {
        var result = SurveyFile.Read(Encoding.Latin1.GetBytes("station,z_mm\r\nR1-01,0\r\nMü,1\r\n"));
        Assert.Equal(
            ["line 3, character 2: found byte 0xFC, which is not UTF-8, expected UTF-8, or UTF-16 with a byte order mark; the file seems to be in an older encoding such as Latin-1: save it as CSV UTF-8"],
            SurveyFile.Faults(result));
    }

    [Fact]
    public void Wide_text_without_its_mark_or_cut_in_half_is_refused()
    {
        Assert.Contains("found U+0000", SurveyFile.Read(Encoding.Unicode.GetBytes("station,z_mm")).Faults.Single().ToString(), StringComparison.Ordinal);
        Assert.Contains("U+FFFD", SurveyFile.Read([0xFF, 0xFE, .. Encoding.Unicode.GetBytes("station,z_mm\n"), 0x52]).Faults.Single().ToString(), StringComparison.Ordinal);
        Assert.Contains("U+FFFD", SurveyFile.Read([0xFF, 0xFE, .. Encoding.Unicode.GetBytes("station,z_mm\n"), 0x00, 0xD8]).Faults.Single().ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void A_file_is_read_up_to_two_million_bytes_and_not_one_more()
    {
        var text = SurveyFile.Text(",", "\n", "1");
        var most = Encoding.UTF8.GetBytes(text + new string('\n', 2_000_000 - text.Length));
        Assert.Empty(SurveyFile.Read(most).Faults);
        Assert.Equal(
            ["line 1: found 2000001 bytes, expected at most 2000000 bytes; larger files go through the command line"],
            SurveyFile.Faults(SurveyFile.Read([.. most, (byte)'\n'])));
    }

    [Theory]
    [InlineData(',')]
    [InlineData('\n')]
    [InlineData('"')]
    [InlineData('x')]
    [InlineData(';')]
    public void Two_million_of_one_character_are_refused_soon(char c)
    {
        var clock = System.Diagnostics.Stopwatch.StartNew();
        Assert.NotEmpty(SurveyFile.Read(new string(c, 2_000_000)).Faults);
        Assert.NotEmpty(SurveyFile.Read("station,z_mm\n" + new string(c, 1_900_000)).Faults);
        Assert.True(clock.Elapsed < TimeSpan.FromSeconds(10), $"{clock.Elapsed}");
    }

    [Theory]
    [InlineData(PlaceKind.Between)]
    [InlineData(PlaceKind.Whole)]
    public void A_survey_without_stations_takes_no_file(PlaceKind places)
    {
        var survey = SurveyFile.Of(places, SurveyFile.Heights.Columns);
        var result = SurveyFileReader.Read("bed.csv", "station,z_mm\n"u8.ToArray(), survey, SurveyFile.Stations, SurveyFile.All, "mm");
        Assert.Equal(["line 1: found a file for survey bed-heights, expected a survey with numbers at stations; this one is typed"], SurveyFile.Faults(result));
    }

    [Fact]
    public void The_name_of_a_file_cannot_break_the_sentence()
    {
        var result = SurveyFileReader.Read("a\nb\u202E.csv", Array.Empty<byte>(), SurveyFile.Heights, SurveyFile.Stations, SurveyFile.All, "mm");
        Assert.Equal("a‹U+000A›b‹U+202E›.csv line 1", result.Faults.Single().Where);
    }
}
