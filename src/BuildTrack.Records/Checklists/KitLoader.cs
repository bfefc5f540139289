using System.Globalization;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps kit.yaml: the long-lead parts of each class.</summary>
internal static class KitLoader
{
    public static void Map(LoaderDraft draft, YamlFields file)
    {
        draft.Kit = (file, file.Whole("purchase", 1, 9999), file.Whole("complete-before", 1, 9999));
        foreach (var part in file.Items("kit", true, "a part of the kit", "id", "name", "step", "count", "lead-days", "origin"))
        {
            var id = part.Id("id");
            var (low, likely, high) = TimesLoader.Three(part, "lead-days", 999, "days");
            draft.KitParts.Add(id, new KitPart(
                id, part.Text("name"), part.Whole("step", 1, 9999),
                part.ByClass<int>("count", "how many by class, as in {A: 1, B: 2}", "a whole number from 1 to 99", text => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var n) && n is > 0 and <= 99 ? n : null),
                (int)low, (int)likely, (int)high, part.Text("origin")), part);
        }
    }

    /// <summary>The steps that the kit names are there.</summary>
    public static void Check(LoaderDraft draft)
    {
        if (draft.Kit is not { } kit)
        {
            return;
        }

        foreach (var (step, key) in new[] { (kit.Purchase, "purchase"), (kit.CompleteBefore, "complete-before") }.Where(s => s.Item1 > 0))
        {
            draft.Steps.Need(FormattableString.Invariant($"{step}"), kit.Fields, key);
        }

        foreach (var part in draft.KitParts.Where(p => p.Value.Step > 0))
        {
            draft.Steps.Need(FormattableString.Invariant($"{part.Value.Step}"), part.Fields, "step");
        }
    }
}
