using System.Buffers;
using System.Text;
using System.Text.Unicode;
using BuildTrack.Domain.Rules;

namespace BuildTrack.Records.Surveys;

/// <summary>Turns the bytes of a survey file into text, or says why they are none.</summary>
internal static class SurveyFileText
{
    /// <summary>A survey of a thousand stations has some 50 kB; a server reads no more than this while somebody waits.</summary>
    public const int LargestFile = 2_000_000;

    public static string? Decode(SurveyFileFaults faults, ReadOnlySpan<byte> bytes)
    {
        if (bytes.Length > LargestFile)
        {
            faults.Add(1, null, FormattableString.Invariant($"{bytes.Length} bytes"), FormattableString.Invariant($"at most {LargestFile} bytes; larger files go through the command line"));
            return null;
        }

        var text = bytes switch
        {
            [0xFF, 0xFE, ..] => new UnicodeEncoding(bigEndian: false, byteOrderMark: false).GetString(bytes[2..]),
            [0xFE, 0xFF, ..] => new UnicodeEncoding(bigEndian: true, byteOrderMark: false).GetString(bytes[2..]),
            [0xEF, 0xBB, 0xBF, ..] => Utf8Text(faults, bytes[3..]),
            _ => Utf8Text(faults, bytes),
        };
        if (text is null || Refused(faults, text, '\0', "U+0000", "text; the file is binary, or UTF-16 without a byte order mark: save it as CSV UTF-8")
            || Refused(faults, text, '\uFFFD', "a character that was damaged (U+FFFD)", "whole characters; save the file as CSV UTF-8"))
        {
            return null;
        }

        if (string.IsNullOrWhiteSpace(text))
        {
            faults.Add(1, null, "an empty file", "a header and one line for each station");
            return null;
        }

        return text;
    }

    private static string? Utf8Text(SurveyFileFaults faults, ReadOnlySpan<byte> bytes)
    {
        var chars = new char[bytes.Length];
        if (Utf8.ToUtf16(bytes, chars, out var read, out var written, replaceInvalidSequences: false) == OperationStatus.Done)
        {
            return new string(chars, 0, written);
        }

        var (line, character) = Place(chars.AsSpan(0, written));
        faults.Add(line, FormattableString.Invariant($"character {character}"), FormattableString.Invariant($"byte 0x{bytes[read]:X2}, which is not UTF-8"),
            "UTF-8, or UTF-16 with a byte order mark; the file seems to be in an older encoding such as Latin-1: save it as CSV UTF-8");
        return null;
    }

    private static bool Refused(SurveyFileFaults faults, string text, char refused, string found, string expected)
    {
        var at = text.IndexOf(refused, StringComparison.Ordinal);
        if (at >= 0)
        {
            var (line, character) = Place(text.AsSpan(0, at));
            faults.Add(line, FormattableString.Invariant($"character {character}"), found, expected);
        }

        return at >= 0;
    }

    private static (int Line, int Character) Place(ReadOnlySpan<char> before)
    {
        var (line, start) = (1, 0);
        for (var i = 0; i < before.Length; i++)
        {
            if (before[i] == '\n' || (before[i] == '\r' && (i + 1 == before.Length || before[i + 1] != '\n')))
            {
                (line, start) = (line + 1, i + 1);
            }
        }

        return (line, before.Length - start + 1);
    }
}

/// <summary>Collects the faults of one file, at most as many as anybody mends at a time.</summary>
internal sealed class SurveyFileFaults(string fileName)
{
    public const int Cap = 200;

    private readonly List<InputFault> found = [];

    public IReadOnlyList<InputFault> Found => found;

    public bool Full => found.Count >= Cap;

    /// <param name="where">"column z_mm" or "character 7"; null for the whole line.</param>
    public void Add(int line, string? where, string found, string expected)
    {
        if (!Full)
        {
            this.found.Add(new InputFault(FormattableString.Invariant($"{fileName} line {line}{(where is null ? "" : ", " + where)}"), found, expected));
        }
    }
}
