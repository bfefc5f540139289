using BuildTrack.Metrology.Chance;

namespace BuildTrack.Domain.Tests.Route.Walking;

/// <summary>A seeded walk over acts and people. It begins with acts that are allowed, up to a valid state by chance, and then tries whatever comes.</summary>
/// <param name="acts">Acts on the whole walk, at most 80.</param>
internal sealed class RouteWalk(ulong seed, int acts, WalkTally tally)
{
    // Work, answers and releases often; what undoes them seldom, or nothing would come far.
    private static readonly WalkKind[] Chances =
    [
        .. Times(16, WalkKind.Answer, WalkKind.Release), .. Times(12, WalkKind.Start, WalkKind.Finish, WalkKind.Begin, WalkKind.LiftHold), .. Times(6, WalkKind.Settle),
        .. Times(3, WalkKind.Pause, WalkKind.NotApplicable, WalkKind.Reopen, WalkKind.SendBack, WalkKind.Return), .. Times(2, WalkKind.Discard, WalkKind.Rework), .. Times(2, WalkKind.CloseItem, WalkKind.Issue), .. Times(1, WalkKind.Raise, WalkKind.PutOnHold, WalkKind.AddItem),
    ];

    private readonly SeededSource random = new(seed);

    /// <summary>Walks, and holds every answer against the statement.</summary>
    /// <param name="attempt">Tries an act: null where it was done, else the rule that forbade it or <see cref="RouteStatement.WrongRole"/>. It is told what must forbid it, for acts it cannot judge.</param>
    /// <returns>The statement as it stands at the end.</returns>
    public async Task<RouteStatement> Go(Func<WalkAct, IReadOnlyList<string>, Task<string?>> attempt)
    {
        var statement = new RouteStatement();
        var lead = random.NextInt(acts / 2);
        for (var i = 0; i < acts; i++)
        {
            var act = Next(statement, allowed: i < lead || random.NextInt(2) == 0);
            var forbids = statement.Forbids(act);
            var answer = await attempt(act, forbids);
            Assert.True(
                answer is null ? forbids.Count == 0 : forbids.Contains(answer),
                $"walk {seed}, act {i}: {act}: {answer ?? "done"}, and must be {(forbids.Count == 0 ? "done" : $"refused by {string.Join(" or ", forbids)}")}");
            tally.Count(act.Kind, answer);
            if (answer is null)
            {
                statement.Do(act);
            }
        }

        return statement;
    }

    /// <summary>Draws an act; where it should be allowed, draws again some times.</summary>
    private WalkAct Next(RouteStatement statement, bool allowed)
    {
        var act = Draw(statement);
        for (var tries = 0; allowed && tries < 20 && statement.Forbids(act).Count > 0; tries++)
        {
            act = Draw(statement);
        }

        return act;
    }

    private WalkAct Draw(RouteStatement statement)
    {
        while (true)
        {
            // It comes about seldom, and is over with the next release.
            var kind = statement.MayIssue && random.NextInt(3) == 0 ? WalkKind.Issue : Chances[random.NextInt(Chances.Length)];
            if (kind is WalkKind.PutOnHold or WalkKind.LiftHold or WalkKind.Issue || (kind == WalkKind.CloseItem && statement.HasOpenItem))
            {
                return new WalkAct(kind, 0, Person(kind));
            }

            if (kind == WalkKind.AddItem)
            {
                if (random.NextInt(2) == 0)
                {
                    continue;
                }

                return new WalkAct(kind, 0, Person(kind), Anybody());
            }

            if (kind == WalkKind.SendBack)
            {
                var (id, foundAt, _) = RouteStatement.Triggers[random.NextInt(RouteStatement.Triggers.Length)];
                var found = random.NextInt(4) > 0 ? foundAt[random.NextInt(foundAt.Length)] : RouteStatement.Steps[random.NextInt(RouteStatement.Steps.Length)].Number;
                return new WalkAct(kind, found, Person(kind), Trigger: id);
            }

            var step = random.NextInt(3) > 0 ? statement.Front : RouteStatement.Steps[random.NextInt(RouteStatement.Steps.Length)].Number;
            if (Possible(kind, step, statement))
            {
                var person = kind == WalkKind.Answer && random.NextInt(4) > 0 ? statement.BegunBy(step)! : Person(kind);
                var helper = kind == WalkKind.Begin && random.NextInt(5) == 0 ? Anybody() : null;
                return new WalkAct(kind, step, person, helper == person ? null : helper, random.NextInt(4) > 0);
            }
        }
    }

    private string Anybody() => RouteStatement.People[random.NextInt(RouteStatement.People.Length)].Name;

    /// <summary>Whether the act can be asked for at all: a step without hold point has no list and no release.</summary>
    private static bool Possible(WalkKind kind, int step, RouteStatement statement) => kind switch
    {
        WalkKind.Start or WalkKind.Pause or WalkKind.Finish or WalkKind.NotApplicable or WalkKind.Reopen => true,
        WalkKind.CloseItem => false,
        _ when RouteStatement.HoldOf(step) is null => false,
        WalkKind.Answer or WalkKind.Discard => statement.BegunBy(step) is not null,
        WalkKind.Settle => statement.HasOpenNonconformance(step),
        _ => true,
    };

    /// <summary>Most often one whose role allows it, and for a list a technician: where both inspectors had a hand, nobody can release any more.</summary>
    private string Person(WalkKind kind)
    {
        var usual = kind is WalkKind.Begin or WalkKind.Answer or WalkKind.Discard ? "T" : RouteStatement.RolesFor(kind);
        var (name, role) = RouteStatement.People[random.NextInt(RouteStatement.People.Length)];
        return usual.Contains(role) || random.NextInt(6) == 0 ? name : Person(kind);
    }

    private static IEnumerable<WalkKind> Times(int count, params WalkKind[] kinds) => Enumerable.Repeat(kinds, count).SelectMany(k => k);
}
