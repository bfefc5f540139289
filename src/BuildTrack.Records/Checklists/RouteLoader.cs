using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps route.yaml, work-centres.yaml and invalidation.yaml.</summary>
internal static class RouteLoader
{
    public static void Map(LoaderDraft draft, YamlFields file)
    {
        draft.Edition = file.Text("edition");
        foreach (var step in file.Items("steps", true, "a step", "number", "name", "work-centre", "holds"))
        {
            var number = step.Whole("number", 1, 9999);
            draft.Steps.Add(
                number == 0 ? "" : FormattableString.Invariant($"{number}"), new RouteStep(number, step.Text("name"), step.Id("work-centre")), step);
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
            draft.WorkCentres.Add(centre.Id("id"), centre.Text("name"), centre);
        }
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
