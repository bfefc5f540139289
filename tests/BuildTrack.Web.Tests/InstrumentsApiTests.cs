using System.Net;
using System.Text;

namespace BuildTrack.Web.Tests;

/// <summary>Checks before use, reversals, gauge studies and the list of repeats through the API; the forms through their page.</summary>
public sealed class InstrumentsApiTests(Server server) : IClassFixture<Server>
{
    // As in the test of the acts: 2 parts × 2 persons × 2 repeats, repeatability and reproducibility together √0.8.
    private const string Table = "part,appraiser,trial,value\na,x,1,0\na,x,2,1\na,y,1,1\na,y,2,2\nb,x,1,10\nb,x,2,11\nb,y,1,11\nb,y,2,12\n";

    [Fact]
    public async Task A_check_that_failed_stops_runs_until_a_good_one_and_the_list_of_repeats_proposes_another_instrument()
    {
        var (renna, tilda) = (server.As("renna"), server.As("tilda"));
        var serial = await Survey.Order(server, "TST-3T");
        await Survey.Measure(renna, serial, "triangle-heights", Published.Triangle);
        await renna.Post($"/machines/{serial}/bed-changes", new { change = "re-mill", note = "0.1 mm" });

        await (await tilda.Send(HttpMethod.Post, "/instruments/TRK-01/checks", new { reference = "block", found = "9 µm", limit = "4 µm" })).Problem(403);
        var bad = await (await renna.Send(HttpMethod.Post, "/instruments/TRK-01/checks", new { reference = "block", found = "NaN", limit = "-4" })).Problem(400);
        Assert.Equal(["departure found", "limit"], bad["errors"]!.AsArray().Select(e => (string)e!["where"]!));
        Assert.False((bool)(await renna.Post("/instruments/TRK-01/checks", new { reference = "block", found = "9 µm", limit = "4 µm" }))["good"]!);
        Assert.Equal("checkFailed", (string)(await renna.Get("/instruments/TRK-01"))["state"]!);
        var repeats = await renna.Get($"/machines/{serial}/repeats");
        Assert.Equal(("triangle-heights", "TRK-UM"), ((string)repeats[0]!["survey"]!, (string)repeats[0]!["instruments"]![0]!["instrument"]!));

        Assert.True((bool)(await renna.Post("/instruments/TRK-01/checks", new { reference = "block", found = "0,001 mm", limit = "4 µm" }))["good"]!);
        Assert.Equal("valid", (string)(await renna.Get("/instruments/TRK-01"))["today"]!);
        var noLevel = await (await renna.Send(HttpMethod.Post, "/instruments/TRK-01/reversals", new { place = "plate", first = "1", second = "2" })).Problem(409);
        Assert.Equal("R-INSTRUMENT-04", (string)noLevel["rule"]!);
        await (await renna.GetAsync("/api/v1/instruments/NONE-1")).Problem(404);
    }

    [Fact]
    public async Task A_gauge_study_comes_as_the_command_takes_it_and_its_faults_are_told_by_line()
    {
        var renna = server.As("renna");
        await renna.Post("/instruments/TRK-UM/gauge-studies?about=two%20blocks&tolerance=20", Encoding.UTF8.GetBytes(Table));
        var study = (await renna.Get("/instruments/TRK-UM"))["gaugeStudies"]![0]!;
        Assert.Equal(("two blocks", true), ((string)study["about"]!, (bool)study["result"]!["isPooled"]!));
        Assert.Equal(Math.Sqrt(0.8), (double)study["result"]!["pooled"]!["gauge"]!["sigma"]!, 1e-9);
        var bad = await (await renna.Send(HttpMethod.Post, "/instruments/TRK-UM/gauge-studies?about=x", Encoding.UTF8.GetBytes(Table.Replace("b,y,2,12", "b,y,2,much", StringComparison.Ordinal)))).Problem(400);
        Assert.Contains("line 9", (string)bad["errors"]![0]!["where"]!, StringComparison.Ordinal);
        var missing = await (await renna.Send(HttpMethod.Post, "/instruments/TRK-UM/gauge-studies?about=x", Encoding.UTF8.GetBytes(Table.Replace("b,y,2,12\n", "", StringComparison.Ordinal)))).Problem(400);
        Assert.Contains("is missing", (string)missing["errors"]![0]!["found"]!, StringComparison.Ordinal);
        await (await renna.Send(HttpMethod.Post, "/instruments/TRK-UM/gauge-studies?about=x&tolerance=1e999", Encoding.UTF8.GetBytes(Table))).Problem(400);
    }

    [Fact]
    public async Task The_digit_and_the_degrees_of_freedom_are_entered_on_the_sheet_kept_and_refused_where_they_are_none()
    {
        var odo = server.As("odo");
        var page = await SheetForms.Page(odo, "/instruments");
        Task<(HttpStatusCode Status, string? Location, string Text)> Enter(string digit, string degrees, string k) => SheetForms.Sent(odo, page, "/instruments", new FormUrlEncodedContent(new Dictionary<string, string>
        {
            ["Key"] = Guid.NewGuid().ToString(), ["Form.Id"] = "IND-FEW", ["Form.Name"] = "Indicator", ["Form.Serial"] = "F 1", ["Form.Quantity"] = "height", ["Form.Unit"] = "mm", ["Form.State"] = "InService",
            ["Form.CalibratedOn"] = "2026-01-05", ["Form.ValidTo"] = "2027-01-05", ["Form.Certificate"] = "C 1", ["Form.Digit"] = digit,
            ["Form.Use"] = "small difference", ["Form.A"] = "4 µm", ["Form.Degrees"] = degrees, ["Form.K"] = k,
        }));

        foreach (var (digit, degrees, k, where) in new[]
        {
            ("0 mm", "4", "2.87", "smallest digit"), ("1 °C", "4", "2.87", "smallest digit"), ("0.5 div", "4", "2.87", "smallest digit"), ("fine", "4", "2.87", "smallest digit"),
            ("0.01 mm", "0.9", "2.87", "degrees of freedom"), ("0.01 mm", "NaN", "2.87", "degrees of freedom"), ("0.01 mm", "few", "2.87", "degrees of freedom"), ("0.01 mm", "4", "0.5", "k"),
        })
        {
            var refused = await Enter(digit, degrees, k);
            Assert.Equal(HttpStatusCode.BadRequest, refused.Status);
            Assert.Contains(where, refused.Text, StringComparison.Ordinal);
        }

        await (await odo.GetAsync("/api/v1/instruments/IND-FEW")).Problem(404);
        Assert.Equal(HttpStatusCode.Redirect, (await Enter("0,01 mm", "4", "2.87")).Status);
        var entry = (await odo.Get("/instruments/IND-FEW"))["entry"]!;
        Assert.Equal(("0.01", 4.0, 2.87), ((string)entry["digit"]!["value"]!.ToString(), (double)entry["figures"]![0]!["degreesOfFreedom"]!, (double)entry["figures"]![0]!["k"]!));
        var sheet = await (await odo.GetAsync("/instruments/IND-FEW")).Content.ReadAsStringAsync();
        Assert.Contains("read to 0.01 mm", sheet, StringComparison.Ordinal);
        Assert.Contains("4 degrees of freedom", sheet, StringComparison.Ordinal);
    }

    /// <summary>A form without its token is refused before anything is done: every form of the sheets carries one.</summary>
    [Theory]
    [InlineData("/instruments/TRK-01", 2)]
    [InlineData("/instruments/TRK-01/gauge-study", 1)]
    public async Task Every_form_of_an_instruments_sheets_carries_its_token(string path, int forms)
    {
        var page = await (await server.As("maren").GetAsync(path)).Content.ReadAsStringAsync();
        var posted = page.Split("<form").Skip(1).Select(f => f.Split("</form>")[0]).Where(f => f.Contains("name=\"Key\"", StringComparison.Ordinal)).ToList();
        Assert.Equal(forms, posted.Count);
        Assert.All(posted, f => Assert.Contains("__RequestVerificationToken", f, StringComparison.Ordinal));
    }
}
