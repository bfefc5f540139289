using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BuildTrack.Records.History;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Web.Tests;

/// <summary>What people really send wrong: each answered where, what was found and what was expected, and nothing is stored.</summary>
public sealed class BadInputTests(Server server) : IClassFixture<Server>
{
    /// <param name="Csv">The file; null where the case has its own.</param>
    public static TheoryData<string, string, string, string, string> Files => new()
    {
        { "wrong column", "station,height_mm\nP1,0.1\n", "column", "height_mm", "z_mm" },
        { "text in a number", Replaced("P2,0.89,0.47,2.05", "P2,0.89,0.47,high"), "line 3", "high", "number" },
        { "NaN", Replaced("P2,0.89,0.47,2.05", "P2,0.89,0.47,NaN"), "line 3", "NaN", "number" },
        { "infinity", Replaced("P2,0.89,0.47,2.05", "P2,0.89,0.47,1e999"), "line 3", "1e999", "" },
        { "missing station", Replaced("P2,0.89,0.47,2.05\n", ""), "station", "P2", "10 stations" },
        { "station twice", Published.TenPoints + "P2,0.89,0.47,2.05\n", "line 12", "P2", "" },
        { "unknown station", Replaced("P2,", "Q2,"), "line 3", "Q2", "" },
        { "place beside the layout", Replaced("P2,0.89", "P2,0.98"), "line 3", "0.98", "0.89" },
        { "unit other than the instrument's", Published.TenPoints.Replace("z_mm", "z_um", StringComparison.Ordinal), "", "z_um", "mm" },
        { "empty file", "", "", "", "" },
        { "heading only", "station,z_mm\n", "", "P1", "10 stations" },
        { "ragged row", Replaced("P2,0.89,0.47,2.05", "P2,0.89,0.47"), "line 3", "", "" },
        { "grouping that could be either", "station;z_mm\nP1;1.234,5\n", "line 2", "1.234,5", "" },
    };

    [Theory]
    [MemberData(nameof(Files))]
    public async Task A_faulty_survey_file_is_refused_with_its_place_and_nothing_is_stored(string what, string csv, string where, string found, string expected)
    {
        Assert.NotEmpty(what);
        var (serial, run) = await OpenRun();
        var before = await Acts();
        var problem = await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/runs/{run}/file?name=bed.csv", Encoding.UTF8.GetBytes(csv))).Problem(400);
        var faults = problem["errors"]!.AsArray();
        Assert.True(faults.Count > 0, problem.ToJsonString());
        Assert.Contains(faults, f => Has(f!, "where", where) && Has(f!, "found", found) && Has(f!, "expected", expected));
        Assert.All(faults, f => Assert.NotEqual("", (string)f!["expected"]!));
        Assert.Equal(before, await Acts());
        Assert.Empty(Readings(await server.As("renna").Get($"/machines/{serial}")));
    }

    [Fact]
    public async Task Decimal_commas_are_accepted_where_the_separator_is_none()
    {
        var (serial, run) = await OpenRun();
        var csv = string.Join('\n', Published.TenPoints.Split('\n').Select(l => l.Replace(',', ';').Replace('.', ',')));
        await server.As("renna").Post($"/machines/{serial}/runs/{run}/file?name=bed.csv", Encoding.UTF8.GetBytes(csv));
        var result = (await server.As("renna").Post($"/machines/{serial}/runs/{run}/finish"))["results"]![0]!["result"]!;
        Assert.Equal(Published.TenPointsLeastSquaresUm, (double)result["value"]!, 0.001);
    }

    [Fact]
    public async Task A_file_beyond_two_megabytes_is_refused_before_it_is_read_whole()
    {
        var (serial, run) = await OpenRun();
        var problem = await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/runs/{run}/file", new byte[2_100_000])).Problem(413);
        Assert.Contains("2000000", ((string)problem["detail"]!).Replace(",", "", StringComparison.Ordinal), StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_unknown_serial_number_is_named()
    {
        var problem = await (await server.As("renna").Send(HttpMethod.Post, "/machines/OV9999-0001/runs", Survey.Begin("ten-point-heights"))).Problem(404);
        Assert.Contains("OV9999-0001", (string)problem["detail"]!, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("tilda")]
    [InlineData("odo")]
    public async Task A_person_without_the_right_may_not_measure(string person)
    {
        var serial = await Survey.Order(server, "TST-10");
        await (await server.As(person).Send(HttpMethod.Post, $"/machines/{serial}/runs", Survey.Begin("ten-point-heights"))).Problem(403);
    }

    [Fact]
    public async Task Nobody_signed_in_gets_nothing()
    {
        await (await server.Nobody().Send(HttpMethod.Get, "/machines")).Problem(401);
        await (await server.Nobody().Send(HttpMethod.Post, "/machines", new { })).Problem(401);
    }

    [Fact]
    public async Task Own_measurement_and_helping_hand_are_refused_at_release()
    {
        var serial = await Survey.Order(server, "TST-10");
        await Survey.Measure(server.As("dov"), serial, "ten-point-heights", Published.TenPoints, helpers: "maren");
        foreach (var person in new[] { "dov", "maren" })
        {
            var before = await Acts();
            var problem = await (await server.As(person).Send(HttpMethod.Post, $"/machines/{serial}/holds/H1/release", new { password = Server.Password }, null, await Survey.Sheet(server.As(person), serial))).Problem(409);
            Assert.Equal("R-RELEASE-04", (string)problem["rule"]!);
            Assert.Equal(before, await Acts());
        }
    }

    [Fact]
    public async Task A_sheet_opened_before_somebody_elses_change_is_refused_with_both_states()
    {
        var serial = await Measured();
        var sheet = await Survey.Sheet(server.As("maren"), serial);
        var run = Runs(await server.As("dov").Get($"/machines/{serial}"))[0];
        await server.As("dov").Post($"/machines/{serial}/runs/{run}/discard", new { reason = "tracker was knocked" });
        var problem = await (await server.As("maren").Send(HttpMethod.Post, $"/machines/{serial}/holds/H1/release", new { password = Server.Password }, null, sheet)).Problem(412);
        Assert.Equal(sheet, (string)problem["seen"]!);
        Assert.NotEqual(sheet, (string)problem["current"]!);
    }

    [Fact]
    public async Task A_release_without_the_sheet_seen_is_refused()
    {
        var serial = await Measured();
        await (await server.As("maren").Send(HttpMethod.Post, $"/machines/{serial}/holds/H1/release", new { password = Server.Password })).Problem(428);
    }

    [Fact]
    public async Task A_wrong_password_releases_nothing()
    {
        var serial = await Measured();
        var before = await Acts();
        var problem = await (await server.As("maren").Send(HttpMethod.Post, $"/machines/{serial}/holds/H1/release", new { password = "not the password" }, null, await Survey.Sheet(server.As("maren"), serial))).Problem(409);
        Assert.Equal("R-RELEASE-06", (string)problem["rule"]!);
        Assert.Equal(before, await Acts());
    }

    [Fact]
    public async Task A_creating_request_without_key_is_refused_and_a_repeated_one_acts_once()
    {
        var serial = await Survey.Order(server, "TST-10");
        var path = $"/machines/{serial}/runs";
        await (await server.As("renna").Send(HttpMethod.Post, path, Survey.Begin("ten-point-heights"), key: "")).Problem(400);
        var first = await server.As("renna").Post(path, Survey.Begin("ten-point-heights"), key: $"k-{serial}");
        var second = await server.As("renna").Post(path, Survey.Begin("ten-point-heights"), key: $"k-{serial}");
        Assert.Equal(first.ToJsonString(), second.ToJsonString());
        await (await server.As("renna").Send(HttpMethod.Post, path, Survey.Begin("ten-point-heights", instrument: "TRK-OLD"), key: $"k-{serial}")).Problem(422);
    }

    [Fact]
    public async Task An_expired_instrument_makes_the_result_not_proven_and_says_so()
    {
        var serial = await Survey.Order(server, "TST-10");
        var result = await Survey.Measure(server.As("renna"), serial, "ten-point-heights", Published.TenPoints, instrument: "TRK-OLD");
        Assert.Equal("notProven", (string)result["verdict"]!);
        Assert.Contains(result["because"]!.AsArray(), b => ((string)b!).Contains("2020-12-31", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("GET", "/nowhere", 404)]
    [InlineData("DELETE", "/machines", 405)]
    public async Task Addresses_and_methods_that_are_none_are_answered_as_problems(string method, string path, int status) =>
        await (await server.As("renna").Send(new HttpMethod(method), path)).Problem(status);

    [Fact]
    public async Task A_body_of_another_type_is_refused_as_a_problem()
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/api/v1/machines") { Content = new StringContent("serial=1", Encoding.UTF8, "application/x-www-form-urlencoded") };
        request.Headers.Add("Idempotency-Key", "x");
        await (await server.As("tilda").SendAsync(request)).Problem(415);
    }

    private static string Replaced(string line, string by) =>
        Published.TenPoints.Contains(line, StringComparison.Ordinal) ? Published.TenPoints.Replace(line, by, StringComparison.Ordinal) : throw new InvalidOperationException($"no line '{line}'");

    private static bool Has(JsonNode fault, string field, string text) => ((string)fault[field]!).Contains(text, StringComparison.Ordinal);

    private static IEnumerable<JsonNode> Readings(JsonNode machine) =>
        machine["measurements"]!.AsArray().SelectMany(m => m!["runs"]!.AsArray()).SelectMany(r => r!["readings"]!.AsArray())!;

    private static long[] Runs(JsonNode machine) => [.. machine["measurements"]!.AsArray().SelectMany(m => m!["runs"]!.AsArray()).Select(r => (long)r!["id"]!)];

    private async Task<long> Acts() => (await server.Services.GetRequiredService<HistoryReader>().Page(long.MaxValue, 1, null, CancellationToken.None))[0].Sequence;

    private async Task<string> Measured()
    {
        var serial = await Survey.Order(server, "TST-10");
        await Survey.Measure(server.As("renna"), serial, "ten-point-heights", Published.TenPoints);
        return serial;
    }

    private async Task<(string Serial, long Run)> OpenRun()
    {
        var serial = await Survey.Order(server, "TST-10");
        return (serial, await Survey.BeginRun(server.As("renna"), serial, "ten-point-heights"));
    }
}
