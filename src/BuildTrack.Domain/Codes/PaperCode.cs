using System.Globalization;
using System.Text;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Domain.Codes;

/// <summary>What a code on paper names. The letters never change their meaning; new kinds get new letters.</summary>
public enum CodeKind
{
    Machine = 'M',
    Step = 'S',
    Station = 'P',
    Instrument = 'I',
    Component = 'C',

    /// <summary>A person's badge: a secret, never printed but once.</summary>
    Badge = 'B',
}

/// <summary>A code on a route card, a label or a badge: BT:S:OV1530-0417:100:7K. It holds no address, so it stays good when the server moves.</summary>
/// <param name="Name">Serial number of the machine, number of the instrument, or secret of the badge.</param>
/// <param name="Part">Step, station, or id of the component's entry in the as-built list; null for the kinds that need none.</param>
/// <param name="At">Of a station its distance from the operator's end in whole millimetres: two layouts may give one name to two points.</param>
public sealed record PaperCode(CodeKind Kind, string Name, string? Part = null, string? At = null)
{
    private const string Begin = "BT:";
    private const string Plain = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-";

    public static PaperCode OfMachine(string serial) => new(CodeKind.Machine, serial);

    public static PaperCode OfStep(string serial, int step) => new(CodeKind.Step, serial, step.ToString(CultureInfo.InvariantCulture));

    public static PaperCode OfStation(string serial, Station station)
    {
        ArgumentNullException.ThrowIfNull(station);
        return new(CodeKind.Station, serial, station.Id, AtOf(station));
    }

    /// <summary>The distance of a station from the operator's end, as its code has it.</summary>
    public static string AtOf(Station station)
    {
        ArgumentNullException.ThrowIfNull(station);
        return Math.Round(station.XMm).ToString("0", CultureInfo.InvariantCulture);
    }

    public static PaperCode OfInstrument(string id) => new(CodeKind.Instrument, id);

    public static PaperCode OfComponent(string machine, long entry) => new(CodeKind.Component, machine, entry.ToString(CultureInfo.InvariantCulture));

    /// <summary>What stands in the QR code: only characters of its alphanumeric mode, the last two check characters.</summary>
    public string Text
    {
        get
        {
            var text = $"{Begin}{(char)Kind}:{string.Join(':', new[] { Name, Part, At }.OfType<string>().Select(Escaped))}";
            return $"{text}:{Check(text)}";
        }
    }

    /// <summary>"instrument TRK-01", "step 100 of OV1530-0417": what the code says of itself. A badge does not tell its secret.</summary>
    public string Says => Kind switch
    {
        CodeKind.Step => $"step {Part} of {Name}",
        CodeKind.Station => $"station {Part} at {At} mm of {Name}",
        CodeKind.Component => $"a component listed on {Name}",
        CodeKind.Badge => "somebody's badge",
        _ => $"{Word(Kind)} {Name}",
    };

    public static string Word(CodeKind kind) => kind == CodeKind.Badge ? "badge" : kind.ToString().ToLowerInvariant();

    /// <summary>"a machine", "an instrument".</summary>
    public static string OneOf(CodeKind kind) => kind == CodeKind.Instrument ? "an instrument" : $"a {Word(kind)}";

    /// <summary>The text is meant to be a code of ours, whole or not, whatever layout the keyboard has.</summary>
    public static bool Begins(string? text) => KeyboardLayouts.Of(text?.Trim() ?? "").Any(t => t.StartsWith(Begin, StringComparison.Ordinal));

    /// <summary>Reads a code as a scanner typed it.</summary>
    /// <returns>Null where the text is none, or a character was lost or changed on the way.</returns>
    public static PaperCode? Read(string? text) => text is { Length: <= 500 } ? KeyboardLayouts.Of(text.Trim()).Select(Parse).FirstOrDefault(c => c is not null) : null;

    private static PaperCode? Parse(string text)
    {
        if (text.Split(':') is not ["BT", [var letter], .. var parts, { Length: 2 } check] || !Enum.IsDefined((CodeKind)letter) || Check(text[..^3]) != check)
        {
            return null;
        }

        var kind = (CodeKind)letter;
        var needed = kind switch { CodeKind.Station => 3, CodeKind.Step or CodeKind.Component => 2, _ => 1 };
        var plain = parts.Select(Unescaped).ToArray();
        return plain.Length == needed && plain.All(p => p is { Length: > 0 }) ? new PaperCode(kind, plain[0]!, plain.ElementAtOrDefault(1), plain.ElementAtOrDefault(2)) : null;
    }

    // The standard leaves hyphens out; here a lost one is to be noticed, too.
    private static string Check(string text) => CheckCharacters.Of(text.Replace('-', 'X').Replace('%', 'Y'));

    // Small letters and all that a keyboard of another layout would type in another way: as %6B, by byte.
    private static string Escaped(string text) => string.Concat(
        Encoding.UTF8.GetBytes(text).Select(b => Plain.Contains((char)b) ? ((char)b).ToString() : FormattableString.Invariant($"%{b:X2}")));

    private static string? Unescaped(string text)
    {
        var bytes = new List<byte>();
        for (var i = 0; i < text.Length; i++)
        {
            if (text[i] != '%')
            {
                if (!Plain.Contains(text[i]))
                {
                    return null;
                }

                bytes.Add((byte)text[i]);
            }
            else if (i + 2 < text.Length && byte.TryParse(text.AsSpan(i + 1, 2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out var b))
            {
                bytes.Add(b);
                i += 2;
            }
            else
            {
                return null;
            }
        }

        return Encoding.UTF8.GetString([.. bytes]);
    }
}
