using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps route.yaml, work-centres.yaml and invalidation.yaml.</summary>
internal static class RouteLoader
{
    public static void Map(LoaderDraft draft, YamlFields file)
    {
        draft.Edition = file.Text("edition");
        draft.OwnReleases = file.Word("own-measurements", "refused", "refused", "allowed") == "allowed";
        var cautions = Cautions(file);
        foreach (var step in file.Items("steps", true, "a step", "number", "name", "work-centre", "after", "hours", "holds", "photos", "leaves", "qualified", "review", "range", "wait", "wait-for", "cautions"))
        {
            var number = step.Whole("number", 1, 9999);
            draft.Steps.Add(
                number == 0 ? "" : FormattableString.Invariant($"{number}"), new RouteStep(
                    number, step.Text("name"), step.Id("work-centre"), Numbers(step, "after", "the number of a step that comes before"), Hours(step), Photos(step), step.Word("leaves", "", "plant") == "plant", step.IdIfAny("qualified"),
                    step.Has("review") ? step.Text("review") : null, TimesLoader.Range(step), TimesLoader.Wait(step), Cautions(step, cautions)), step);
            foreach (var hold in step.Items("holds", false, "a hold point", "id", "name", "qualified", "witness", "notice", "customer", "as-built"))
            {
                var id = hold.Id("id");
                draft.Holds.Add(id, new HoldPoint(id, number, hold.Text("name"), hold.IdIfAny("qualified"), Witness(hold), Reviewed(hold), hold.Word("as-built", "", "complete") == "complete"), hold);
            }
        }

        foreach (var scope in file.Items("scopes", true, "a certificate scope", "id", "title", "holds"))
        {
            var id = scope.Id("id");
            draft.Scopes.Add(id, new CertificateScope(id, scope.Text("title"), scope.Ids("holds")), scope);
        }

        foreach (var trigger in file.Items("rework", false, "a rework trigger", "id", "title", "found-at", "returns-to", "origin"))
        {
            var id = trigger.Id("id");
            draft.Rework.Add(
                id, new ReworkTrigger(id, trigger.Text("title"), Numbers(trigger, "found-at", "the number of a step it is found at"), trigger.Whole("returns-to", 1, 9999), trigger.Text("origin")), trigger);
        }
    }

    private static Dictionary<string, Caution> Cautions(YamlFields file)
    {
        var cautions = new Dictionary<string, Caution>(StringComparer.Ordinal);
        foreach (var caution in file.Items("cautions", false, "a caution", "id", "title", "text"))
        {
            var id = caution.Id("id");
            if (id.Length > 0 && !cautions.TryAdd(id, new Caution(id, caution.Text("title"), caution.Text("text"))))
            {
                caution.Fault("id", $"caution {Quoted.Of(id)} twice", "each caution once");
            }
        }

        return cautions;
    }

    private static ImmutableArray<Caution>? Cautions(YamlFields step, Dictionary<string, Caution> known)
    {
        if (!step.Has("cautions"))
        {
            return null;
        }

        var named = ImmutableArray.CreateBuilder<Caution>();
        foreach (var id in step.Texts("cautions", "ids of cautions"))
        {
            if (!known.TryGetValue(id.Value, out var caution))
            {
                step.Fault(id, Quoted.Of(id.Value), known.Count == 0 ? "cautions: of the file beside the steps" : $"one of the cautions {string.Join(", ", known.Keys.Order(StringComparer.Ordinal))}");
            }
            else if (named.Contains(caution))
            {
                step.Fault(id, $"caution {id.Value} twice", "each caution once");
            }
            else
            {
                named.Add(caution);
            }
        }

        return named.ToImmutable();
    }

    /// <summary>A witness point: presence, a statement that is signed, or the customer's own hold, with the notice in working days.</summary>
    private static WitnessPoint? Witness(YamlFields hold)
    {
        var asked = hold.Word("witness", "", "present", "statement", "hold");
        if (asked.Length > 0)
        {
            return new WitnessPoint(hold.Whole("notice", 1, 60), asked != "present", asked == "hold");
        }

        if (hold.Has("notice"))
        {
            hold.Fault("notice", "a notice without a witness", "witness: present, statement or hold beside it");
        }

        return null;
    }

    /// <summary>A point whose record the customer reviews; who is invited as a witness sees it anyway.</summary>
    private static bool Reviewed(YamlFields hold)
    {
        var reviews = hold.Word("customer", "", "review") == "review";
        if (reviews && hold.Has("witness"))
        {
            hold.Fault("customer", "a review beside a witness", "customer: review, or witness with its notice");
        }

        return reviews;
    }

    /// <summary>A rework leads back on the route: to a step that every step it is found at comes after.</summary>
    public static void CheckRework(LoaderDraft draft)
    {
        foreach (var trigger in draft.Rework)
        {
            var (fields, target) = (trigger.Fields, trigger.Value.ReturnsTo);
            var known = target > 0 && draft.Steps.Need(FormattableString.Invariant($"{target}"), fields, "returns-to") is not null;
            if (trigger.Value.FoundAt.IsEmpty && !fields.Listed("found-at").Any())
            {
                fields.Fault("found-at", $"rework trigger {trigger.Id} that is found at no step", "at least one step at which it may be raised, as in [100, 120]");
            }

            foreach (var found in fields.Listed("found-at"))
            {
                if (draft.Steps.Need(found.Value, (what, expected) => fields.Fault(found, what, expected)) is { } step && known && !Before(draft, step.Value).Contains(target))
                {
                    fields.Fault(found, FormattableString.Invariant($"step {step.Value.Number}, which does not come after step {target} on the route"), FormattableString.Invariant($"a step that comes after {target}, to which it returns"));
                }
            }
        }
    }

    /// <summary>Numbers of all steps before one; only lower numbers are followed, so that a faulty circle ends.</summary>
    private static HashSet<int> Before(LoaderDraft draft, RouteStep step)
    {
        var before = new HashSet<int>();
        var open = new Stack<RouteStep>([step]);
        while (open.TryPop(out var at))
        {
            foreach (var after in at.After.Where(a => a < at.Number && before.Add(a)))
            {
                if (draft.Steps.Find(FormattableString.Invariant($"{after}")) is { } placed)
                {
                    open.Push(placed.Value);
                }
            }
        }

        return before;
    }

    public static void MapWorkCentres(LoaderDraft draft, YamlFields file)
    {
        foreach (var centre in file.Items("work-centres", true, "a work centre", "id", "name", "shifts", "capacity", "origin"))
        {
            var id = centre.Id("id");
            draft.WorkCentres.Add(id, TimesLoader.Centre(centre, id), centre);
        }
    }

    private static ImmutableArray<int> Numbers(YamlFields fields, string key, string expected)
    {
        var numbers = ImmutableArray.CreateBuilder<int>();
        foreach (var text in fields.Texts(key, "numbers of steps"))
        {
            if (!int.TryParse(text.Value, NumberStyles.None, CultureInfo.InvariantCulture, out var number))
            {
                fields.Fault(text, Quoted.Of(text.Value), expected);
            }
            else if (numbers.Contains(number))
            {
                fields.Fault(text, FormattableString.Invariant($"step {number} twice"), "each step once");
            }
            else
            {
                numbers.Add(number);
            }
        }

        return numbers.ToImmutable();
    }

    private static ImmutableArray<RequiredPhoto> Photos(YamlFields step)
    {
        var photos = ImmutableArray.CreateBuilder<RequiredPhoto>();
        foreach (var photo in step.Items("photos", false, "a required photo", "id", "text"))
        {
            var id = photo.Id("id");
            if (id.Length > 0 && photos.Any(p => p.Id == id))
            {
                photo.Fault("id", $"photo {Quoted.Of(id)} twice at one step", "a name of its own for each photo of the step");
            }

            photos.Add(new RequiredPhoto(id, photo.Text("text")));
        }

        return photos.ToImmutable();
    }

    internal static ImmutableSortedDictionary<string, decimal> Hours(YamlFields step) => !step.Has("hours") ? ImmutableSortedDictionary.Create<string, decimal>(StringComparer.Ordinal) : step.ByClass<decimal>(
        "hours", "hours by class, as in {A: 2, B: 3.5}", "hours of work above 0, at most 1000",
        text => decimal.TryParse(text, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var hours) && hours is > 0 and <= 1000 ? hours : null);

    public static void MapInvalidation(LoaderDraft draft, YamlFields file)
    {
        foreach (var rule in file.Items("invalidation", true, "a change", "change", "title", "surveys"))
        {
            var change = rule.Id("change");
            draft.Invalidation.Add(change, new InvalidationRule(change, rule.Text("title"), rule.Ids("surveys")), rule);
        }
    }
}
