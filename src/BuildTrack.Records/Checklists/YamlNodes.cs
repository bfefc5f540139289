using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;
using YamlDotNet.Core;
using YamlDotNet.Core.Events;

namespace BuildTrack.Records.Checklists;

/// <summary>A part of a YAML file with the place where it begins; line and column from 1.</summary>
internal abstract record YamlNode(int Line, int Column);

/// <summary>A word or number; nothing is interpreted, so that 'no' stays a word.</summary>
/// <param name="Plain">Written without quotes.</param>
internal sealed record YamlText(string Value, bool Plain, int Line, int Column) : YamlNode(Line, Column)
{
    /// <summary>Nothing was written, or one of YAML's ways of saying so.</summary>
    public bool Absent => Value.Length == 0 || (Plain && Value is "~" or "null");
}

internal sealed record YamlList(ImmutableArray<YamlNode> Items, int Line, int Column) : YamlNode(Line, Column);

internal sealed record YamlMap(ImmutableArray<YamlEntry> Entries, int Line, int Column) : YamlNode(Line, Column)
{
    public YamlNode? Find(string key) => Entries.FirstOrDefault(e => e.Key.Value == key)?.Value;
}

internal sealed record YamlEntry(YamlText Key, YamlNode Value);

/// <summary>Stands where something was refused; its fault is already told.</summary>
internal sealed record YamlRefused(int Line, int Column) : YamlNode(Line, Column);

/// <summary>Reads one YAML document into nodes with places. A checklist is plain lists and mappings: anchors, aliases, tags, directives and
/// further documents are refused, because a person who reads the file must see what it says without following references.</summary>
internal sealed class YamlReader
{
    public const int LongestFile = 1_000_000;
    public const int Deepest = 32;
    public const int MostNodes = 100_000;

    private const string NoAnchors = "the value itself: checklists use no anchors and no aliases";

    private readonly string file;
    private readonly LoaderFaults faults;
    private readonly Parser parser;
    private int nodes;

    private YamlReader(string file, LoaderFaults faults, Parser parser) => (this.file, this.faults, this.parser) = (file, faults, parser);

    /// <summary>The root of the document; null, with a fault, where the text is no such document.</summary>
    public static YamlNode? Read(string file, string text, LoaderFaults faults)
    {
        text = text.StartsWith('\uFEFF') ? text[1..] : text;
        if (WhyNot(text) is { } why)
        {
            faults.Add(file, why.Line, why.Column, why.Found, why.Expected);
            return null;
        }

        using var reader = new StringReader(text);
        var scanner = new Scanner(reader);
        try
        {
            return new YamlReader(file, faults, new Parser(scanner)).Document();
        }
        catch (YamlException e)
        {
            faults.Add(file, Number(e.Start.Line), Number(e.Start.Column), $"text that cannot be read ({Tidy(e.Message)})", "a YAML document of lists and mappings");
            return null;
        }
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            // The scanner throws other kinds for some texts (an unclosed '[' for one); whatever it throws is a fault of the text at its position.
            var at = scanner.CurrentPosition;
            faults.Add(file, Number(at.Line), Number(at.Column), "text that cannot be read from here (is a bracket or quote left open?)", "a YAML document of lists and mappings");
            return null;
        }
    }

    private static (int Line, int Column, string Found, string Expected)? WhyNot(string text)
    {
        if (text.Length > LongestFile)
        {
            return (1, 1, FormattableString.Invariant($"{text.Length} characters"), FormattableString.Invariant($"at most {LongestFile}"));
        }

        var (line, start) = (1, 0);
        for (var i = 0; i < text.Length; i++)
        {
            if (text[i] is '\uFFFD' or '\0' || (char.IsSurrogate(text[i]) && !char.IsSurrogatePair(text, i)))
            {
                var found = text[i] == '\uFFFD' ? "a byte that is not UTF-8 (U+FFFD)" : FormattableString.Invariant($"U+{(int)text[i]:X4}");
                return (line, i - start + 1, found, "readable text, saved as UTF-8");
            }

            if (char.IsHighSurrogate(text[i]))
            {
                i++;
            }
            else if (text[i] == '\n' || (text[i] == '\r' && (i + 1 == text.Length || text[i + 1] != '\n')))
            {
                (line, start) = (line + 1, i + 1);
            }
        }

        return null;
    }

    private YamlNode? Document()
    {
        Next<StreamStart>();
        if (!parser.MoveNext() || parser.Current is not DocumentStart begin)
        {
            faults.Add(file, 1, 1, "an empty file", "a mapping");
            return null;
        }

        if (begin.Version is not null || begin.Tags is { Count: > 0 } tags && tags.Any(t => t.Prefix is not ("!" or "tag:yaml.org,2002:")))
        {
            faults.Add(file, Number(begin.Start.Line), Number(begin.Start.Column), "a directive (%)", "the content at once");
        }

        parser.MoveNext();
        var root = Node(1);
        Next<DocumentEnd>();
        if (parser.MoveNext() && parser.Current is DocumentStart second)
        {
            faults.Add(file, Number(second.Start.Line), Number(second.Start.Column), "a second document", "one document in one file");
        }

        return root;
    }

    /// <summary>The node that begins with the current event; afterwards its last event is current.</summary>
    private YamlNode Node(int depth)
    {
        var begin = parser.Current ?? throw new InvalidOperationException("The document ends inside a node.");
        var (line, column) = (Number(begin.Start.Line), Number(begin.Start.Column));
        if (depth > Deepest)
        {
            throw new YamlException(begin.Start, begin.End, FormattableString.Invariant($"nested deeper than {Deepest}"));
        }

        if (++nodes > MostNodes)
        {
            throw new YamlException(begin.Start, begin.End, FormattableString.Invariant($"more than {MostNodes} parts"));
        }

        switch (begin)
        {
            case AnchorAlias alias:
                faults.Add(file, line, column, $"alias {Quoted.Of("*" + alias.Value.Value)}", NoAnchors);
                return new YamlRefused(line, column);
            case Scalar scalar:
                return Plain(scalar, line, column) ? Text(scalar, line, column) : new YamlRefused(line, column);
            case SequenceStart list:
                return List(list, depth, line, column);
            case MappingStart map:
                return Map(map, depth, line, column);
            default:
                throw new YamlException(begin.Start, begin.End, "unexpected end of a part");
        }
    }

    private YamlNode Text(Scalar scalar, int line, int column)
    {
        if (CanonicalJson.WhyNotText(scalar.Value) is { } why)
        {
            faults.Add(file, line, column, why.Split(';')[0], "printable text");
            return new YamlRefused(line, column);
        }

        return new YamlText(scalar.Value.Trim(), scalar.Style == ScalarStyle.Plain, line, column);
    }

    private YamlNode List(SequenceStart begin, int depth, int line, int column)
    {
        var plain = Plain(begin, line, column);
        var items = ImmutableArray.CreateBuilder<YamlNode>();
        while (parser.MoveNext() && parser.Current is not SequenceEnd)
        {
            items.Add(Node(depth + 1));
        }

        return plain ? new YamlList(items.ToImmutable(), line, column) : new YamlRefused(line, column);
    }

    private YamlNode Map(MappingStart begin, int depth, int line, int column)
    {
        var plain = Plain(begin, line, column);
        var entries = ImmutableArray.CreateBuilder<YamlEntry>();
        var lines = new Dictionary<string, int>(StringComparer.Ordinal);
        while (parser.MoveNext() && parser.Current is not MappingEnd)
        {
            var key = Node(depth + 1);
            parser.MoveNext();
            var value = Node(depth + 1);
            if (key is not YamlText name)
            {
                if (key is not YamlRefused)
                {
                    faults.Add(file, key, "a list or mapping as a key", "a word");
                }
            }
            else if (!lines.TryAdd(name.Value, name.Line))
            {
                faults.Add(file, name, FormattableString.Invariant($"key {Quoted.Of(name.Value)} a second time (first in line {lines[name.Value]})"), "each key once");
            }
            else
            {
                entries.Add(new YamlEntry(name, value));
            }
        }

        return plain ? new YamlMap(entries.ToImmutable(), line, column) : new YamlRefused(line, column);
    }

    /// <summary>Tells the fault of an anchor or tag; the content is read on, so that its own faults are told as well.</summary>
    private bool Plain(NodeEvent node, int line, int column)
    {
        if (!node.Anchor.IsEmpty)
        {
            faults.Add(file, line, column, $"anchor {Quoted.Of("&" + node.Anchor.Value)}", NoAnchors);
        }

        if (!node.Tag.IsEmpty)
        {
            faults.Add(file, line, column, $"tag {Quoted.Of(node.Tag.ToString())}", "the value without a tag");
            return false;
        }

        return node.Anchor.IsEmpty;
    }

    private void Next<T>()
        where T : ParsingEvent
    {
        if (!parser.MoveNext() || parser.Current is not T)
        {
            throw new InvalidOperationException($"The document has no {typeof(T).Name} here.");
        }
    }

    private static int Number(long mark) => (int)Math.Max(1, mark);

    private static string Tidy(string message) => message.ReplaceLineEndings(" ").TrimEnd('.', ' ');
}
