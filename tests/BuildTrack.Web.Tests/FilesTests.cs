using System.Net;
using System.Text;
using BuildTrack.Domain.StepFiles;
using BuildTrack.Records.Storage;
using Microsoft.Extensions.DependencyInjection;
using SkiaSharp;
using static BuildTrack.Web.Tests.SheetForms;

namespace BuildTrack.Web.Tests;

/// <summary>Photos and files of steps, through the API and on the sheets.</summary>
public sealed class FilesTests(Server server) : IClassFixture<Server>
{
    private static readonly byte[] Png = Convert.FromBase64String("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==");

    [Fact]
    public async Task A_photo_is_attached_listed_and_shown_to_whoever_is_signed_in()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var path = $"/machines/{serial}/steps/90/files?name=..%5C..%5Cx.png&shows=dent%20at%20the%20far%20end";
        var answer = await renna.Send(HttpMethod.Post, path, Png, "photo-1");
        var receipt = await answer.Good();
        Assert.Equal((HttpStatusCode.Created, "x.png", "image/png"), (answer.StatusCode, (string)receipt["name"]!, (string)receipt["mediaType"]!));
        Assert.Equal(receipt.ToJsonString(), (await renna.Post(path, Png, "photo-1")).ToJsonString());
        Assert.Equal(HttpStatusCode.UnprocessableEntity, (await renna.Send(HttpMethod.Post, path, "other"u8.ToArray(), "photo-1")).StatusCode);
        var file = (await renna.Get($"/machines/{serial}/steps/90/files"))["files"]!.AsArray().Single()!;
        Assert.Equal(("dent at the far end", "renna", (long)Png.Length), ((string)file["shows"]!, (string)file["person"]!, (long)file["size"]!));
        Assert.Equal(answer.Headers.Location!.ToString(), (string)file["url"]!);

        var content = await server.As("tilda").GetAsync((string)file["url"]!);
        Assert.Equal(Png, await content.Content.ReadAsByteArrayAsync());
        Assert.Equal(
            ("image/png", "inline", "nosniff", RequestGuardsKept, "default-src 'self'"),
            (content.Content.Headers.ContentType!.ToString(), content.Content.Headers.ContentDisposition!.DispositionType, content.Headers.GetValues("X-Content-Type-Options").Single(),
                string.Join(", ", content.Headers.GetValues("Cache-Control").Single().Split(", ").Order()), content.Headers.GetValues("Content-Security-Policy").Single().Split(';')[0]));
        Assert.Equal("/sign-in", (await server.Nobody().GetAsync((string)file["url"]!)).Headers.Location!.OriginalString.Split('?')[0]);

        // Small already, it is shown small as it was sent; there is no other size.
        Assert.Equal(Png, await server.As("tilda").GetByteArrayAsync($"{file["url"]}/small"));
        Assert.Equal(HttpStatusCode.NotFound, (await server.As("tilda").GetAsync($"{file["url"]}/large")).StatusCode);

        // The address of another machine leads nowhere, nor does a path in place of a hash.
        var other = await Survey.Order(server, "TST-3T");
        Assert.Equal(HttpStatusCode.NotFound, (await renna.GetAsync($"/machines/{other}/files/{receipt["hash"]}")).StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, (await renna.GetAsync($"/machines/{serial}/files/..%2F..%2Fbuildtrack.db")).StatusCode);
    }

    [Fact]
    public async Task A_list_draws_a_photo_small_and_leads_to_the_whole()
    {
        var serial = await Survey.Order(server, "TST-3T");
        using var surface = SKSurface.Create(new SKImageInfo(1600, 1200));
        using var image = surface.Snapshot();
        using var photo = image.Encode(SKEncodedImageFormat.Png, 100);
        var receipt = await server.As("renna").Post($"/machines/{serial}/steps/90/files?name=dent.png&shows=dent", photo.ToArray());
        var url = $"/machines/{serial}/files/{receipt["hash"]}";
        var sheet = (await Page(server.As("renna"), $"/machines/{serial}/step/90/files")).Text;
        Assert.Contains($"<a class=\"photo-frame\" href=\"{url}\"><img src=\"{url}/small\"", sheet, StringComparison.Ordinal);
        var small = await server.As("tilda").GetAsync($"{url}/small");
        using var drawn = SKBitmap.Decode(await small.Content.ReadAsByteArrayAsync());
        Assert.Equal(("image/jpeg", 640, 480), (small.Content.Headers.ContentType!.ToString(), drawn.Width, drawn.Height));

        // A photo that is no longer what was kept is not shown small either.
        var path = Path.Combine(server.Services.GetRequiredService<StoreSettings>().FilesFolder, ((string)receipt["hash"]!)[..2], (string)receipt["hash"]!);
        await File.WriteAllBytesAsync(path, Png);
        Assert.Equal(HttpStatusCode.Conflict, (await server.As("tilda").GetAsync($"{url}/small")).StatusCode);
        await File.WriteAllBytesAsync(path, photo.ToArray());
    }

    [Fact]
    public async Task The_record_of_a_step_is_looked_at_by_name_on_its_sheet_and_by_a_program()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var (renna, maren) = (server.As("renna"), server.As("maren"));
        var sheet = $"/machines/{serial}/step/90/files";
        Assert.Contains("There is no file at step 90", (await Page(maren, sheet)).Text, StringComparison.Ordinal);
        await renna.Post($"/machines/{serial}/steps/90/files?name=chart.txt&shows=chart", "600 °C"u8.ToArray());
        Assert.Contains("an inspector does. Work does not wait for it.", (await Page(renna, sheet)).Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Forbidden, (await renna.Send(HttpMethod.Post, $"/machines/{serial}/steps/90/review", new { note = "seen" })).StatusCode);
        await (await maren.Send(HttpMethod.Post, $"/machines/{serial}/steps/90/review", new { note = "" })).Problem(400);
        await (await maren.Send(HttpMethod.Post, $"/machines/{serial}/steps/100/review", new { note = "seen" })).Problem(404);
        var form = await Sent(maren, await Page(maren, sheet), $"{sheet}?handler=Review", new FormUrlEncodedContent(new Dictionary<string, string> { ["Note"] = "held for 3 h", ["Key"] = Guid.NewGuid().ToString("N") }));
        Assert.Equal(HttpStatusCode.Redirect, form.Status);
        Assert.Contains("held for 3 h", (await Page(maren, sheet)).Text, StringComparison.Ordinal);
        Assert.Equal("R-REVIEW-02", (string)(await (await maren.Send(HttpMethod.Post, $"/machines/{serial}/steps/90/review", new { note = "again" })).Problem(409))["rule"]!);
        var line = (await renna.Get($"/machines/{serial}/inspection-plan"))["lines"]!.AsArray().Single(l => (string)l!["line"]! == "90-R")!;
        Assert.Equal(("looked at", "held for 3 h"), ((string)line["status"]!, (string)line["note"]!));
    }

    private const string RequestGuardsKept = "immutable, max-age=31536000, private";

    [Fact]
    public async Task Text_is_saved_and_never_shown_as_a_page()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var receipt = await server.As("renna").Post($"/machines/{serial}/steps/90/files?name=log.html&shows=log", Encoding.UTF8.GetBytes("<script>alert(1)</script>"));
        var content = await server.As("renna").GetAsync($"/machines/{serial}/files/{receipt["hash"]}");
        Assert.Equal(("text/plain; charset=utf-8", "attachment", "log.html"), (content.Content.Headers.ContentType!.ToString(), content.Content.Headers.ContentDisposition!.DispositionType, content.Content.Headers.ContentDisposition.FileName));
    }

    [Fact]
    public async Task What_is_not_taken_is_refused_by_its_rule()
    {
        var serial = await Survey.Order(server, "TST-3T");
        async Task<string> Rule(byte[] bytes, string query = "name=a.png&shows=x") =>
            (string)(await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/steps/90/files?{query}", bytes)).Problem(409))["rule"]!;
        Assert.Equal([FileRules.Empty, FileRules.OtherKind, FileRules.TooLong], [await Rule([]), await Rule([0x4D, 0x5A, 0]), await Rule([.. Png, .. new byte[FileContent.LongestPhoto]])]);
        Assert.Equal(FileRules.TooLong, await Rule([.. Encoding.UTF8.GetBytes(new string('a', FileContent.LongestOther)), (byte)'b']));
        var bad = await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/steps/90/files?subject=clamps", Png)).Problem(400);
        Assert.Equal(["subject", "what it shows"], bad["errors"]!.AsArray().Select(e => (string)e!["where"]!));
        await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/steps/95/files?shows=x", Png)).Problem(404);
        await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/steps/90/files?shows=x", Png, key: "")).Problem(400);
        Assert.Equal(HttpStatusCode.Forbidden, (await server.As("tilda").Send(HttpMethod.Post, $"/machines/{serial}/steps/90/files?shows=x", Png)).StatusCode);
        Assert.Empty((await server.As("renna").Get($"/machines/{serial}/steps/90/files"))["files"]!.AsArray());
    }

    [Fact]
    public async Task A_photo_is_attached_and_set_aside_on_the_sheet_of_the_step()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var step = await Page(renna, $"/machines/{serial}/step/100");
        Assert.Contains("capture=\"environment\"", step.Text, StringComparison.Ordinal);
        Assert.Contains("None yet.", step.Text, StringComparison.Ordinal);

        var url = $"/machines/{serial}/step/100/files";
        using var form = new MultipartFormDataContent { { new StringContent("k-1"), "Key" }, { new StringContent("level as set up"), "Shows" }, { new ByteArrayContent(Png), "photo", "a/b/level.png" } };
        var sent = await Sent(renna, step, url, form);
        Assert.Equal((HttpStatusCode.Redirect, url), (sent.Status, sent.Location));
        var sheet = await Page(renna, $"/machines/{serial}/step/100");
        var file = (await renna.Get($"/machines/{serial}/steps/100/files"))["files"]![0]!;
        Assert.Equal("level.png", (string)file["name"]!);
        Assert.Contains($"<img src=\"{file["url"]}/small\" alt=\"level as set up\" loading=\"lazy\"", sheet.Text, StringComparison.Ordinal);

        using var nothing = new MultipartFormDataContent { { new StringContent("k-2"), "Key" }, { new StringContent("x"), "Shows" } };
        Assert.Equal(HttpStatusCode.BadRequest, (await Sent(renna, step, url, nothing)).Status);
        using var wrong = new MultipartFormDataContent { { new StringContent("k-3"), "Key" }, { new StringContent("x"), "Shows" }, { new ByteArrayContent([0x4D, 0x5A, 0]), "file", "setup.png" } };
        Assert.Equal(HttpStatusCode.Conflict, (await Sent(renna, step, url, wrong)).Status);

        using var aside = new FormUrlEncodedContent(new Dictionary<string, string> { ["Key"] = "k-4", ["Id"] = $"{file["id"]}", ["Reason"] = "wrong machine" });
        Assert.Equal(HttpStatusCode.Redirect, (await Sent(renna, sheet, url + "?handler=Aside", aside)).Status);
        Assert.Contains("photo--aside", (await Page(renna, url)).Text, StringComparison.Ordinal);
        Assert.Contains("wrong machine", (await Page(renna, url)).Text, StringComparison.Ordinal);
        var again = await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/files/{file["id"]}/set-aside", new { reason = "again" })).Problem(409);
        Assert.Equal(FileRules.SetAsideAlready, (string)again["rule"]!);

        // A planner looks and attaches nothing; a step without a survey has its sheet of files, too.
        var planner = await Page(server.As("tilda"), url);
        Assert.DoesNotContain("id=\"attach\"", planner.Text, StringComparison.Ordinal);
        Assert.Contains("id=\"attach\"", (await Page(renna, $"/machines/{serial}/step/120/files")).Text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.NotFound, (await renna.GetAsync($"/machines/{serial}/step/95/files")).StatusCode);
        var forms = (await Page(renna, $"/machines/{serial}/step/120/files")).Text.Split("<form").Skip(1).Where(f => f.Contains("name=\"Key\"", StringComparison.Ordinal)).ToList();
        Assert.NotEmpty(forms);
        Assert.All(forms, f => Assert.Contains("__RequestVerificationToken", f, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_file_of_a_run_and_of_a_nonconformance_is_drawn_small_on_their_sheets()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var run = await Survey.BeginRun(renna, serial, "triangle-heights");
        var number = (int)(await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/nonconformances", new { step = 100, required = "no scratch", found = "scratch", origin = "company standard", severity = "minor" })).Good())["number"]!;
        var files = $"/machines/{serial}/steps/100/files";
        await renna.Post($"{files}?name=p3.png&shows=burr&run={run}&place=P3", Png);
        await renna.Post($"{files}?name=notes.txt&shows=notes&run={run}", "loose probe"u8.ToArray());
        await renna.Post($"{files}?name=scratch.png&shows=scratch&nonconformance={number}", Png);
        var listed = (await renna.Get(files))["files"]!.AsArray().Select(f => f!["of"]!).ToArray();
        Assert.Equal(
            [(run, "P3", null, $"/machines/{serial}/runs/{run}#files"), (run, null, null, $"/machines/{serial}/runs/{run}#files"), (null, null, number, $"/machines/{serial}/nonconformances/{number}#files")],
            listed.Select(o => ((long?)o["run"], (string?)o["place"], (int?)o["nonconformance"], (string)o["url"]!)));

        var sheet = (await Page(renna, $"/machines/{serial}/runs/{run}")).Text;
        Assert.Contains("alt=\"burr\" loading=\"lazy\" decoding=\"async\" width=\"160\"", sheet, StringComparison.Ordinal);
        Assert.Contains("P3; ", sheet, StringComparison.Ordinal);
        Assert.Contains(">notes.txt</a></th><td class=\"n\">11 bytes</td>", sheet, StringComparison.Ordinal);
        Assert.DoesNotContain("alt=\"scratch\"", sheet, StringComparison.Ordinal);
        Assert.Contains($"href=\"/machines/{serial}/step/100/files?run={run}#attach\"", sheet, StringComparison.Ordinal);
        var of = (await Page(renna, $"/machines/{serial}/nonconformances/{number}")).Text;
        Assert.Contains("alt=\"scratch\" loading=\"lazy\"", of, StringComparison.Ordinal);
        Assert.DoesNotContain("alt=\"burr\"", of, StringComparison.Ordinal);
        var all = WebUtility.HtmlDecode((await Page(renna, $"/machines/{serial}/step/100/files")).Text);
        Assert.Contains($"href=\"/machines/{serial}/runs/{run}#files\">run 1 of ", all, StringComparison.Ordinal);
        Assert.Contains($"href=\"/machines/{serial}/nonconformances/{number}#files\">NCR-{number:0000}</a>", all, StringComparison.Ordinal);

        // Who only looks is led to the files of the step, not to a form.
        Assert.DoesNotContain("#attach", (await Page(server.As("tilda"), $"/machines/{serial}/runs/{run}")).Text, StringComparison.Ordinal);
        Assert.Contains($"/machines/{serial}/step/100/files?run={run}&amp;place=P1#attach", (await Page(renna, $"/machines/{serial}/runs/{run}/station")).Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_form_opened_from_a_run_attaches_to_it_and_leads_back()
    {
        var serial = await Survey.Order(server, "TST-3T");
        var renna = server.As("renna");
        var run = await Survey.BeginRun(renna, serial, "triangle-heights");
        var url = $"/machines/{serial}/step/100/files";
        var page = await Page(renna, $"{url}?run={run}&place=P2");
        Assert.Contains("<option value=\"P2\" selected=\"selected\">P2</option>", page.Text, StringComparison.Ordinal);

        async Task<(HttpStatusCode Status, string? Location, string Text)> Send(string key, string of, string place)
        {
            using var form = new MultipartFormDataContent
            {
                { new StringContent(key), "Key" }, { new StringContent("burr"), "Shows" }, { new StringContent(of), "Run" }, { new StringContent(""), "Nonconformance" }, { new StringContent(place), "Place" },
                { new ByteArrayContent(Png), "photo", "burr.png" },
            };
            return await Sent(renna, page, url, form);
        }

        Assert.Equal((HttpStatusCode.Redirect, $"/machines/{serial}/runs/{run}#files", ""), await Send("of-run-1", $"{run}", "P4"));
        var (status, _, text) = await Send("of-run-2", $"{run}", "P99");
        Assert.Equal(HttpStatusCode.BadRequest, status);
        Assert.Contains("a place of run 1, P1 to P9", text, StringComparison.Ordinal);

        // What is no number must not end as a file of the step alone.
        Assert.Equal(HttpStatusCode.BadRequest, (await Send("of-run-3", "first", "")).Status);
        Assert.Equal(HttpStatusCode.BadRequest, (await renna.Send(HttpMethod.Post, $"/machines/{serial}/steps/100/files?name=a.png&shows=x&run=first", Png)).StatusCode);
        var bad = await (await renna.Send(HttpMethod.Post, $"/machines/{serial}/steps/90/files?name=a.png&shows=x&run={run}", Png)).Problem(400);
        Assert.Equal(("run", "a run of step 90, or step 100"), ((string)bad["errors"]![0]!["where"]!, (string)bad["errors"]![0]!["expected"]!));
        Assert.Equal("P4", (string)(await renna.Get($"/machines/{serial}/steps/100/files"))["files"]!.AsArray().Single()!["of"]!["place"]!);
    }

    [Fact]
    public async Task A_file_changed_on_disk_is_not_shown_and_said_so()
    {
        var serial = await Survey.Order(server, "TST-3T");
        byte[] bytes = [.. Png, 7];
        var receipt = await server.As("renna").Post($"/machines/{serial}/steps/90/files?name=clamp.png&shows=clamps", bytes);
        var hash = (string)receipt["hash"]!;
        var path = Path.Combine(server.Services.GetRequiredService<StoreSettings>().FilesFolder, hash[..2], hash);
        await File.WriteAllBytesAsync(path, Png);
        var answer = await server.As("renna").GetAsync($"/machines/{serial}/files/{hash}");
        Assert.Equal((HttpStatusCode.Conflict, "no-store"), (answer.StatusCode, answer.Headers.CacheControl!.ToString()));
        Assert.Contains("its content on disk was changed", WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync()), StringComparison.Ordinal);
        var check = await HistoryCheckTests.Checked(server.As("odo"));
        Assert.Contains(check["found"]!["faults"]!.AsArray(), f => ((string)f!).Contains("photo 'clamp.png' at step 90, clamps", StringComparison.OrdinalIgnoreCase));
        await File.WriteAllBytesAsync(path, bytes);
    }
}
