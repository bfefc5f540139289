using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>The fields of one mapping. Each question about a field tells its own fault, with its place, and then answers something harmless:
/// a set of files with any fault gives no revision, so such an answer reaches nobody.</summary>
internal sealed class YamlFields
{
    private readonly LoaderFaults faults;
    private readonly YamlMap map;

    /// <summary>True where the mapping itself was missing or refused: its missing fields are then no further fault.</summary>
    private readonly bool broken;

    /// <param name="what">"a survey": what the mapping stands for, in fault sentences.</param>
    /// <param name="known">All keys it may have.</param>
    public YamlFields(LoaderFaults faults, string file, YamlNode node, string what, params string[] known)
    {
        this.faults = faults;
        (File, What) = (file, what);
        broken = node is not YamlMap;
        map = node as YamlMap ?? new YamlMap([], node.Line, node.Column);
        if (node is YamlText or YamlList)
        {
            faults.Add(file, node, Describe(node), $"{what} with {string.Join(", ", known)}");
        }

        foreach (var key in map.Entries.Select(e => e.Key).Where(k => !known.Contains(k.Value)))
        {
            faults.Add(file, key, $"unknown key {Quoted.Of(key.Value)} in {what}", Quoted.OneOf(known));
        }
    }

    public string File { get; }

    public string What { get; }

    public int Line => map.Line;

    public bool Has(string key) => map.Find(key) is { } node and not YamlText { Absent: true };

    public bool HasParts(string key) => map.Find(key) is YamlList or YamlMap;

    /// <summary>Tells a fault at the value of a key, or at the mapping where it has none.</summary>
    public void Fault(string key, string found, string expected) => faults.Add(File, map.Find(key) ?? map, found, expected);

    public void Fault(YamlNode at, string found, string expected) => faults.Add(File, at, found, expected);

    public string Text(string key) => TextIfAny(key) ?? Missing(key, "a text");

    public string? TextIfAny(string key)
    {
        switch (map.Find(key))
        {
            case null or YamlText { Absent: true }:
                return null;
            case YamlText { Value.Length: <= 300 } text when !text.Value.Any(char.IsControl):
                return text.Value;
            case YamlText text:
                Fault(text, Quoted.Of(text.Value), "a text on one line, of at most 300 characters");
                return "";
            case YamlRefused:
                return "";
            case var node:
                Fault(node, Describe(node), $"a text as {key}");
                return "";
        }
    }

    /// <summary>A name that others refer to: letters, digits and hyphens, so that it fits a path, a column header and a reference.</summary>
    /// <param name="also">Further characters allowed.</param>
    public string Id(string key, string also = "") => IdIfAny(key, also) ?? Missing(key, "a name of letters, digits and hyphens");

    public string? IdIfAny(string key, string also = "")
    {
        var text = TextIfAny(key);
        return text is not { Length: > 0 } || IsId((YamlText)map.Find(key)!, also) ? text : "";
    }

    public string Word(string key, string? otherwise, params string[] allowed)
    {
        var text = TextIfAny(key) ?? otherwise ?? Missing(key, Quoted.OneOf(allowed));
        if (text.Length > 0 && !allowed.Contains(text))
        {
            Fault(key, Quoted.Of(text), Quoted.OneOf(allowed));
            return "";
        }

        return text;
    }

    public int Whole(string key, int from, int to, int? otherwise = null)
    {
        var expected = FormattableString.Invariant($"a whole number from {from} to {to}");
        if (TextIfAny(key) is not { } text)
        {
            if (otherwise is null)
            {
                Missing(key, expected);
            }

            return otherwise ?? 0;
        }

        if (int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number >= from && number <= to)
        {
            return number;
        }

        Complain(key, text, expected);
        return 0;
    }

    /// <summary>A number with a decimal point, both ends included.</summary>
    public decimal Number(string key, decimal from, decimal to, string of)
    {
        if (NumberIfAny(key, from, to, of) is { } number)
        {
            return number;
        }

        Missing(key, Range(from, to, of));
        return 0;
    }

    public decimal? NumberIfAny(string key, decimal from, decimal to, string of)
    {
        if (TextIfAny(key) is not { } text)
        {
            return null;
        }

        const NumberStyles Styles = NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint;
        if (text.Length <= 20 && decimal.TryParse(text, Styles, CultureInfo.InvariantCulture, out var number) && number >= from && number <= to)
        {
            return number;
        }

        Complain(key, text, Range(from, to, of));
        return 0;
    }

    /// <summary>A number with its unit: "0.100 mm".</summary>
    public Amount? AmountIfAny(string key)
    {
        if (TextIfAny(key) is not { Length: > 0 } text)
        {
            return null;
        }

        if (text.Length <= 40 && Amount.TryParse(Units.OneMicro(text), out var amount))
        {
            return amount;
        }

        var parts = text.Split(' ', 2, StringSplitOptions.TrimEntries);
        var unitKnown = parts.Length == 2 && Units.Known.Contains(Units.OneMicro(parts[1]));
        Complain(key, text, parts.Length == 2 && !unitKnown
            ? $"a known unit after the number: {Quoted.OneOf(Units.Known)}"
            : "a number with decimal point, a space and a unit, as in 0.100 mm");
        return null;
    }

    public string Unit(string key)
    {
        var text = Units.OneMicro(Text(key));
        if (text.Length > 0 && !Units.Known.Contains(text))
        {
            Complain(key, text, $"a known unit: {Quoted.OneOf(Units.Known)}");
        }

        return text;
    }

    /// <summary>The words of a list, each once; empty where the key is left out.</summary>
    public ImmutableArray<string> Ids(string key)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var item in Nodes(key, "names"))
        {
            if (item is YamlText text)
            {
                if (IsId(text, "") && !seen.Add(text.Value))
                {
                    Fault(text, $"{Quoted.Of(text.Value)} a second time", "each name once");
                }
            }
            else if (item is not YamlRefused)
            {
                Fault(item, Describe(item), "a name");
            }
        }

        return [.. Listed(key).Select(t => t.Value).Distinct()];
    }

    /// <summary>The words of a list with their places; tells no fault.</summary>
    public IEnumerable<YamlText> Listed(string key) => (map.Find(key) as YamlList)?.Items.OfType<YamlText>() ?? [];

    /// <summary>The words of a list with their places; anything else is a fault. Empty where the key is left out.</summary>
    public ImmutableArray<YamlText> Texts(string key, string what)
    {
        var nodes = Nodes(key, what);
        foreach (var node in nodes.Where(n => n is not (YamlText or YamlRefused)))
        {
            Fault(node, Describe(node), $"a list of {what}");
        }

        return [.. nodes.OfType<YamlText>()];
    }

    /// <summary>The mappings of a list.</summary>
    public ImmutableArray<YamlFields> Items(string key, bool required, string what, params string[] known)
    {
        var nodes = Nodes(key, $"items, each {what}");
        if (required && nodes.IsEmpty && map.Find(key) is not YamlRefused)
        {
            Missing(key, $"a list with at least {what}");
        }

        return [.. nodes.Select(n => new YamlFields(faults, File, n, what, known))];
    }

    /// <summary>The mapping from classes A to E to numbers under a key.</summary>
    /// <param name="what">What the mapping is, for people.</param>
    /// <param name="expected">What a number must be, for people.</param>
    /// <param name="read">The number that a text is; null where it is none that is taken.</param>
    public ImmutableSortedDictionary<string, T> ByClass<T>(string key, string what, string expected, Func<string, T?> read)
        where T : struct
    {
        var numbers = ImmutableSortedDictionary.CreateBuilder<string, T>(StringComparer.Ordinal);
        foreach (var entry in Entries(key, what))
        {
            if (entry.Key.Value is not { Length: 1 } || entry.Key.Value[0] is < 'A' or > 'E')
            {
                Fault(entry.Key, $"class {Quoted.Of(entry.Key.Value)}", "A, B, C, D or E");
            }
            else if (entry.Value is YamlText text && read(text.Value) is { } number)
            {
                numbers[entry.Key.Value] = number;
            }
            else
            {
                Fault(entry.Value, Describe(entry.Value), expected);
            }
        }

        return numbers.ToImmutable();
    }

    /// <summary>The mapping under a key, one field for each of its keys.</summary>
    public ImmutableArray<YamlEntry> Entries(string key, string what)
    {
        switch (map.Find(key))
        {
            case YamlMap { Entries.Length: > 0 } inner:
                foreach (var entry in inner.Entries)
                {
                    IsId(entry.Key, "");
                }

                return inner.Entries;
            case YamlRefused:
                return [];
            case null:
                Missing(key, what);
                return [];
            case var node:
                Fault(node, node is YamlMap ? "nothing" : Describe(node), what);
                return [];
        }
    }

    public YamlFields Inner(YamlNode node, string what, params string[] known) => new(faults, File, node, what, known);

    public static string Describe(YamlNode node) => node switch
    {
        YamlText { Absent: true } => "nothing",
        YamlText text => Quoted.Of(text.Value),
        YamlList => "a list",
        _ => "a mapping",
    };

    private ImmutableArray<YamlNode> Nodes(string key, string what)
    {
        switch (map.Find(key))
        {
            case null or YamlRefused:
                return [];
            case YamlList list:
                return list.Items;
            case var node:
                Fault(node, Describe(node), $"a list of {what}");
                return [];
        }
    }

    private bool IsId(YamlText text, string also)
    {
        var value = text.Value;
        var good = value.Length is > 0 and <= 40 && char.IsAsciiLetterOrDigit(value[0])
            && value.All(c => char.IsAsciiLetterOrDigit(c) || c == '-' || also.Contains(c)) && value != "whole";
        if (!good)
        {
            Fault(text, Describe(text), $"a name of at most 40 letters, digits, hyphens{(also.Length == 0 ? "" : $" and {also}")}, other than 'whole'");
        }

        return good;
    }

    private void Complain(string key, string text, string expected)
    {
        if (text.Length > 0)
        {
            Fault(key, Quoted.Of(text), expected);
        }
    }

    private string Missing(string key, string expected)
    {
        if (!broken)
        {
            Fault(key, $"{What} without {key}", expected);
        }

        return "";
    }

    private static string Range(decimal from, decimal to, string of) =>
        FormattableString.Invariant($"{of}, a number with decimal point from {from} to {to}");
}
