using System.Collections.Immutable;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Surveys;
using Xunit;
using static BuildTrack.Records.Tests.SurveyFiles.OwnColumnsFile;

namespace BuildTrack.Records.Tests.SurveyFiles;

/// <summary>What is refused of a file with a header of its own, and the sentence that says why.</summary>
public class OwnColumnsFaultTests
{
    [Theory]
    // The header
    [InlineData("No,Pos,Dev +,Dev\n1,0,1,2\n", "line 1, column Dev -: found no such column, expected one of No, Pos, Dev +, Dev")]
    [InlineData("\nTitle\nNo;Pos;Dev +;Pos\n1;0;1;2\n", "line 3, column Pos: found 'Pos' a second time (as columns 2 and 4), expected one of No, Pos, Dev +, Pos")]
    [InlineData("nothing here\n", "line 1, column Pos: found no such column, expected a header of two columns or more, separated by comma, semicolon or tab")]
    [InlineData("", "line 1: found an empty file, expected a header and one line for each station")]
    // Rows
    [InlineData("No,Pos,Dev +,Dev -\n1,0,1\n", "line 2: found 3 cells, expected 4, as in the header")]
    [InlineData("No,Pos,Dev +,Dev -\n1,0,1,5,2\n", "line 2: found 5 cells, expected 4, as in the header; a decimal comma needs quotes, or semicolons between the cells")]
    [InlineData("No,Pos,Dev +,Dev -\n1,0,1,2\n2,0.2,1,2\n", "line 3, column Pos: found '0.2', station X-01 a second time (first in line 2), expected each station once")]
    [InlineData("No,Pos,Dev +,Dev -\n1,100,1,2\n", "line 2, column Pos: found '100', no station, expected within 0.5 mm of one of X-01 at 0, X-02 at 200, X-03 at 400, X-04 at 600")]
    [InlineData("No,Pos,Dev +,Dev -\n1,start,1,2\n", "line 2, column Pos: found 'start', expected a number and nothing else; 's' does not belong to it")]
    [InlineData("No,Pos,Dev +,Dev -\n1,,1,2\n", "line 2, column Pos: found nothing, expected a number")]
    [InlineData("No,Pos,Dev +,Dev -\n1,0,NaN,2\n", "line 2, column Dev +: found 'NaN', expected a finite number")]
    [InlineData("No,Pos,Dev +,Dev -\n1,0,1,\n", "line 2, column Dev -: found nothing, expected a number")]
    [InlineData("No;Pos;Dev +;Dev -\n1;0;1,5;2.5\n", "line 2, column Dev -: found '2.5', expected decimal comma, as in line 2: one decimal sign throughout the file")]
    [InlineData("No,Pos,Dev +,Dev -\n1,0,1,2\n2,200,1,2\n4,600,1,2\n", "line 4, column Pos: found no line for X-03, expected one line for each of 4 stations")]
    [InlineData("No,Pos,Dev +,Dev -\n1,0,\"1,2\n", "line 2, character 5: found a quote that is never closed, expected a closing quote before the next cell")]
    public void A_fault_says_where_what_and_what_was_expected(string text, string sentence)
    {
        var result = ReadAxis(text, OfAxis(PlaceWay.Millimetres));
        Assert.Contains(sentence, Faults(result));
        Assert.Empty(result.Rows);
        Assert.Empty(result.Dialect);
    }

    [Theory]
    [InlineData(PlaceWay.Minutes, "0\n1\n0.9\n3\n4\n", "line 4, column Time: found '0.9' after '1' in line 3, expected times that do not go backwards")]
    [InlineData(PlaceWay.Clock, "10:00\n10:01\n10:00:59\n10:03\n10:04\n", "line 4, column Time: found '10:00:59' after '10:01' in line 3, expected times that do not go backwards")]
    [InlineData(PlaceWay.Clock, "10:00\n10:01\n10:62\n10:03\n10:04\n", "line 4, column Time: found '10:62', expected a time of day, as in 14:05 or 14:05:30")]
    [InlineData(PlaceWay.Clock, "10:00\n\"\"\n10:02\n10:03\n10:04\n", "line 3, column Time: found nothing, expected a time of day, as in 14:05 or 14:05:30")]
    [InlineData(PlaceWay.Minutes, "0\n1:00\n2\n3\n4\n", "line 3, column Time: found '1:00', expected a number and nothing else; ':' does not belong to it")]
    [InlineData(PlaceWay.Minutes, "0\n1\n2.6\n3\n4\n", "line 6, column Time: found no line for M002, expected one line for each of 5 stations, nearer to its time than 0.5 min")]
    [InlineData(PlaceWay.Seconds, "0\n1\n2\n3\n4\n", "line 6, column Time: found no line for M001, M002, M003, M004, expected one line for each of 5 stations, nearer to its time than 0.5 min")]
    [InlineData(PlaceWay.Station, "M000\nM001\nM001\nM003\nM004\n", "line 4, column Time: found station M001 a second time (first in line 3), expected each station once")]
    [InlineData(PlaceWay.Station, "M000\nM001\nM02\nM003\nM004\n", "line 4, column Time: found unknown station 'M02', expected one of M000, M001, M002, M003, M004")]
    public void A_fault_of_a_time_says_where_what_and_what_was_expected(PlaceWay way, string times, string sentence)
    {
        var result = ReadLog("Power;Time\n" + times.TrimEnd().Split('\n').Aggregate("", (text, t) => $"{text}100;{t}\n"), OfLog(way));
        Assert.Contains(sentence, Faults(result));
        Assert.Empty(result.Rows);
    }

    [Fact]
    public void Two_stations_at_one_position_are_told_apart_by_names_only()
    {
        ImmutableArray<Domain.Checklists.Station> both = [.. Targets, new("Y-01", 200.3, 900)];
        var result = SurveyFileReader.Read(
            "axis.csv", "Pos,Dev +,Dev -\n200,1,2\n"u8.ToArray(), Axis, both, both.Select(s => s.Id).ToHashSet(), new Dictionary<string, string> { ["forward"] = "µm", ["backward"] = "µm" }, OfAxis(PlaceWay.Millimetres));
        Assert.Contains("line 2, column Pos: found '200', stations X-02 and Y-01, expected a position within 0.5 mm of one station alone; names of stations tell them apart", Faults(result));
    }

    [Fact]
    public void What_is_said_of_the_columns_is_looked_at_before_the_file()
    {
        const string Text = "No,Pos,Dev +,Dev -\n";
        string[] Of(ColumnMapping mapping) => [.. Faults(ReadAxis(Text, mapping))];
        var good = OfAxis(PlaceWay.Millimetres);
        Assert.Equal(["mapping, column forward: found unit 'W', expected one of µm, m, mm", "mapping, column backward: found unit 'W', expected one of µm, m, mm"], Of(OfAxis(PlaceWay.Millimetres, "W")));
        Assert.Equal(["mapping, column forward: found no unit, expected one of µm, m, mm", "mapping, column backward: found no unit, expected one of µm, m, mm"], Of(OfAxis(PlaceWay.Millimetres, "")));
        Assert.Equal(["mapping, place: found time in s, expected one of station names, position in mm, position in m, as survey x-window has its places"], Of(OfAxis(PlaceWay.Seconds)));
        Assert.Equal(["mapping, column backward: found nothing, expected one column of the file"], Of(good with { Values = [good.Values[0]] }));
        Assert.Equal(["mapping, column forward: found named more than once, expected one column of the file"], Of(good with { Values = [.. good.Values, new("forward", "No", "µm")] }));
        Assert.Equal(["mapping, column sideways: found no such column of survey x-window, expected one of forward, backward"], Of(good with { Values = [.. good.Values, new("sideways", "No", "µm")] }));
        Assert.Equal(["mapping: found 'Dev +' for two things, expected each column of the file for one thing"], Of(OfAxis(PlaceWay.Millimetres, backward: "DEV + ")));
        Assert.Equal(["mapping, column backward: found nothing, expected a column of the file"], Of(OfAxis(PlaceWay.Millimetres, backward: " ")));
        Assert.Equal(["mapping, place: found nothing, expected a column of the file"], Of(OfAxis(PlaceWay.Millimetres, place: "")));
        Assert.Equal(
            ["mapping, place: found position in mm, expected one of time in s, time in min, time in h, clock time, station names, as survey power-log has its places"], Faults(ReadLog("a,b\n", OfLog(PlaceWay.Millimetres, place: "a", power: "b"))));
    }

    [Fact]
    public void A_division_of_a_level_is_worth_nothing_without_its_register()
    {
        Assert.Equal(["div"], ColumnMapping.UnitsFor("div"));
        Assert.Equal(["µm/m", "arcsec", "mm/m"], ColumnMapping.UnitsFor("µm/m"));
        Assert.Equal(["W", "kW"], ColumnMapping.UnitsFor("W"));
    }

    [Theory]
    [InlineData("")]
    [InlineData("{}")]
    [InlineData("null")]
    [InlineData("[1]")]
    [InlineData("""{"place":{"name":"a","way":"furlongs"},"values":[]}""")]
    [InlineData("""{"place":{"name":"a","way":"station"}}""")]
    [InlineData("""{"place":{"name":"a","way":"station"},"values":[{"column":"z"}]}""")]
    [InlineData("""{"place":{"name":"a","way":"station"},"values":[null]}""")]
    [InlineData("""{"place":{"name":"\ud800","way":1},"values":[]}""")]
    public void What_a_program_says_of_the_columns_and_is_no_mapping_is_refused(string json)
    {
        var fault = Assert.Single(Assert.Throws<BadInputException>(() => ColumnMapping.Parse(json)).Faults);
        Assert.Equal("mapping", fault.Where);
        Assert.StartsWith("which column is what, as in {\"place\":", fault.Expected, StringComparison.Ordinal);
    }

    [Fact]
    public void What_a_program_says_of_the_columns_is_understood()
    {
        var mapping = ColumnMapping.Parse("""{"place":{"name":"Pos","way":"metres"},"values":[{"column":"forward","name":"Dev +","unit":"μm"}]}""");
        Assert.Equal(new PlaceColumn("Pos", PlaceWay.Metres), mapping.Place);
        Assert.Equal([new ValueColumn("forward", "Dev +", "µm")], mapping.Values);
    }

    [Fact]
    public void Two_million_bytes_of_a_log_are_read_soon()
    {
        var row = string.Concat(Enumerable.Repeat("1,2\n", 490_000));
        var clock = System.Diagnostics.Stopwatch.StartNew();
        Assert.NotEmpty(ReadLog("Time,Power\n" + row, OfLog(PlaceWay.Minutes)).Faults);
        Assert.True(clock.Elapsed < TimeSpan.FromSeconds(10), $"{clock.Elapsed}");
    }
}
