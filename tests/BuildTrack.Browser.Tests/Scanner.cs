using System.Collections.Concurrent;
using Microsoft.Playwright;

namespace BuildTrack.Browser.Tests;

/// <summary>A scanner that types like a keyboard: real keys, sent one behind the other without waiting for an answer to any, so that the pace is the scanner's whatever the machine is busy with.</summary>
internal static class Scanner
{
    private static readonly ConcurrentDictionary<IPage, ICDPSession> Sessions = new();

    /// <summary>Types a text, and the key that ends it.</summary>
    public static Task Scan(IPage page, string text, string ended = "Enter") => Type(page, [.. text.Select(c => c.ToString()), ended]);

    /// <summary>Types a text that nothing ends.</summary>
    public static Task Half(IPage page, string text) => Type(page, [.. text.Select(c => c.ToString())]);

    private static async Task Type(IPage page, string[] keys)
    {
        if (!Sessions.TryGetValue(page, out var session))
        {
            Sessions[page] = session = await page.Context.NewCDPSessionAsync(page);
        }

        await Task.WhenAll(keys.SelectMany(key => new[] { session.SendAsync("Input.dispatchKeyEvent", Down(key)), session.SendAsync("Input.dispatchKeyEvent", Up(key)) }));
    }

    private static Dictionary<string, object> Down(string key)
    {
        var pressed = Key("keyDown", key);
        if (key != "Tab")
        {
            pressed["text"] = key == "Enter" ? "\r" : key;
        }

        return pressed;
    }

    private static Dictionary<string, object> Up(string key) => Key("keyUp", key);

    private static Dictionary<string, object> Key(string type, string key) => new()
    {
        // Marks have other codes than their characters: that of the point would be the key that deletes.
        ["type"] = type, ["key"] = key, ["windowsVirtualKeyCode"] = key switch { "Enter" => 13, "Tab" => 9, _ => char.IsAsciiLetterOrDigit(key[0]) ? char.ToUpperInvariant(key[0]) : 0 },
    };
}
