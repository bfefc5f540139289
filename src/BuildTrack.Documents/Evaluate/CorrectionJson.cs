using System.Text.Json.Nodes;
using BuildTrack.Metrology.Corrections;
using static BuildTrack.Documents.Evaluate.FlatnessCommand;

namespace BuildTrack.Documents.Evaluate;

/// <summary>What the commands of corrections write alike.</summary>
internal static class CorrectionJson
{
    /// <summary>A word of an enumeration as field values are written: camelCase; null for the first one, which says that there is nothing.</summary>
    public static string? Word<T>(T value)
        where T : struct, Enum => Convert.ToInt32(value, System.Globalization.CultureInfo.InvariantCulture) == 0 ? null : Always(value);

    /// <summary>A word of an enumeration, always written.</summary>
    public static string Always<T>(T value)
        where T : struct, Enum
    {
        var name = value.ToString();
        return char.ToLowerInvariant(name[0]) + name[1..];
    }

    /// <summary>Form before or after: flatness, or straightness where the places lie on one line.</summary>
    public static JsonNode? Form(BedForm? form) => form is null ? null : new JsonObject
    {
        ["form"] = form.IsFlatness ? "flatness" : "straightness", ["minimumZoneUm"] = Number(form.MinimumZoneUm), ["zoneProved"] = form.Proved,
        ["absentBecause"] = form.AbsentBecause,
    };

    public static JsonArray Array<T>(IEnumerable<T> items, Func<T, JsonNode?> item) => new([.. items.Select(item)]);
}
