using System.Net;
using System.Text.RegularExpressions;

namespace BuildTrack.Web.Tests;

/// <summary>Sheets opened and their forms sent as a browser does it: with the cookie and the token that the sheet came with.</summary>
internal static partial class SheetForms
{
    public static async Task<(string Text, string Cookie, string Token)> Page(HttpClient person, string url)
    {
        var answer = await person.GetAsync(url);
        var text = await answer.Content.ReadAsStringAsync();
        Assert.True(answer.StatusCode == HttpStatusCode.OK, $"{answer.StatusCode}: {text}");
        var cookie = answer.Headers.TryGetValues("Set-Cookie", out var set) ? set.FirstOrDefault(c => c.Contains("buildtrack-form", StringComparison.Ordinal))?.Split(';')[0] : null;
        return (text, cookie ?? "", Token().Match(text) is { Success: true } token ? token.Groups[1].Value : "");
    }

    public static async Task<(HttpStatusCode Status, string? Location, string Text)> Sent(HttpClient person, (string Text, string Cookie, string Token) page, string url, HttpContent form)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, url) { Content = form };
        if (page.Cookie.Length > 0)
        {
            request.Headers.Add("Cookie", page.Cookie);
        }

        request.Headers.Add("RequestVerificationToken", page.Token);
        var answer = await person.SendAsync(request);
        return (answer.StatusCode, answer.Headers.Location?.OriginalString, WebUtility.HtmlDecode(await answer.Content.ReadAsStringAsync()));
    }

    [GeneratedRegex("name=\"__RequestVerificationToken\" type=\"hidden\" value=\"([^\"]+)\"")]
    private static partial Regex Token();
}
