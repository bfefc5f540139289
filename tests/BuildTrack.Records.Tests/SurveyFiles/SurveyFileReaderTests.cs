using System.Collections.Immutable;
using System.Text;
using BuildTrack.Domain.Checklists;
using BuildTrack.Records.Surveys;
using Xunit;

namespace BuildTrack.Records.Tests.SurveyFiles;

/// <summary>What is accepted, and how it is understood.</summary>
public class SurveyFileReaderTests
{
    [Theory]
    [InlineData(",", "0.031", "comma, decimal point, z in mm")]
    [InlineData(",", "\"0,031\"", "comma, decimal comma, z in mm")]
    [InlineData(";", "0,031", "semicolon, decimal comma, z in mm")]
    [InlineData(";", "0.031", "semicolon, decimal point, z in mm")]
    [InlineData("\t", "0,031", "tab, decimal comma, z in mm")]
    [InlineData("\t", "3.1e-2", "tab, decimal point, z in mm")]
    public void Separators_and_decimal_signs_are_recognised(string separator, string value, string dialect)
    {
        var result = SurveyFile.Read(SurveyFile.Text(separator, "\n", value));
        Assert.Empty(result.Faults);
        Assert.Equal(dialect, result.Dialect);
        Assert.Equal(new PreviewRow(2, "R1-01", "z", value.Trim('"'), "mm", 31_000, null), result.Rows[0]);
        Assert.Equal(["R1-01", "R1-02", "R2-01", "R2-02"], result.Rows.Select(r => r.Place));
        Assert.Equal([2, 3, 4, 5], result.Rows.Select(r => r.Line));
    }

    [Theory]
    [InlineData("\n")]
    [InlineData("\r\n")]
    [InlineData("\r")]
    public void Every_line_end_is_read_and_blank_lines_are_passed_over_but_counted(string end)
    {
        var result = SurveyFile.Read(end + SurveyFile.Text(";", end + ";;" + end, "1"));
        Assert.Empty(result.Faults);
        Assert.Equal([4, 6, 8, 10], result.Rows.Select(r => r.Line));
    }

    [Fact]
    public void Every_encoding_with_a_byte_order_mark_is_read()
    {
        var text = SurveyFile.Text(";", "\r\n", "\u22120,031", "1\u202F234,5");
        foreach (var encoding in new Encoding[] { new UTF8Encoding(true), new UnicodeEncoding(false, true), new UnicodeEncoding(true, true) })
        {
            var result = SurveyFile.Read([.. encoding.GetPreamble(), .. encoding.GetBytes(text)]);
            Assert.Empty(result.Faults);
            Assert.Equal([-31_000L, 1_234_500_000L, 0L, 0L], result.Rows.Select(r => r.Nanometres));
            Assert.Equal("\u22120,031", result.Rows[0].Typed);
            Assert.Equal("1\u202F234,5", result.Rows[1].Typed);
        }
    }

    [Fact]
    public void Quotes_may_stand_around_any_cell_and_reach_over_lines()
    {
        var result = SurveyFile.Read("\"station\",\"z_mm\"\n\"R1-01\",\"\n0.1\r\n\"\n\"R1-02\" ,0.2\nR2-01,0.3\nR2-02,0.4");
        Assert.Empty(result.Faults);
        Assert.Equal([(2, 100_000L), (5, 200_000L), (6, 300_000L), (7, 400_000L)], result.Rows.Select(r => (r.Line, r.Nanometres!.Value)));
    }

    [Fact]
    public void Columns_may_stand_in_any_order_and_empty_cells_at_the_end_do_not_count()
    {
        var result = SurveyFile.Read(" Z_MM ;Station;;\n0,1;R2-02\n0,2;R2-01;\n0,3;R1-02;;;\n0,4; R1-01 ;");
        Assert.Empty(result.Faults);
        Assert.Equal(["R2-02", "R2-01", "R1-02", "R1-01"], result.Rows.Select(r => r.Place));
    }

    [Fact]
    public void Places_that_are_repeated_must_agree_with_the_layout_to_a_micrometre()
    {
        const string Text = "station,x_mm,y_mm,z_mm\nR1-01,0,0,1\nR1-02,250.001,0,1\nR2-01,0,1450.499,1\nR2-02,250,1450.5,1\n";
        Assert.Empty(SurveyFile.Read(Text).Faults);
        Assert.Equal(
            ["line 3, column x_mm: found '250.002', expected 250, as in the layout", "line 4, column y_mm: found '1450.498', expected 1450.5, as in the layout"],
            SurveyFile.Faults(SurveyFile.Read(Text.Replace("250.001", "250.002", StringComparison.Ordinal).Replace("1450.499", "1450.498", StringComparison.Ordinal))));
    }

    [Theory]
    [InlineData("µm", "z_um", 12_000L, null)]
    [InlineData("µm", "z_µm", 12_000L, null)]
    [InlineData("µm/m", "z_um_per_m", null, 12.0)]
    [InlineData("arcsec", "z_arcsec", null, 12.0)]
    [InlineData("°C", "z_degC", null, 12.0)]
    [InlineData("%", "z_percent", null, 12.0)]
    [InlineData("MΩ", "z_Mohm", null, 12.0)]
    public void The_header_names_the_unit_that_the_instrument_shows(string unit, string header, long? nanometres, double? number)
    {
        var result = SurveyFile.Read(SurveyFile.Text(",", "\n", "12").Replace("z_mm", header, StringComparison.Ordinal), unit);
        Assert.Empty(result.Faults);
        Assert.Equal(new PreviewRow(2, "R1-01", "z", "12", unit, nanometres, number), result.Rows[0]);
        Assert.Equal($"comma, whole numbers, z in {unit}", result.Dialect);
    }

    [Fact]
    public void A_run_over_some_places_takes_these_and_no_others()
    {
        ImmutableHashSet<string> again = ["R1-02", "R2-01"];
        var result = SurveyFileReader.Read("bed.csv", "station,z_mm\nR2-01,1\nR1-02,2\n"u8.ToArray(), SurveyFile.Heights, SurveyFile.Stations, again, "mm");
        Assert.Empty(result.Faults);
        Assert.Equal(2, result.Rows.Length);

        result = SurveyFileReader.Read("bed.csv", "station,z_mm\nR2-01,1\nR2-02,2\n"u8.ToArray(), SurveyFile.Heights, SurveyFile.Stations, again, "mm");
        Assert.Equal(
            [
                "line 3, column station: found station R2-02, which is not to be measured in this run, expected one of R1-02, R2-01",
                "line 3, column station: found no line for R1-02, expected one line for each of 2 stations",
            ],
            SurveyFile.Faults(result));
    }

    [Fact]
    public void A_survey_with_several_columns_takes_one_reading_of_each()
    {
        var survey = SurveyFile.Of(
            PlaceKind.At, new Column("z", "Height", ValueKind.Number, "height", "mm", []), new Column("temp", "Temperature", ValueKind.Number, "temperature", "°C", []),
            new Column("note", "Note", ValueKind.Text, null, null, []));
        const string Text = "station;z_um;temp_degC\nR1-01;1;20,1\nR1-02;2;20,2\nR2-01;3;20,3\nR2-02;4;20,4\n";
        var result = SurveyFileReader.Read("bed.csv", Encoding.UTF8.GetBytes(Text), survey, SurveyFile.Stations, SurveyFile.All, "µm");
        Assert.Empty(result.Faults);
        Assert.Equal(8, result.Rows.Length);
        Assert.Equal(new PreviewRow(3, "R1-02", "temp", "20,2", "°C", null, 20.2), result.Rows[3]);
        Assert.Equal("semicolon, decimal comma, z in µm, temp in °C", result.Dialect);

        var units = new Dictionary<string, string> { ["z"] = "µm", ["temp"] = "K" };
        Assert.Equal(
            ["line 1, column temp_degC: found 'temp_degC', that is °C, expected temp_K: the instrument shows K"],
            SurveyFile.Faults(SurveyFileReader.Read("bed.csv", Encoding.UTF8.GetBytes(Text), survey, SurveyFile.Stations, SurveyFile.All, units)));
    }

    [Fact]
    public void A_long_file_is_read_in_full()
    {
        ImmutableArray<Station> stations = [.. Enumerable.Range(1, 50_000).Select(i => new Station($"P{i}", i, 0))];
        var text = "station,z_mm\n" + string.Concat(stations.Select(s => $"{s.Id},{s.XMm % 10:0.000000}\n"));
        var result = SurveyFileReader.Read("bed.csv", Encoding.UTF8.GetBytes(text), SurveyFile.Heights, stations, stations.Select(s => s.Id).ToHashSet(), "mm");
        Assert.Empty(result.Faults);
        Assert.Equal(50_000, result.Rows.Length);
        Assert.Equal(50_001, result.Rows[^1].Line);
    }
}
