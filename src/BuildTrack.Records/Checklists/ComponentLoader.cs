using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps components.yaml: what a machine of each class must carry.</summary>
internal static class ComponentLoader
{
    private static readonly ImmutableArray<string> Known = [ComponentPlan.Firmware, ComponentPlan.Certificate];

    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var item in file.Items("components", true, "a component", "id", "name", "kind", "assembly", "step", "places", "needs", "joined", "after-swap", "origin"))
        {
            var id = item.Id("id");
            draft.Components.Add(id, new ComponentPlan(
                id, item.Text("name"), item.Id("kind"), item.Text("assembly"), item.Whole("step", 1, 9999), Places(item), Needs(item), item.Word("joined", "no", "yes", "no") == "yes",
                item.IdIfAny("after-swap"), item.Text("origin")), item);
        }
    }

    /// <summary>Steps and acts on the bed that components name are there.</summary>
    public static void Check(LoaderDraft draft)
    {
        foreach (var hold in draft.Holds.Where(h => h.Value.AsBuilt && !draft.Components.Any()))
        {
            hold.Fields.Fault("as-built", $"hold point {hold.Id}, which waits for an as-built list without components", "components in components.yaml, or no as-built");
        }

        foreach (var component in draft.Components)
        {
            if (component.Value.Step > 0)
            {
                draft.Steps.Need(FormattableString.Invariant($"{component.Value.Step}"), component.Fields, "step");
            }

            draft.Invalidation.Need(component.Value.AfterSwap, component.Fields, "after-swap");
        }
    }

    private static ImmutableSortedDictionary<string, int> Places(YamlFields item) => item.ByClass<int>(
        "places", "how many by class, as in {A: 1, B: 2}", "a whole number from 1 to 99",
        text => int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out var count) && count is > 0 and <= 99 ? count : null);

    private static ImmutableArray<string> Needs(YamlFields item)
    {
        foreach (var need in item.Texts("needs", "what must be recorded").Where(n => !Known.Contains(n.Value)))
        {
            item.Fault(need, Quoted.Of(need.Value), Quoted.OneOf(Known));
        }

        return [.. item.Listed("needs").Select(n => n.Value).Distinct()];
    }
}
