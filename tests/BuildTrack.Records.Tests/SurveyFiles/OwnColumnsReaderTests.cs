using System.Globalization;
using System.Text;
using BuildTrack.Records.Surveys;
using Xunit;
using static BuildTrack.Records.Tests.SurveyFiles.OwnColumnsFile;

namespace BuildTrack.Records.Tests.SurveyFiles;

/// <summary>A file with a header of its own, read by what is said of its columns.</summary>
public class OwnColumnsReaderTests
{
    private const string Positions = "Pos;Dev +;Dev -\n0;1.5;2\n200.4;-3;4\n399.6;5;6\n600;7;8\n";

    [Fact]
    public void Positions_find_their_stations_within_half_a_millimetre()
    {
        var result = ReadAxis(Positions, OfAxis(PlaceWay.Millimetres));
        Assert.Empty(Faults(result));
        Assert.Equal(
            ["X-01 forward 1.5 µm", "X-01 backward 2 µm", "X-02 forward -3 µm", "X-02 backward 4 µm", "X-03 forward 5 µm", "X-03 backward 6 µm", "X-04 forward 7 µm", "X-04 backward 8 µm"], Rows(result));
        Assert.Equal([2, 2, 3, 3, 4, 4, 5, 5], result.Rows.Select(r => r.Line));
        Assert.Equal([1500L, 2000L, -3000L], result.Rows.Take(3).Select(r => r.Nanometres!.Value));
        Assert.Equal("semicolon, decimal point, position in mm from 'Pos', forward in µm from 'Dev +', backward in µm from 'Dev -'", result.Dialect);
    }

    [Theory]
    [InlineData("200.5", true)]
    [InlineData("199.5", true)]
    [InlineData("200.501", false)]
    [InlineData("199.499", false)]
    public void Half_a_millimetre_is_still_the_station_and_more_is_none(string position, bool found)
    {
        var result = ReadAxis(Positions.Replace("200.4", position, StringComparison.Ordinal), OfAxis(PlaceWay.Millimetres));
        Assert.Equal(found ? [] : [$"line 3, column Pos: found '{position}', no station, expected within 0.5 mm of one of X-01 at 0, X-02 at 200, X-03 at 400, X-04 at 600", "line 5, column Pos: found no line for X-02, expected one line for each of 4 stations"], Faults(result));
        Assert.Equal(found ? 8 : 0, result.Rows.Length);
    }

    [Fact]
    public void Positions_may_be_in_metres_and_values_in_another_unit_than_the_instrument_shows()
    {
        var result = ReadAxis("Pos,Dev +,Dev -\n0,0.0015,0.002\n0.2,0.003,0.004\n0.4,0.005,0.006\n0.6,7e-3,0.008\n", OfAxis(PlaceWay.Metres, "mm"));
        Assert.Empty(Faults(result));
        Assert.Equal(["0.0015 mm", "7e-3 mm"], new[] { result.Rows[0], result.Rows[6] }.Select(r => $"{r.Typed} {r.Unit}"));
        Assert.Equal([1500L, 7000L], new[] { result.Rows[0], result.Rows[6] }.Select(r => r.Nanometres!.Value));
    }

    /// <summary>Every degree is written, from 90° on and clockwise past the zero; the rows nearest to the eight angles are taken, and the last part of a turn is near to its first place.</summary>
    [Fact]
    public void Angles_are_taken_wherever_the_path_begins_and_whichever_way_it_goes_round()
    {
        var rows = Enumerable.Range(0, 360).Select(i => 90.4 - i).Select(a => FormattableString.Invariant($"{a:0.0};{a + 1000:0.0};{2000 - a:0.0}"));
        var result = ReadCircle(string.Join('\n', rows.Prepend("Angle;CW;CCW")));
        Assert.Empty(Faults(result));
        Assert.Equal(
            ["A000 clockwise 1000.4 µm", "A045 clockwise 1045.4 µm", "A090 clockwise 1090.4 µm", "A135 clockwise 775.4 µm", "A180 clockwise 820.4 µm", "A225 clockwise 865.4 µm", "A270 clockwise 910.4 µm", "A315 clockwise 955.4 µm"],
            Rows(result).Where((_, i) => i % 2 == 0).Order(StringComparer.Ordinal));
        Assert.EndsWith("360 rows, the nearest to each of 8 angles taken, 352 left out", result.Dialect, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("0;1;2\n45;1;2\n90;1;2\n135;1;2\n180;1;2\n225;1;2\n270;1;2\n", "column Angle: found no line for A315, expected one line for each of 8 stations, nearer to its angle than 22.5°")]
    [InlineData("east;1;2\n", "line 2, column Angle: found 'east', expected ")]
    public void An_angle_that_is_missing_or_none_is_named(string rows, string fault) =>
        Assert.Contains(Faults(ReadCircle("Angle;CW;CCW\n" + rows)), f => f.Contains(fault, StringComparison.Ordinal));

    [Fact]
    public void Names_find_their_stations()
    {
        var result = ReadAxis("Note\tPoint\tDev +\tDev -\na\tX-02\t3\t4\n\tX-01\t1\t2\nb\tX-04\t7\t8\nc\tX-03\t5\t6\n", OfAxis(PlaceWay.Station, place: "point"));
        Assert.Empty(Faults(result));
        Assert.Equal(["X-02", "X-01", "X-04", "X-03"], result.Rows.Select(r => r.Place).Distinct());
        Assert.StartsWith("tab, whole numbers, station names from 'point'", result.Dialect, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("utf-8")]
    [InlineData("utf-16")]
    [InlineData("utf-16BE")]
    public void Decimal_commas_semicolons_marks_titles_and_columns_that_nobody_named_are_no_hindrance(string encoding)
    {
        const string Text = "Interferometer \"axis\", serial 12\r\n\r\nMeasured by RT\r\nNo.;Pos;Remark, free;Dev +;Dev -;Air\r\n1;0,0;ok;1,5;2;n/a\r\n2;200,0;\"a;b\";-3,25;4;?\r\n3;400;;5;6;\"\"\r\n4;600;x;7;8;1.5\r\n";
        var code = Encoding.GetEncoding(encoding);
        var result = ReadAxis([.. code.GetPreamble(), .. code.GetBytes(Text)], OfAxis(PlaceWay.Millimetres));
        Assert.Empty(Faults(result));
        Assert.Equal([1500L, 2000L, -3250L], result.Rows.Take(3).Select(r => r.Nanometres!.Value));
        Assert.Equal([5, 6, 7, 8], result.Rows.Select(r => r.Line).Distinct());
        Assert.Equal("semicolon, decimal comma, position in mm from 'Pos', forward in µm from 'Dev +', backward in µm from 'Dev -', 2 lines before the header skipped", result.Dialect);
    }

    [Fact]
    public void Only_the_places_of_the_run_are_wanted_and_a_row_of_another_is_a_fault()
    {
        Assert.Equal(4, ReadAxis("Pos,Dev +,Dev -\n200,3,4\n400,5,6\n", OfAxis(PlaceWay.Millimetres), "X-02", "X-03").Rows.Length);
        Assert.Equal(
            ["line 2, column Pos: found '0', station X-01, which is not to be measured in this run, expected one of X-02, X-03"],
            Faults(ReadAxis("Pos,Dev +,Dev -\n0,1,1\n200,3,4\n400,5,6\n", OfAxis(PlaceWay.Millimetres), "X-02", "X-03")));
    }

    [Theory]
    [InlineData(PlaceWay.Minutes, "0;1;2;3;4")]
    [InlineData(PlaceWay.Seconds, "0,4;60;119,5;180;240")]
    [InlineData(PlaceWay.Hours, "0;0,0166667;0,0333333;0,05;0,0666667")]
    [InlineData(PlaceWay.Clock, "14:05;14:06;14:07;14:08;14:09")]
    [InlineData(PlaceWay.Clock, "23:57:30;23:58:31,5;23:59:30;0:00:20;00:01:30")]
    public void Times_find_their_minutes(PlaceWay way, string times)
    {
        var text = "Time;Power\n" + string.Concat(times.Split(';').Select((t, i) => $"{t};{3000 + i},5\n"));
        var result = ReadLog(text, OfLog(way));
        Assert.Empty(Faults(result));
        Assert.Equal(Enumerable.Range(0, 5).Select(i => $"M{i:000} p {3000 + i},5 W"), Rows(result));
        Assert.Equal(3000.5, result.Rows[0].Number);
        Assert.EndsWith("5 rows, the nearest to each minute taken, none left out", result.Dialect, StringComparison.Ordinal);
    }

    [Fact]
    public void Of_a_long_log_the_row_nearest_to_each_minute_counts()
    {
        var text = new StringBuilder("Power meter; head 7\nt [s],P [kW],T [°C]\n");
        for (var i = 0; i < 2_400; i++)
        {
            // Late by a part of the tenth all the way.
            text.Append(CultureInfo.InvariantCulture, $"{(i * 0.1) + 0.03:0.00},{3 + (i * 0.001):0.000},21\n");
        }

        var result = ReadLog(text.ToString(), OfLog(PlaceWay.Seconds, "kW", "t [s]", "P [kW]"), "M000", "M001", "M002", "M003");
        Assert.Empty(Faults(result));
        Assert.Equal(["M000 p 3.000 kW", "M001 p 3.600 kW", "M002 p 4.200 kW", "M003 p 4.800 kW"], Rows(result));
        Assert.Equal(
            "comma, decimal point, time in s from 't [s]', p in kW from 'P [kW]', 1 line before the header skipped, 2\u00A0400 rows, the nearest to each of 4 times taken, 2\u00A0396 left out", result.Dialect);
    }

    [Fact]
    public void A_row_that_is_left_out_need_hold_no_number_but_one_that_counts_does()
    {
        const string Text = "Time;Power\n0;1\n0,4;starting\n1;2\n2;3\n3;4\n4;5\n";
        Assert.Empty(Faults(ReadLog(Text, OfLog(PlaceWay.Minutes))));
        Assert.Equal(
            ["line 3, column Power: found 'starting', expected a number and nothing else; 's' does not belong to it"],
            Faults(ReadLog(Text.Replace("1;2\n", "1;starting\n", StringComparison.Ordinal).Replace("0,4;starting\n", "", StringComparison.Ordinal), OfLog(PlaceWay.Minutes))));
    }

    [Fact]
    public void Half_way_between_two_times_a_row_counts_for_neither_and_of_two_equally_near_the_earlier_counts()
    {
        Assert.Equal(
            ["line 7, column Time: found no line for M001, expected one line for each of 5 stations, nearer to its time than 0.5 min"],
            Faults(ReadLog("Time,Power\n0,1\n0.5,2\n1.5,3\n2,4\n3,5\n4,6\n", OfLog(PlaceWay.Minutes))));
        var result = ReadLog("Time,Power\n0,1\n59,2\n61,3\n120,4\n180,5\n240,6\n", OfLog(PlaceWay.Seconds));
        Assert.Equal(["M000", "M001 of line 3", "M002", "M003", "M004"], result.Rows.Select(r => r.Place == "M001" ? $"M001 of line {r.Line}" : r.Place));
    }
}
