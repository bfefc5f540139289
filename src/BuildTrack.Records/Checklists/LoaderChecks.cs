using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Checks the names with which the files refer to each other.</summary>
internal static class LoaderChecks
{
    public static void All(LoaderDraft draft)
    {
        foreach (var step in draft.Steps)
        {
            draft.WorkCentres.Need(step.Value.WorkCentre, step.Fields, "work-centre");
            foreach (var after in step.Fields.Listed("after"))
            {
                // Order by number makes a circle impossible, and a route that can be read from top to bottom.
                if (draft.Steps.Need(after.Value, (found, expected) => step.Fields.Fault(after, found, expected)) is { } before && before.Value.Number >= step.Value.Number)
                {
                    step.Fields.Fault(after, FormattableString.Invariant($"step {before.Value.Number} before step {step.Value.Number}"), FormattableString.Invariant($"a step with a number below {step.Value.Number}"));
                }
            }
        }

        Scopes(draft);
        RouteLoader.CheckRework(draft);
        ComponentLoader.Check(draft);
        KitLoader.Check(draft);
        QualificationLoader.Check(draft);
        SeriesLoader.Check(draft);
        Surveys(draft);
        Characteristics(draft);
        Limits(draft);
        foreach (var rule in draft.Invalidation)
        {
            if (rule.Value.Surveys.IsEmpty)
            {
                rule.Fields.Fault("surveys", $"change {rule.Id} without surveys", "at least one survey that it makes void");
            }

            foreach (var survey in rule.Fields.Listed("surveys"))
            {
                draft.Surveys.Need(survey.Value, (found, expected) => rule.Fields.Fault(survey, found, expected));
            }
        }
    }

    private static void Scopes(LoaderDraft draft)
    {
        foreach (var scope in draft.Scopes)
        {
            if (scope.Value.Holds.IsEmpty)
            {
                scope.Fields.Fault("holds", $"scope {scope.Id} without hold points", "at least one hold point");
            }

            foreach (var hold in scope.Fields.Listed("holds"))
            {
                var known = draft.Holds.Need(hold.Value, (found, expected) => scope.Fields.Fault(hold, found, expected));
                if (known is not null && !draft.Damaged(LoaderPart.Characteristics) && draft.Characteristics.All(c => c.Value.Hold != hold.Value))
                {
                    // Such a hold point could never be released, and the certificate never issued.
                    scope.Fields.Fault(hold, $"hold point {hold.Value}, which has no characteristic",
                        Quoted.OneOf(draft.Holds.Ids.Where(id => draft.Characteristics.Any(c => c.Value.Hold == id))));
                }
            }
        }
    }

    private static void Surveys(LoaderDraft draft)
    {
        foreach (var survey in draft.Surveys)
        {
            draft.Layouts.Need(survey.Value.Layout, survey.Fields, "layout");
            if (survey.Value.Step > 0)
            {
                draft.Steps.Need(FormattableString.Invariant($"{survey.Value.Step}"), survey.Fields, "step");
            }
        }

        foreach (var (survey, layout) in draft.Surveys.Where(s => s.Value.Stepped).Select(s => (s, draft.Layouts.Find(s.Value.Layout ?? "")?.Value)))
        {
            // Readings of a level are slopes over its own base: a step of another length gives heights that are wrong by that ratio.
            if (layout is not null && survey.Value.BaseLengthMm is { } feet && Spacings(layout).Where(s => Math.Abs(s - feet) > 0.001).Take(1).ToArray() is [var step])
            {
                survey.Fields.Fault("base-length", FormattableString.Invariant($"a base of {feet:0.###} mm for steps of {step:0.###} mm of layout {layout.Id}"), "a base as long as the step from each station to the next");
            }
        }

        // A window that targets are generated over needs a travel.
        foreach (var model in draft.Models)
        {
            if (model.Value.TravelMm is null && draft.Layouts.Any(l => l.Value is { Shape: LayoutShape.Targets, Axis: null }))
            {
                model.Fields.Fault("travel", $"model {model.Id} without travel, though targets are generated over it", "its cutting travel along X in mm");
            }

            if (model.Value.TravelAcrossMm is null && draft.Layouts.Any(l => l.Value is { Shape: LayoutShape.Targets, Axis: LayoutPlan.AxisY }))
            {
                model.Fields.Fault("travel-across", $"model {model.Id} without travel-across, though targets are generated over it", "its cutting travel along Y in mm");
            }
        }

        // Temperatures that are recorded and compared with nothing would let a bowed bed pass.
        if (draft.Surveys.FirstOrDefault(s => s.Value.NeedsGradient) is { } asks)
        {
            foreach (var model in draft.Models.Where(m => !m.Fields.Has("gradient")))
            {
                model.Fields.Fault("gradient", $"model {model.Id} without gradient, though survey {asks.Id} requires bed temperatures", "the difference allowed, as in 0.48 K");
            }
        }
    }

    private static IEnumerable<double> Spacings(LayoutPlan layout) => layout.Pitch is { } pitch
        ? [pitch]
        : layout.Listed.GroupBy(s => s.YMm).SelectMany(line => line.OrderBy(s => s.XMm).Select(s => s.XMm).ToArray() is var x ? x.Skip(1).Select((v, i) => v - x[i]) : []);

    private static void Characteristics(LoaderDraft draft)
    {
        var lines = new Dictionary<string, Placed<Characteristic>>(StringComparer.Ordinal);
        foreach (var placed in draft.Characteristics)
        {
            var line = placed.Value.Line;
            if (line.Length > 0 && !lines.TryAdd(line, placed))
            {
                var first = lines[line].Fields;
                placed.Fields.Fault("line", FormattableString.Invariant($"a second line {Quoted.Of(line)} (first in {first.File} line {first.Line})"), "each line once");
            }

            var hold = draft.Holds.Need(placed.Value.Hold, placed.Fields, "hold");
            foreach (var entry in placed.Fields.Entries("from", "sources"))
            {
                Source(draft, placed, placed.Value.From[entry.Key.Value], entry.Value, hold?.Value);
            }

            Circle(draft, placed);
            LoaderNeeds.Check(draft, placed);
        }
    }

    private static void Source(LoaderDraft draft, Placed<Characteristic> placed, SourceRef source, YamlNode at, HoldPoint? hold)
    {
        void Fault(string found, string expected) => placed.Fields.Fault(at, found, expected);

        if (source.Survey is { } id && draft.Surveys.Need(id, Fault)?.Value is { } survey)
        {
            if (survey.FindColumn(source.Column!) is null && survey.Columns.All(c => c.Id.Length > 0))
            {
                Fault($"unknown column {Quoted.Of(source.Column!)} of survey {id}", Quoted.OneOf(survey.Columns.Select(c => c.Id)));
            }

            if (hold is { Step: > 0 } && survey.Step > hold.Step)
            {
                Fault(FormattableString.Invariant($"survey {id} of step {survey.Step} for {hold.Id} of step {hold.Step}"), "a survey of the same or an earlier step");
            }
        }

        if (source.Result is { Length: > 0 } result && draft.Characteristics.Need(result, Fault) is { } other)
        {
            // Where a class has the one limit and not the other, the result would never come.
            foreach (var set in draft.Limits.Where(l => l.Value.Requirements.ContainsKey(placed.Value.Limit)
                && !l.Value.Requirements.ContainsKey(other.Value.Limit)))
            {
                Fault($"result {result}, which class {set.Id} does not have", $"limit {other.Value.Limit} in {set.Fields.File}");
            }
        }
    }

    /// <summary>Follows results of results; a circle would be calculated without end.</summary>
    private static void Circle(LoaderDraft draft, Placed<Characteristic> start)
    {
        var seen = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<Characteristic>([start.Value]);
        while (open.TryPop(out var characteristic))
        {
            foreach (var result in characteristic.From.Values.Select(s => s.Result).OfType<string>())
            {
                if (result == start.Id)
                {
                    start.Fields.Fault("from", $"characteristic {start.Id}, which rests on its own result", "results that do not lead back to it");
                    return;
                }

                if (seen.Add(result) && draft.Characteristics.Find(result) is { } next)
                {
                    open.Push(next.Value);
                }
            }
        }
    }

    private static void Limits(LoaderDraft draft)
    {
        foreach (var placed in draft.Characteristics.Where(c => c.Value.Limit.Length > 0 && !draft.Damaged(LoaderPart.Limits)))
        {
            if (draft.Requirements.All(r => r.Limit.Id != placed.Value.Limit))
            {
                placed.Fields.Fault("limit", $"limit {Quoted.Of(placed.Value.Limit)}, which no class has", "a limit that at least one file of limits/ has");
            }
        }

        foreach (var (@class, limit) in draft.Requirements)
        {
            var users = draft.Characteristics.Where(c => c.Value.Limit == limit.Id).Select(c => c.Value).ToList();
            if (users.Count == 0 && !draft.Damaged(LoaderPart.Characteristics))
            {
                // A slip in a limit's name would otherwise silently take the characteristic away from a class.
                limit.Fields.Fault("", $"limit {Quoted.Of(limit.Id)} of class {@class}, which no characteristic names",
                    Quoted.OneOf(draft.Characteristics.Select(c => c.Value.Limit).Distinct()));
            }

            foreach (var user in users)
            {
                LoaderNeeds.CheckLimit(draft, user, limit);
            }

            if (draft.Tables.Need(limit.Value.Table, limit.Fields, "table") is not null && limit.Value.Over is { Length: > 0 } over)
            {
                Over(draft, limit, users, over);
            }
        }
    }

    private static void Over(LoaderDraft draft, Placed<Requirement> limit, List<Characteristic> users, string over)
    {
        foreach (var user in users)
        {
            var columns = user.From.Values.Select(s => draft.Surveys.Find(s.Survey ?? "")?.Value).OfType<Survey>()
                .SelectMany(s => s.Columns).Where(c => c.Kind == ValueKind.Number).Select(c => c.Id);
            var known = columns.Concat(user.From.Values.Select(s => s.Figure).OfType<string>()).Distinct().ToList();
            if (!known.Contains(over) && !draft.Damaged(LoaderPart.Surveys))
            {
                limit.Fields.Fault("over", $"{Quoted.Of(over)}, which characteristic {user.Id} does not have", $"a column or figure of its sources: {Quoted.OneOf(known)}");
            }
        }
    }
}
