namespace BuildTrack.Web.Tests;

/// <summary>The measuring sheet of surveys that the demo plant has none of: free pairs of stations, texts, files; and whose sheet it is.</summary>
public sealed class MeasuringSheetTests(Server server) : IClassFixture<Server>
{
    private static object Begin(string survey, string? instrument) => new
    {
        survey, kind = "pass", instruments = instrument is null ? [] : new[] { instrument },
        checks = instrument is null ? [] : new[] { new { instrument, found = "drift 1 µm", inOrder = true } },
    };

    private async Task<(string Serial, long Run)> Begun(string survey, string? instrument = null)
    {
        var serial = await Survey.Order(server, "SHAPES");
        return (serial, (long)(await server.As("renna").Post($"/machines/{serial}/runs", Begin(survey, instrument)))["run"]!);
    }

    private async Task<string> Sheet(string serial, long run)
    {
        var answer = await server.As("renna").GetAsync(new Uri($"/machines/{serial}/runs/{run}/station", UriKind.Relative));
        Assert.Equal(System.Net.HttpStatusCode.OK, answer.StatusCode);
        return System.Net.WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task Where_any_two_stations_are_joined_both_are_chosen_and_the_next_pair_carries_on()
    {
        var (serial, run) = await Begun("rail-network", "TRK-UM");
        var sheet = await Sheet(serial, run);
        Assert.Contains("<h1>Any two stations</h1>", sheet, StringComparison.Ordinal);
        var stations = sheet.Split("<select name=\"From\">")[1].Split("</select>")[0].Split("</option>").Select(o => o[(o.LastIndexOf('>') + 1)..]).Where(o => o.Length > 0).ToArray();
        Assert.True(stations.Length > 2);
        Assert.DoesNotContain("Finish and calculate", sheet, StringComparison.Ordinal);

        var readings = new[] { new { place = $"{stations[0]}→{stations[1]}", column = "rise", typed = "12" } };
        await server.As("renna").Post($"/machines/{serial}/runs/{run}/readings", new { readings });
        sheet = await Sheet(serial, run);
        Assert.Contains("Finish and calculate", sheet, StringComparison.Ordinal);
        Assert.Contains($"<option selected=\"selected\">{stations[1]}</option>", sheet.Split("name=\"From\"")[1].Split("</select>")[0], StringComparison.Ordinal);
        Assert.Contains($"<option selected=\"selected\">{stations[2]}</option>", sheet.Split("name=\"To\"")[1].Split("</select>")[0], StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_tablet_that_kept_readings_back_and_whose_clock_was_off_is_named_on_the_run()
    {
        var (serial, run) = await Begun("rail-network", "TRK-UM");
        var sheet = await Sheet(serial, run);
        var stations = sheet.Split("<select name=\"From\">")[1].Split("</select>")[0].Split("</option>").Select(o => o[(o.LastIndexOf('>') + 1)..]).Where(o => o.Length > 0).ToArray();
        Assert.DoesNotContain("on a tablet", await Whole(), StringComparison.Ordinal);

        var now = DateTimeOffset.UtcNow.ToUnixTimeMilliseconds() * 1000;
        Task Record(int pair, long typedUs, long sentUs) => server.As("renna").Post(
            $"/machines/{serial}/runs/{run}/readings", new { readings = new[] { new { place = $"{stations[pair]}→{stations[pair + 1]}", column = "rise", typed = "12" } }, typedUs, sentUs });
        await Record(0, now - 1_000_000, now);
        Assert.DoesNotContain("on a tablet", await Whole(), StringComparison.Ordinal);
        Assert.DoesNotContain("tablet's clock", await Whole(), StringComparison.Ordinal);

        // Kept for 38 minutes by a tablet whose clock is an hour and five minutes slow.
        await Record(1, now - (103L * 60_000_000), now - (65L * 60_000_000));
        var whole = await Whole();
        Assert.Contains("1 of 2 readings were kept on a tablet before they were sent, the longest 38 min.", whole, StringComparison.Ordinal);
        Assert.Contains("The tablet's clock was 1 h 5 min behind the server's.", whole, StringComparison.Ordinal);

        async Task<string> Whole()
        {
            var answer = await server.As("renna").GetAsync(new Uri($"/machines/{serial}/runs/{run}", UriKind.Relative));
            Assert.Equal(System.Net.HttpStatusCode.OK, answer.StatusCode);
            return System.Net.WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync());
        }
    }

    [Theory]
    [InlineData("guards", "Does the open door stop the axes?", "1 of 4")]
    [InlineData("rating-plate", "a file is recorded by a program", "1 of 1")]
    public async Task Questions_and_files_of_the_whole_come_one_by_one(string survey, string says, string count)
    {
        var (serial, run) = await Begun(survey);
        var sheet = await Sheet(serial, run);
        Assert.Contains(says, sheet, StringComparison.Ordinal);
        Assert.Contains($"<b>{count}</b>", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_sheet_of_another_person_leads_to_the_run()
    {
        var (serial, run) = await Begun("guards");
        var answer = await server.As("maren").GetAsync(new Uri($"/machines/{serial}/runs/{run}/station", UriKind.Relative));
        Assert.Equal((System.Net.HttpStatusCode.Redirect, $"/machines/{serial}/runs/{run}"), (answer.StatusCode, answer.Headers.Location!.ToString()));
    }
}
