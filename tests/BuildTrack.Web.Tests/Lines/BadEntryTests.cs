using System.Text.Json.Nodes;

namespace BuildTrack.Web.Tests.Lines;

/// <summary>Slips of entry as the floor makes them (common practice, no source): each is refused by name with its place, and nothing of it is kept.</summary>
public sealed class BadEntryTests(MeasuredLines lines) : IClassFixture<MeasuredLines>
{
    private static readonly double[] Rises = [12, -18, 25, -9, 21, -30];

    /// <summary>What is sent as readings into an open autocollimator run, and where it is refused, with what found and what expected.</summary>
    public static TheoryData<string, string, string?, string, string, string> Typed => new()
    {
        { "M0→M1", "4", "µm/m", "M0→M1", "'4' in µm/m", "a value in arcsec, the unit of AC-SEC" },
        { "M0→M1", "4", "div", "M0→M1", "'4' in div", "a value in arcsec" },
        { "M0→M1", "1.234,5", null, "M0→M1", "'1.234,5'", "" },
        { "M0→M1", "1,234.5", null, "M0→M1", "'1,234.5'", "" },
        { "M0→M1", "NaN", null, "M0→M1", "'NaN'", "a finite number" },
        { "M0→M1", "-Infinity", null, "M0→M1", "'-Infinity'", "a finite number" },
        { "M0→M1", "four", null, "M0→M1", "'four'", "" },
        { "M0→M1", "", null, "M0→M1", "''", "a number" },
        { "M0→M2", "4", null, "M0→M2", "place 'M0→M2'", "M0→M1 to M5→M6" },
        { "M3", "4", null, "M3", "place 'M3'", "M0→M1 to M5→M6" },
        { "L0→L1", "4", null, "L0→L1", "place 'L0→L1'", "M0→M1 to M5→M6" },
        { "M1→M2", "4", null, "M1→M2", "a second value '4'", "one value" },
    };

    [Theory]
    [MemberData(nameof(Typed))]
    public async Task A_slip_in_one_value_refuses_all_that_were_sent_with_it(string place, string typed, string? unit, string where, string found, string expected)
    {
        var serial = await Survey.Order(lines.Server, MeasuredLines.Model);
        var run = await Begin(serial, "outward");
        await Record(serial, run, ("M1→M2", "1", null));
        var before = await State(serial);
        var problem = await (await Send(serial, run, ("M4→M5", "3", null), (place, typed, unit))).Problem(400);
        var fault = Assert.Single(problem["errors"]!.AsArray());
        Assert.StartsWith(where + ",", (string)fault!["where"]!, StringComparison.Ordinal);
        Assert.Contains(found, (string)fault["found"]!, StringComparison.Ordinal);
        Assert.Contains(expected, (string)fault["expected"]!, StringComparison.Ordinal);
        Assert.Equal(before, await State(serial));
    }

    /// <summary>A run's fields as they are sent, the field that lacks or is wrong, and what was expected.</summary>
    [Theory]
    [InlineData(null, "plusX", "AC-SEC", "direction", "outward or back")]
    [InlineData("outward", null, "AC-SEC", "arrow of the level", "plusX or minusX")]
    [InlineData("outward", "plusX", "IND-UM", "instrument", "one for slope")]
    [InlineData("outward", "plusX", "AC-99", "instrument", "an instrument of the register")]
    public async Task A_run_without_what_its_sign_or_unit_rests_on_does_not_begin(string? direction, string? arrow, string instrument, string where, string expected)
    {
        var serial = await Survey.Order(lines.Server, MeasuredLines.Model);
        var before = await State(serial);
        var problem = await (await lines.Server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/runs", Run(direction, arrow, instrument))).Problem(400);
        var fault = Assert.Single(problem["errors"]!.AsArray());
        Assert.Equal(where, (string)fault!["where"]!);
        Assert.Contains(expected, (string)fault["expected"]!, StringComparison.Ordinal);
        Assert.Equal(before, await State(serial));
    }

    /// <summary>The mirror carriage was not turned as recorded: the run back is the run out with every sign changed, but for a second of arc.</summary>
    [Fact]
    public async Task Out_and_back_that_cancel_are_not_finished_and_the_run_stays_open()
    {
        var serial = await Survey.Order(lines.Server, MeasuredLines.Model);
        await Finish(serial, await Filled(serial, "outward", Rises));
        var back = await Filled(serial, "back", Rises.Select((r, i) => (i % 2) - r));
        var before = await State(serial);
        var problem = await (await lines.Server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/runs/{back}/finish")).Problem(409);
        Assert.Equal("R-FINISH-02", (string)problem["rule"]!);
        Assert.Equal(before, await State(serial));
    }

    [Fact]
    public async Task A_run_with_a_step_left_out_is_not_finished_and_the_step_is_named()
    {
        var serial = await Survey.Order(lines.Server, MeasuredLines.Model);
        var run = await Filled(serial, "outward", Rises.Take(5));
        var before = await State(serial);
        var problem = await (await lines.Server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/runs/{run}/finish")).Problem(409);
        Assert.Equal("R-FINISH-01", (string)problem["rule"]!);
        Assert.Contains("M5→M6", (string)problem["detail"]!, StringComparison.Ordinal);
        Assert.Equal(before, await State(serial));
    }

    [Fact]
    public async Task With_one_direction_alone_there_is_no_value()
    {
        var serial = await Survey.Order(lines.Server, MeasuredLines.Model);
        var results = await Finish(serial, await Filled(serial, "outward", Rises));
        Assert.Equal(3, results.Count);
        Assert.All(results, r =>
        {
            Assert.Equal("incomplete", (string)r!["result"]!["state"]!);
            Assert.Null(r["result"]!["value"]);
            Assert.Contains("1 of 2 planned passes", r["result"]!["because"]!.ToJsonString(), StringComparison.Ordinal);
        });
    }

    [Fact]
    public async Task A_value_for_the_run_of_another_machine_finds_no_run()
    {
        var (serial, other) = (await Survey.Order(lines.Server, MeasuredLines.Model), await Survey.Order(lines.Server, MeasuredLines.Model));
        var run = await Begin(serial, "outward");
        var before = (await State(serial), await State(other));
        var problem = await (await Send(other, run, ("M0→M1", "4", null))).Problem(404);
        Assert.Contains($"no run {run} on {other}", (string)problem["detail"]!, StringComparison.Ordinal);
        Assert.Equal(before, (await State(serial), await State(other)));
    }

    private static object Run(string? direction, string? arrow, string instrument) => new
    {
        survey = "mirror-line", kind = "pass", direction, arrow, instruments = new[] { instrument }, checks = new[] { new { instrument, found = "steady", inOrder = true } },
    };

    private async Task<long> Begin(string serial, string direction) => (long)(await lines.Server.As("renna").Post($"/machines/{serial}/runs", Run(direction, "plusX", "AC-SEC")))["run"]!;

    private async Task<long> Filled(string serial, string direction, IEnumerable<double> rises)
    {
        var run = await Begin(serial, direction);
        await Record(serial, run, [.. rises.Select((r, i) => ($"M{i}→M{i + 1}", FormattableString.Invariant($"{r}"), (string?)null))]);
        return run;
    }

    private async Task<JsonArray> Finish(string serial, long run) => (await lines.Server.As("renna").Post($"/machines/{serial}/runs/{run}/finish"))["results"]!.AsArray();

    private async Task Record(string serial, long run, params (string Place, string Typed, string? Unit)[] values) => await (await Send(serial, run, values)).Good();

    private Task<HttpResponseMessage> Send(string serial, long run, params (string Place, string Typed, string? Unit)[] values) =>
        lines.Server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/runs/{run}/readings", new { readings = values.Select(v => new { place = v.Place, column = "s", typed = v.Typed, unit = v.Unit }) });

    // Everything that the record says of the machine, and the last act of the plant's history.
    private async Task<(string Machine, string LastAct)> State(string serial) =>
        ((await lines.Server.As("renna").Get($"/machines/{serial}")).ToJsonString(), (await lines.Server.As("renna").Get("/history"))["acts"]![0]!.ToJsonString());
}
