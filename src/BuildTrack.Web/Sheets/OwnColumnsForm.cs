using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Surveys;

namespace BuildTrack.Web.Sheets;

/// <summary>The form that asks which column of a file is what.</summary>
/// <param name="Chosen">What is chosen so far, by the name of the field.</param>
/// <param name="Back">Where somebody goes who takes another file.</param>
public sealed record OwnColumnsForm(OwnColumns Own, IReadOnlyDictionary<string, string> Chosen, string Back)
{
    public const string Place = "Place";
    public const string Way = "Way";

    private const string ColumnPrefix = "c:";
    private const string UnitPrefix = "u:";

    /// <summary>Nothing was chosen yet.</summary>
    public static IReadOnlyDictionary<string, string> Nothing { get; } = new Dictionary<string, string>();

    /// <summary>The field for the file's column that holds a column of the survey.</summary>
    public static string ColumnOf(string column) => ColumnPrefix + column;

    /// <summary>The field for its unit.</summary>
    public static string UnitOf(string column) => UnitPrefix + column;

    public bool IsChosen(string field, string value) => Chosen.TryGetValue(field, out var chosen) && chosen == value;

    /// <summary>The fields as a mapping fills them, in the words of a file's own header.</summary>
    public static IReadOnlyDictionary<string, string> FieldsOf(ColumnMapping? mapping, OwnColumns own)
    {
        ArgumentNullException.ThrowIfNull(own);
        string Here(string name) => own.Names.FirstOrDefault(n => string.Equals(n, name.Trim(), StringComparison.OrdinalIgnoreCase)) ?? name;
        if (mapping is null)
        {
            return Nothing;
        }

        var fields = new Dictionary<string, string> { [Place] = Here(mapping.Place.Name), [Way] = mapping.Place.Way.ToString() };
        foreach (var value in mapping.Values)
        {
            (fields[ColumnOf(value.Column)], fields[UnitOf(value.Column)]) = (Here(value.Name), value.Unit);
        }

        return fields;
    }

    /// <summary>What the fields of a sent form say.</summary>
    public static IReadOnlyDictionary<string, string> FieldsOf(IFormCollection form)
    {
        ArgumentNullException.ThrowIfNull(form);
        static bool IsOurs(string key) =>
            key is Place or Way || key.StartsWith(ColumnPrefix, StringComparison.Ordinal) || key.StartsWith(UnitPrefix, StringComparison.Ordinal);
        return form.Where(f => IsOurs(f.Key)).ToDictionary(f => f.Key, f => f.Value.ToString());
    }

    /// <exception cref="BadInputException">It is not said how the place is written.</exception>
    public static ColumnMapping MappingOf(IReadOnlyDictionary<string, string> fields)
    {
        ArgumentNullException.ThrowIfNull(fields);
        var way = fields.GetValueOrDefault(Way, "");
        return Enum.GetValues<PlaceWay>().Where(w => w.ToString() == way).Select(w => (PlaceWay?)w).FirstOrDefault() is { } known
            ? new ColumnMapping(
                new PlaceColumn(fields.GetValueOrDefault(Place, ""), known),
                [.. fields.Where(f => f.Key.StartsWith(ColumnPrefix, StringComparison.Ordinal)).Select(f => f.Key[ColumnPrefix.Length..]).Select(c =>
                    new ValueColumn(c, fields[ColumnOf(c)], fields.GetValueOrDefault(UnitOf(c), "")))])
            : throw new BadInputException("mapping, place", way.Length == 0 ? "nothing" : Quoted.Of(way), Quoted.OneOf(Enum.GetValues<PlaceWay>().Select(ColumnMapping.Words)));
    }
}
