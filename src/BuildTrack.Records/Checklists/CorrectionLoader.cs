using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps corrections.yaml: all the figures that are needed, and the leaves on the shelf.</summary>
internal static class CorrectionLoader
{
    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var figure in file.Items("corrections", true, "a figure", "id", "title", "value", "origin", "edition"))
        {
            var id = figure.Id("id");
            var leaf = id.StartsWith(CorrectionFigure.Leaf, StringComparison.Ordinal);
            var unit = leaf ? "mm" : CorrectionFigure.Needed.Concat(CorrectionFigure.Further).FirstOrDefault(n => n.Id == id).Unit;
            if (id.Length > 0 && unit is null)
            {
                figure.Fault("id", $"an unknown figure {Quoted.Of(id)}", Quoted.OneOf([.. CorrectionFigure.Needed.Concat(CorrectionFigure.Further).Select(n => n.Id), $"{CorrectionFigure.Leaf}050"]));
                continue;
            }

            var value = figure.AmountIfAny("value");
            var least = leaf || unit == "1" ? "a value above 0" : "a value of 0 or more";
            if (value is null && !figure.Has("value"))
            {
                figure.Fault("value", "nothing", $"{least} with its unit, as in {Example(unit)}");
            }
            else if (value is not null && unit is not null && (Units.Calculated(value.Unit) != Units.Calculated(unit) || value.Value < 0 || (value.Value == 0 && (leaf || unit == "1")) || (unit == "1" && value.Value != Math.Round(value.Value))))
            {
                figure.Fault("value", Quoted.Of(value.ToString()), unit == "1" ? "a whole number above 0, as in 4 1" : $"{least} in a unit like {unit}");
            }

            draft.Corrections.Add(id, new CorrectionFigure(id, figure.Text("title"), value ?? new Amount(0, unit ?? "1"), figure.Text("origin"), figure.Text("edition")), figure);
        }

        foreach (var (id, unit) in CorrectionFigure.Needed.Where(n => draft.Corrections.Find(n.Id) is null && !draft.Damaged(LoaderPart.Corrections)))
        {
            file.Fault("corrections", $"no figure {Quoted.Of(id)}", $"it with a value, as in {Example(unit)}");
        }
    }

    private static string Example(string? unit) => unit switch { "1" => "4 1", "h" => "1.5 h", _ => "0.05 mm" };
}
