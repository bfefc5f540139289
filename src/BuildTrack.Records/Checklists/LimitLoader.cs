using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps limits/class-*.yaml and tables/*.yaml.</summary>
internal static class LimitLoader
{
    private const decimal Largest = 1_000_000_000;

    public static void Map(LoaderDraft draft, YamlFields file)
    {
        var @class = file.Word("class", null, ModelLoader.Classes);
        var expected = $"limits/class-{@class.ToLowerInvariant()}.yaml";
        if (@class.Length > 0 && file.File != expected)
        {
            file.Fault("class", $"class {@class} in {file.File}", $"it in {expected}");
        }

        var limits = ImmutableSortedDictionary.CreateBuilder<string, Requirement>(StringComparer.Ordinal);
        var entries = file.Entries("limits", "limits by name, as in bed-flatness: {upper: 0.050 mm, …}");
        if (entries.IsEmpty)
        {
            draft.Damage(LoaderPart.Limits);
        }

        foreach (var entry in entries)
        {
            var fields = file.Inner(
                entry.Value, "a limit", "upper", "lower", "table", "over", "rule", "origin", "edition", "approved-by");
            var requirement = Requirement(fields);
            limits[entry.Key.Value] = requirement;
            draft.Requirements.Add((@class, new Placed<Requirement>(entry.Key.Value, requirement, fields)));
        }

        draft.Limits.Add(@class, new LimitSet(@class, limits.ToImmutable()), file);
    }

    public static void MapTables(LoaderDraft draft, YamlFields file)
    {
        foreach (var table in file.Items("tables", true, "a table", "id", "unit", "over-unit", "origin", "rows"))
        {
            var id = table.Id("id");
            draft.Tables.Add(id, new LimitTable(id, table.Unit("unit"), table.Unit("over-unit"), table.Text("origin"), Rows(table)), table);
        }
    }

    private static Requirement Requirement(YamlFields limit)
    {
        var (upper, lower) = (limit.AmountIfAny("upper"), limit.AmountIfAny("lower"));
        var (table, over) = (limit.IdIfAny("table"), limit.IdIfAny("over"));
        if (!limit.Has("upper") && !limit.Has("lower") && !limit.Has("table"))
        {
            limit.Fault("upper", "a limit without upper, lower or table", "at least one of them");
        }

        if (limit.Has("upper") && limit.Has("table"))
        {
            limit.Fault("table", "a table beside upper", "either of the two: a table gives the upper limit");
        }

        if (limit.Has("table") != limit.Has("over"))
        {
            limit.Fault("over", limit.Has("table") ? "a table without over" : "over without a table", "table and over together");
        }

        if (upper is not null && lower is not null && (Units.Calculated(upper.Unit) != Units.Calculated(lower.Unit) || lower.Calculated >= upper.Calculated))
        {
            limit.Fault("lower", $"lower {lower} and upper {upper}", "lower below upper, in units of one kind");
        }

        return new Requirement(upper, lower, table, over, Rule(limit), limit.Text("origin"), limit.Text("edition"), limit.TextIfAny("approved-by"));
    }

    private static DecisionRule Rule(YamlFields limit) => limit.Word("rule", null, "simple", "guarded", "one-sided-95") switch
    {
        "simple" => DecisionRule.Simple,
        "one-sided-95" => DecisionRule.OneSided95,
        _ => DecisionRule.Guarded,
    };

    private static ImmutableArray<LimitTableRow> Rows(YamlFields table)
    {
        var rows = ImmutableArray.CreateBuilder<LimitTableRow>();
        foreach (var item in table.Items("rows", true, "a row", "from", "to", "constant", "slope"))
        {
            var row = new LimitTableRow(
                item.Number("from", -Largest, Largest, "where the row begins"), item.Number("to", -Largest, Largest, "where the row ends"),
                item.Number("constant", -Largest, Largest, "the constant"), item.Number("slope", -Largest, Largest, "the slope"));
            if (row.To <= row.From && item.Has("from") && item.Has("to"))
            {
                item.Fault("to", FormattableString.Invariant($"a row from {row.From} to {row.To}"), "an end above the beginning");
            }
            else if (rows.Count > 0 && row.From < rows[^1].To)
            {
                item.Fault("from", FormattableString.Invariant($"a row from {row.From} that begins below the end {rows[^1].To} of the row before"), "rows in order, without overlap");
            }

            rows.Add(row);
        }

        return rows.ToImmutable();
    }
}
