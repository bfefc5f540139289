using System.Net;
using System.Text;
using System.Text.RegularExpressions;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>A log of an instrument on the run sheet and through the API: which column is what is said once, and remembered.</summary>
public sealed partial class OwnColumnsTests(Server server) : IClassFixture<Server>
{
    private const string Log = "Interferometer 3\nNo;Pos;Dev +;Dev -\n1;15;1,2;2,0\n2;25,2;1,3;2,1\n3;35,4;1,4;2,2\n4;45,6;1,5;2,3\n5;55,8;1,6;2,4\n";
    private const string Mapping = """{"place":{"name":"Target","way":"millimetres"},"values":[{"column":"forward","name":"Dev +","unit":"µm"},{"column":"backward","name":"Dev -","unit":"µm"}]}""";

    [Fact]
    public async Task A_log_is_asked_about_once_and_read_as_last_time_in_the_next_run()
    {
        var first = await Begun();
        var asked = await Upload(first, Log);
        Assert.Equal(HttpStatusCode.OK, asked.Status);
        Assert.Contains("this file has its own columns. Say which is which", asked.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("Nothing is recorded yet", asked.Text, StringComparison.Ordinal);
        Assert.Single(NextActs().Matches(asked.Text));
        Assert.Empty(Selected().Matches(asked.Text));
        Assert.Equal(["choose", "No", "Pos", "Dev +", "Dev -"], Options(asked.Text, "Place"));
        Assert.Equal(["choose", "station names", "position in mm", "position in m"], Options(asked.Text, "Way"));
        Assert.Equal(["choose", "µm", "m", "mm"], Options(asked.Text, "u:backward"));

        // A column for two things: told, and what was chosen is kept.
        var form = Hidden(asked.Text, "FileHash", "FileName");
        var wrong = await Post(first, "Columns", [.. form, new("Place", "Pos"), new("Way", "Millimetres"), new("c:forward", "Dev +"), new("u:forward", "µm"), new("c:backward", "Dev +"), new("u:backward", "µm")]);
        Assert.Equal(HttpStatusCode.BadRequest, wrong.Status);
        Assert.Contains("'Dev +' for two things", wrong.Text, StringComparison.Ordinal);
        Assert.Equal(["Pos", "Millimetres", "Dev +", "µm", "Dev +", "µm"], Selected().Matches(wrong.Text).Select(m => m.Groups[1].Value));

        // Positions in metres stand at no station.
        var metres = await Post(first, "Columns", [.. form, .. Chosen("Metres")]);
        Assert.Equal(HttpStatusCode.BadRequest, metres.Status);
        Assert.Contains("column Pos", metres.Text, StringComparison.Ordinal);
        Assert.Contains("Say which is which", metres.Text, StringComparison.Ordinal);

        var preview = await Post(first, "Columns", [.. form, .. Chosen("Millimetres")]);
        Assert.Equal(HttpStatusCode.OK, preview.Status);
        Assert.Contains("position in mm from 'Pos', forward in µm from 'Dev +', backward in µm from 'Dev -', 1 line before the header skipped. 10 readings. Nothing is recorded yet.", preview.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("as last time", preview.Text, StringComparison.Ordinal);
        Assert.Single(NextActs().Matches(preview.Text));
        await Confirm(first, preview.Text);
        var standing = (await server.As("renna").Get($"/machines/{first.Serial}/runs/{first.Run}"))["readings"]!.AsArray();
        Assert.Contains("<dt>File read as</dt><dd>position in mm from 'Pos', forward in µm from 'Dev +', backward in µm from 'Dev -'</dd>", await Sheet(first), StringComparison.Ordinal);
        Assert.Equal((10, "1,2", "µm"), (standing.Count, (string)standing[0]!["typed"]!, (string)standing[0]!["unit"]!));

        // The next run with the same instrument, on another machine.
        var second = await Begun();
        var known = await Upload(second, Log);
        Assert.Equal(HttpStatusCode.OK, known.Status);
        Assert.Contains("The columns were taken as last time with IFM-01, by Renna Tallworth, ", known.Text, StringComparison.Ordinal);
        Assert.Contains("10 readings. Nothing is recorded yet.", known.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("Say which is which", known.Text, StringComparison.Ordinal);

        // The link to change them leads to the form, filled in.
        var change = Change().Match(known.Text).Groups[1].Value;
        var filled = WebUtility.HtmlDecode((await Page(server.As("renna"), WebUtility.HtmlDecode(change))).Text);
        Assert.Contains("Say which is which", filled, StringComparison.Ordinal);
        Assert.Equal(["Pos", "Millimetres", "Dev +", "µm", "Dev -", "µm"], Selected().Matches(filled).Select(m => m.Groups[1].Value));

        await Confirm(second, known.Text);

        // Where a column that was named is not there any more, it is asked about anew.
        var third = await Begun();
        var other = await Upload(third, Log.Replace("Dev -", "Back", StringComparison.Ordinal));
        Assert.Contains("Say which is which", other.Text, StringComparison.Ordinal);
        Assert.Empty(Selected().Matches(other.Text));

        // Where it is there and the rows are wrong, the faults are told and the columns can be changed.
        var faulty = await Upload(third, Log.Replace("4;45,6", "4;46,6", StringComparison.Ordinal));
        Assert.Equal(HttpStatusCode.BadRequest, faulty.Status);
        Assert.Contains("log.csv line 6, column Pos", faulty.Text, StringComparison.Ordinal);
        Assert.Equal(6, Selected().Count(faulty.Text));
    }

    [Fact]
    public async Task Readings_in_another_unit_than_the_instrument_shows_carry_it_on_the_sheets()
    {
        var at = await Begun();
        var asked = await Upload(at, Log.Replace("1;15;1,2", "1;15;0,0012", StringComparison.Ordinal).Replace("No;", "Nr;", StringComparison.Ordinal).Replace("Dev", "D", StringComparison.Ordinal));
        var preview = await Post(at, "Columns",
            [.. Hidden(asked.Text, "FileHash", "FileName"), new("Place", "Pos"), new("Way", "Millimetres"), new("c:forward", "D +"), new("u:forward", "mm"), new("c:backward", "D -"), new("u:backward", "µm")]);
        await Confirm(at, preview.Text);
        var sheet = await Sheet(at);
        Assert.Contains("0,0012 mm", sheet, StringComparison.Ordinal);
        Assert.DoesNotContain("2,0 µm", sheet, StringComparison.Ordinal);
        var beside = WebUtility.HtmlDecode((await Page(server.As("renna"), $"/machines/{at.Serial}/surveys/slit-axis")).Text);
        Assert.Contains("0,0012 mm", beside, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_of_ours_is_not_asked_about_and_a_file_that_is_none_is_refused_as_before()
    {
        var at = await Begun();
        var ours = await Upload(at, "station;forward_um;backward_um\nT0;1;2\nT1;1;2\nT2;1;2\nT3;1;2\nT4;1;2\n");
        Assert.Contains("10 readings. Nothing is recorded yet.", ours.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("Change the columns", ours.Text, StringComparison.Ordinal);
        // The file of another survey, by mistake: it must not be talked into this one.
        var other = await Upload(at, "station,t_mm\nT0,17.4\nT1,17.5\n");
        Assert.DoesNotContain("Say which is which", other.Text, StringComparison.Ordinal);
        Assert.Contains("unknown column 't_mm'", WebUtility.HtmlDecode(other.Text), StringComparison.Ordinal);

        var wrong = await Upload(at, "station;forward_mm;backward_um\nT0;1;2\n");
        Assert.Contains("that is mm", wrong.Text, StringComparison.Ordinal);
        Assert.DoesNotContain("Say which is which", wrong.Text, StringComparison.Ordinal);
        var words = await Upload(at, "some words\nand some more\n");
        Assert.Equal(HttpStatusCode.BadRequest, words.Status);
        Assert.Contains("a header with station, forward_um, backward_um", words.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_file_of_somebody_elses_run_or_an_unknown_hash_leads_to_no_form()
    {
        var at = await Begun();
        var asked = await Upload(at, Log.Replace("No;", "N;", StringComparison.Ordinal).Replace("Dev", "Delta", StringComparison.Ordinal));
        var hash = Hidden(asked.Text, "FileHash")[0].Value;
        var own = await server.As("renna").GetAsync(new Uri($"/machines/{at.Serial}/runs/{at.Run}?file={hash}&name=log.csv", UriKind.Relative));
        Assert.Contains("Say which is which", await own.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        foreach (var (person, file, mapping, status) in new[]
        {
            ("jorin", hash, "", HttpStatusCode.Conflict), ("renna", new string('0', 64), "", HttpStatusCode.BadRequest), ("renna", "..", "", HttpStatusCode.BadRequest), ("renna", hash, "{}", HttpStatusCode.BadRequest),
        })
        {
            var answer = await server.As(person).GetAsync(new Uri($"/machines/{at.Serial}/runs/{at.Run}?file={file}&name=log.csv&mapping={mapping}", UriKind.Relative));
            Assert.Equal(status, answer.StatusCode);
            Assert.DoesNotContain("Say which is which", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task The_api_takes_what_the_columns_are_with_the_file()
    {
        var (serial, run) = await Begun();
        var renna = server.As("renna");
        string To(string way, string mapping) => $"/machines/{serial}/runs/{run}/{way}?name=log.csv&mapping={Uri.EscapeDataString(mapping)}";
        var body = Encoding.UTF8.GetBytes(Log.Replace("Pos", "Target", StringComparison.Ordinal));

        var without = await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/runs/{run}/preview?name=log.csv", body)).Problem(400);
        Assert.Contains("a header with station", without.ToJsonString(), StringComparison.Ordinal);
        var preview = await renna.Post(To("preview", Mapping), body);
        Assert.Equal((10, "Target"), (preview["rows"]!.AsArray().Count, (string)preview["mapping"]!["place"]!["name"]!));
        Assert.Equal("millimetres", (string)preview["mapping"]!["place"]!["way"]!);
        var lacking = await (await renna.Send(HttpMethod.Post, To("file", Mapping.Replace("Dev -", "Back", StringComparison.Ordinal)), body)).Problem(400);
        Assert.Equal("no such column", (string)lacking["errors"]![0]!["found"]!);
        var unknown = await (await renna.Send(HttpMethod.Post, To("file", "{\"place\":3}"), body)).Problem(400);
        Assert.Equal("mapping", (string)unknown["errors"]![0]!["where"]!);
        Assert.Empty((await renna.Get($"/machines/{serial}/runs/{run}"))["readings"]!.AsArray());

        var recorded = await renna.Post(To("file", Mapping), body, "own-columns-1");
        Assert.Equal(10, (int)recorded["count"]!);
        Assert.Equal(recorded.ToJsonString(), (await renna.Post(To("file", Mapping), body, "own-columns-1")).ToJsonString());
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await renna.Send(HttpMethod.Post, To("file", Mapping.Replace("\"µm\"", "\"mm\"", StringComparison.Ordinal)), body, "own-columns-1")).StatusCode);
    }

    private async Task<(string Serial, long Run)> Begun()
    {
        var serial = await Survey.Order(server, "LINES");
        return (serial, await Survey.BeginRun(server.As("renna"), serial, "slit-axis", instrument: "IFM-01"));
    }

    private async Task<(HttpStatusCode Status, string? Location, string Text)> Upload((string Serial, long Run) at, string text)
    {
        using var form = new MultipartFormDataContent { { new ByteArrayContent(Encoding.UTF8.GetBytes(text)), "file", "log.csv" } };
        return await Send(at, "Preview", form);
    }

    private async Task<(HttpStatusCode Status, string? Location, string Text)> Post((string Serial, long Run) at, string handler, IEnumerable<KeyValuePair<string, string>> fields)
    {
        using var form = new FormUrlEncodedContent(fields);
        return await Send(at, handler, form);
    }

    private async Task<(HttpStatusCode Status, string? Location, string Text)> Send((string Serial, long Run) at, string handler, HttpContent form)
    {
        var (renna, url) = (server.As("renna"), $"/machines/{at.Serial}/runs/{at.Run}");
        return await Sent(renna, await Page(renna, url), $"{url}?handler={handler}", form);
    }

    private async Task<string> Sheet((string Serial, long Run) at) => WebUtility.HtmlDecode((await Page(server.As("renna"), $"/machines/{at.Serial}/runs/{at.Run}")).Text);

    private async Task Confirm((string Serial, long Run) at, string preview)
    {
        var done = await Post(at, "File", Hidden(preview, "Key", "FileHash", "FileName", "Mapping"));
        Assert.Equal((HttpStatusCode.Redirect, $"/machines/{at.Serial}/runs/{at.Run}"), (done.Status, done.Location));
    }

    private static KeyValuePair<string, string>[] Chosen(string way) =>
        [new("Place", "Pos"), new("Way", way), new("c:forward", "Dev +"), new("u:forward", "µm"), new("c:backward", "Dev -"), new("u:backward", "µm")];

    // The sheet is decoded once already: a value may hold quotes of its own, and then ends with the tag.
    private static KeyValuePair<string, string>[] Hidden(string text, params string[] names) =>
        [.. names.Select(n => KeyValuePair.Create(n, Regex.Match(text, $"<input type=\"hidden\" name=\"{n}\" value=\"(.*?)\">").Groups[1].Value))];

    private static string[] Options(string text, string name) =>
        [.. Option().Matches(text.Split($"<select name=\"{name}\"")[1].Split("</select>")[0]).Select(m => m.Groups[1].Value)];

    [GeneratedRegex("<option[^>]*>([^<]*)</option>")]
    private static partial Regex Option();

    [GeneratedRegex("<option value=\"([^\"]*)\" selected")]
    private static partial Regex Selected();

    [GeneratedRegex("class=\"act act--next\"")]
    private static partial Regex NextActs();

    [GeneratedRegex("href=\"([^\"]*)#columns\"")]
    private static partial Regex Change();
}
