using System.Net.Http.Headers;
using System.Text.RegularExpressions;

namespace BuildTrack.Web.Tests;

/// <summary>Answers are small where that tells nothing of a secret: styles and scripts always, pages over plain HTTP only.</summary>
public sealed partial class CompressionTests(Server server) : IClassFixture<Server>
{
    [Theory]
    [InlineData("http", "br", "br", "br")]
    [InlineData("http", "gzip", "gzip", "gzip")]
    [InlineData("http", "identity", "", "")]
    [InlineData("https", "br", "br", "")]
    [InlineData("https", "gzip", "gzip", "")]
    public async Task Styles_and_scripts_are_compressed_always_and_pages_without_encryption_only(string scheme, string asked, string styles, string pages)
    {
        foreach (var path in new[] { "/css/sheet.css", "/js/sheet.js", "/js/screen.js", "/icon.svg" })
        {
            Assert.Equal(styles, await Encoding(scheme, path, asked));
        }

        foreach (var path in new[] { "/sign-in", "/", "/api/v1/machines" })
        {
            Assert.Equal(pages, await Encoding(scheme, path, asked));
        }
    }

    [Fact]
    public async Task A_style_with_the_hash_of_its_content_is_kept_for_good_and_one_without_is_asked_about()
    {
        var renna = server.As("renna");
        var sheet = await renna.GetStringAsync("/this-screen");
        var style = Style().Match(sheet).Groups[1].Value;
        using var versioned = await renna.GetAsync(style);
        Assert.Equal("public, max-age=31536000, immutable", versioned.Headers.CacheControl?.ToString());
        using var plain = await renna.GetAsync("/css/sheet.css");
        Assert.Equal("no-cache", plain.Headers.CacheControl?.ToString());
        using var page = await renna.GetAsync("/this-screen");
        Assert.Equal("no-store", page.Headers.CacheControl?.ToString());
    }

    private async Task<string> Encoding(string scheme, string path, string asked)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, new Uri($"{scheme}://localhost{path}"));
        request.Headers.AcceptEncoding.Add(new StringWithQualityHeaderValue(asked));
        using var answer = await server.As("renna").SendAsync(request);
        Assert.True(answer.IsSuccessStatusCode, $"{path}: {answer.StatusCode}");
        return string.Join(", ", answer.Content.Headers.ContentEncoding);
    }

    [GeneratedRegex("href=\"(/css/sheet.css\\?v=[^\"]+)\"")]
    private static partial Regex Style();
}
