using System.Buffers;
using System.Collections.Immutable;
using System.Globalization;
using System.Runtime.CompilerServices;
using System.Security.Cryptography;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;

namespace BuildTrack.Domain.Canonical;

/// <summary>The one way a record becomes text that is hashed, stored and embedded.</summary>
/// <remarks>
/// <para>Object keys in ordinal order, no white space, absent values left out, whole numbers as digits, other numbers in the
/// shortest text that reads back equal, −0 as 0. NaN, infinity, U+0000 and lone surrogates are refused: databases disagree about them.</para>
/// <para>Hash the text that <see cref="Write(JsonNode?)"/> returned, never a value read back from a database.</para>
/// <para>After RFC 8785; unlike it, numbers follow the "R" text of .NET.</para>
/// </remarks>
public static class CanonicalJson
{
    /// <summary>How records are read and written everywhere: camel case names, enumerations as words, nothing for null.</summary>
    public static JsonSerializerOptions Options { get; } = MakeOptions();

    private static readonly JsonSerializerOptions Writing = MakeWriting();

    /// <summary>Canonical text of a record.</summary>
    /// <exception cref="ArgumentException">A number or a text that no record may hold.</exception>
    public static string Of<T>(T value) => Write(Tree(value));

    /// <summary>A record as a JSON tree.</summary>
    /// <exception cref="ArgumentException">A number or a text that no record may hold.</exception>
    public static JsonNode? Tree<T>(T value) => JsonSerializer.SerializeToNode(value, Writing);

    /// <summary>Reads a record back from canonical text.</summary>
    /// <exception cref="JsonException">The text is not such a record.</exception>
    public static T Read<T>(string text) =>
        JsonSerializer.Deserialize<T>(text, Options) ?? throw new JsonException($"Expected {typeof(T).Name}, found null.");

    /// <summary>Canonical text of a JSON tree.</summary>
    public static string Write(JsonNode? node)
    {
        var text = new StringBuilder();
        Append(text, node, "$");
        return text.ToString();
    }

    /// <summary>SHA-256 of the UTF-8 bytes of a text, as 64 lower-case hexadecimal digits.</summary>
    public static string Hash(string text) => Hash(Encoding.UTF8.GetBytes(text));

    /// <summary>SHA-256 of bytes, as 64 lower-case hexadecimal digits.</summary>
    public static string Hash(ReadOnlySpan<byte> bytes) => Convert.ToHexStringLower(SHA256.HashData(bytes));

    /// <summary>Why a text may not be stored (U+0000 or a lone surrogate), or null when it may.</summary>
    public static string? WhyNotText(string text)
    {
        for (var i = 0; i < text.Length; i++)
        {
            if (text[i] == '\0')
            {
                return $"character {i + 1} is U+0000; expected printable text";
            }

            if (char.IsSurrogate(text[i]))
            {
                if (i + 1 < text.Length && char.IsSurrogatePair(text[i], text[i + 1]))
                {
                    i++;
                }
                else
                {
                    return $"character {i + 1} is half a surrogate pair (U+{(int)text[i]:X4}); expected whole characters";
                }
            }
        }

        return null;
    }

    private static void Append(StringBuilder text, JsonNode? node, string path)
    {
        switch (node)
        {
            case null:
                text.Append("null");
                break;
            case JsonObject obj:
                text.Append('{');
                var first = true;
                foreach (var (name, value) in obj.OrderBy(p => p.Key, StringComparer.Ordinal))
                {
                    if (!first)
                    {
                        text.Append(',');
                    }

                    first = false;
                    AppendText(text, name, path);
                    text.Append(':');
                    Append(text, value, $"{path}.{name}");
                }

                text.Append('}');
                break;
            case JsonArray array:
                text.Append('[');
                for (var i = 0; i < array.Count; i++)
                {
                    if (i > 0)
                    {
                        text.Append(',');
                    }

                    Append(text, array[i], $"{path}[{i}]");
                }

                text.Append(']');
                break;
            case JsonValue value:
                AppendValue(text, value, path);
                break;
        }
    }

    private static void AppendValue(StringBuilder text, JsonValue value, string path)
    {
        switch (value.GetValueKind())
        {
            case JsonValueKind.True:
                text.Append("true");
                break;
            case JsonValueKind.False:
                text.Append("false");
                break;
            case JsonValueKind.String:
                AppendText(text, value.GetValue<string>(), path);
                break;
            case JsonValueKind.Number:
                text.Append(Number(value.ToJsonString(), path));
                break;
            default:
                text.Append("null");
                break;
        }
    }

    private static string Number(string raw, string path)
    {
        if (raw.AsSpan().IndexOfAnyExceptInRange('0', '9') < 0 || (raw[0] == '-' && raw.AsSpan(1).IndexOfAnyExceptInRange('0', '9') < 0))
        {
            return raw == "-0" ? "0" : raw;
        }

        var number = double.Parse(raw, NumberStyles.Float, CultureInfo.InvariantCulture);
        if (!double.IsFinite(number))
        {
            throw new ArgumentException($"{path} is {raw}; a record holds finite numbers only.");
        }

        return number == 0 ? "0" : number.ToString("R", CultureInfo.InvariantCulture);
    }

    private static void AppendText(StringBuilder text, string value, string path)
    {
        if (WhyNotText(value) is { } why)
        {
            throw new ArgumentException($"{path}: {why}.");
        }

        text.Append('"').Append(JsonEncodedText.Encode(value, JavaScriptEncoder.UnsafeRelaxedJsonEscaping).ToString()).Append('"');
    }

    private static JsonSerializerOptions MakeOptions()
    {
        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web)
        {
            DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
            NumberHandling = JsonNumberHandling.Strict,
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
            PropertyNameCaseInsensitive = false,
            TypeInfoResolver = new DefaultJsonTypeInfoResolver { Modifiers = { LeaveOutWhatIsCalculated } },
            UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
            RespectNullableAnnotations = true,
        };
        options.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.CamelCase, allowIntegerValues: false));
        options.MakeReadOnly();
        return options;
    }

    private static JsonSerializerOptions MakeWriting()
    {
        var options = new JsonSerializerOptions(Options);
        options.Converters.Add(new CheckedText());
        options.MakeReadOnly();
        return options;
    }

    // IgnoreReadOnlyProperties would leave out the members of anonymous types, which acts are hashed with, and keep calculated lists.
    private static void LeaveOutWhatIsCalculated(JsonTypeInfo type)
    {
        if (type.Kind != JsonTypeInfoKind.Object || type.Type.IsDefined(typeof(CompilerGeneratedAttribute), inherit: false))
        {
            return;
        }

        for (var i = type.Properties.Count - 1; i >= 0; i--)
        {
            if (type.Properties[i].Set is null)
            {
                type.Properties.RemoveAt(i);
            }
        }
    }

    // The serializer would write U+FFFD for half a surrogate pair, before anybody could see it.
    private sealed class CheckedText : JsonConverter<string>
    {
        public override string? Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => reader.GetString();

        public override void Write(Utf8JsonWriter writer, string value, JsonSerializerOptions options) => writer.WriteStringValue(Checked(value));

        public override string ReadAsPropertyName(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => reader.GetString()!;

        public override void WriteAsPropertyName(Utf8JsonWriter writer, string value, JsonSerializerOptions options) => writer.WritePropertyName(Checked(value));

        private static string Checked(string value) =>
            WhyNotText(value) is { } why ? throw new ArgumentException($"A text cannot be recorded: {why}.") : value;
    }
}
