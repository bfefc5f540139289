using System.Text.Json;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests;

public sealed class ReferenceDataTests
{
    [Fact]
    public void Every_reference_file_says_where_it_comes_from_how_it_is_marked_and_how_many_digits_it_asks()
    {
        var files = Directory.GetFiles(ReferenceFile.Folder, "*.json");
        Assert.NotEmpty(files);
        var faulty = files.Where(file => Lacks(File.ReadAllText(file))).Select(Path.GetFileName).ToArray();
        Assert.True(faulty.Length == 0, "Without origin, marking or digits: " + string.Join(", ", faulty));
    }

    [Fact]
    public void A_reference_file_without_origin_is_noticed() =>
        Assert.True(Lacks("""{ "marking": "published", "digits": { "mean": 12 } }"""));

    private static bool Lacks(string text)
    {
        using var document = JsonDocument.Parse(text);
        return !(document.RootElement.TryGetProperty("origin", out var origin) && origin.GetString() is { Length: > 20 }
            && document.RootElement.TryGetProperty("marking", out var marking) && marking.GetString() is { Length: > 5 }
            && document.RootElement.TryGetProperty("digits", out var digits) && digits.EnumerateObject().Any());
    }
}
