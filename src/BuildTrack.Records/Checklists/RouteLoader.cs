using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps route.yaml, work-centres.yaml and invalidation.yaml.</summary>
internal static class RouteLoader
{
    public static void Map(LoaderDraft draft, YamlFields file)
    {
        draft.Edition = file.Text("edition");
        foreach (var step in file.Items("steps", true, "a step", "number", "name", "work-centre", "after", "hours", "holds"))
        {
            var number = step.Whole("number", 1, 9999);
            draft.Steps.Add(
                number == 0 ? "" : FormattableString.Invariant($"{number}"), new RouteStep(number, step.Text("name"), step.Id("work-centre"), After(step), Hours(step)), step);
            foreach (var hold in step.Items("holds", false, "a hold point", "id", "name"))
            {
                var id = hold.Id("id");
                draft.Holds.Add(id, new HoldPoint(id, number, hold.Text("name")), hold);
            }
        }

        foreach (var scope in file.Items("scopes", true, "a certificate scope", "id", "title", "holds"))
        {
            var id = scope.Id("id");
            draft.Scopes.Add(id, new CertificateScope(id, scope.Text("title"), scope.Ids("holds")), scope);
        }
    }

    public static void MapWorkCentres(LoaderDraft draft, YamlFields file)
    {
        foreach (var centre in file.Items("work-centres", true, "a work centre", "id", "name"))
        {
            var id = centre.Id("id");
            draft.WorkCentres.Add(id, new WorkCentre(id, centre.Text("name")), centre);
        }
    }

    private static ImmutableArray<int> After(YamlFields step)
    {
        var after = ImmutableArray.CreateBuilder<int>();
        foreach (var text in step.Listed("after"))
        {
            if (!int.TryParse(text.Value, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            {
                step.Fault(text, Quoted.Of(text.Value), "the number of a step that comes before");
            }
            else if (after.Contains(number))
            {
                step.Fault(text, FormattableString.Invariant($"step {number} twice"), "each step once");
            }
            else
            {
                after.Add(number);
            }
        }

        return after.ToImmutable();
    }

    private static ImmutableSortedDictionary<string, decimal> Hours(YamlFields step)
    {
        var hours = ImmutableSortedDictionary.CreateBuilder<string, decimal>(StringComparer.Ordinal);
        if (step.Has("hours"))
        {
            foreach (var entry in step.Entries("hours", "hours by class, as in {A: 2, B: 3.5}"))
            {
                if (entry.Key.Value is not { Length: 1 } || entry.Key.Value[0] is < 'A' or > 'E')
                {
                    step.Fault(entry.Key, $"class {Quoted.Of(entry.Key.Value)}", "A, B, C, D or E");
                }
                else if (entry.Value is YamlText text && decimal.TryParse(text.Value, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var value) && value is > 0 and <= 1000)
                {
                    hours[entry.Key.Value] = value;
                }
                else
                {
                    step.Fault(entry.Value, YamlFields.Describe(entry.Value), "hours of work above 0, at most 1000");
                }
            }
        }

        return hours.ToImmutable();
    }

    public static void MapInvalidation(LoaderDraft draft, YamlFields file)
    {
        foreach (var rule in file.Items("invalidation", true, "a change", "change", "title", "surveys"))
        {
            var change = rule.Id("change");
            draft.Invalidation.Add(change, new InvalidationRule(change, rule.Text("title"), rule.Ids("surveys")), rule);
        }
    }
}
