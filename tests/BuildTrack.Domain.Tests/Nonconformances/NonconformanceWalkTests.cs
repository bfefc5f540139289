using BuildTrack.Domain.Nonconformances;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Chance;

namespace BuildTrack.Domain.Tests.Nonconformances;

/// <summary>Seeded random walks over acts, people and dispositions, compared with a statement of the rules that shares nothing with them.</summary>
public sealed class NonconformanceWalkTests
{
    // Letters of the roles each person holds; max holds two that no one person may fill at once.
    private static readonly (string Name, string Letters)[] People = [("tom", "T"), ("ina", "I"), ("ivo", "I"), ("pia", "P"), ("ada", "A"), ("max", "IA"), ("uma", "IP")];

    // The brief of the shop (common practice): who approves what.
    private static readonly Dictionary<Disposition, string> Needs = new()
    {
        [Disposition.Rework] = "I", [Disposition.Repair] = "IA", [Disposition.Concession] = "IA", [Disposition.DeviationPermit] = "IA", [Disposition.Regrade] = "P", [Disposition.Scrap] = "IP",
        [Disposition.ReturnToSupplier] = "P",
    };

    [Fact]
    public void No_walk_comes_to_a_closed_or_conceded_nonconformance_in_any_other_way()
    {
        int done = 0, refused = 0, closed = 0, conceded = 0;
        for (var walk = 0; walk < 1500; walk++)
        {
            var random = new SeededSource((ulong)walk + 20261125);
            int Any(int of) => (int)(random.NextUniform() * of);
            var (contract, fromResult) = (Any(2) == 0, Any(2) == 0);
            var lineIsGood = false;
            var machine = fromResult ? Ncr.Raised(Ncr.Machine(300)) : Ncr.Seen(Ncr.Machine(10), contract: contract);

            // 0 raised, 1 contained, 2 proposed, 3 approved, 4 done, 5 verified, 6 closed.
            var state = 0;
            var (plan, proposer, doer, consent, permitted) = ((Disposition?)null, "", "", false, false);
            var approvers = new List<string>();
            for (var i = 0; i < 40; i++)
            {
                var (name, letters) = People[Any(People.Length)];
                var act = (NonconformanceAct)Any(8);
                if (state == 1 && act == NonconformanceAct.Contain)
                {
                    act = NonconformanceAct.Propose;
                }

                Disposition? proposed = act == NonconformanceAct.Propose ? (Disposition)Any(7) : null;
                if (fromResult && Any(10) == 0)
                {
                    lineIsGood = true;
                    machine = Ncr.Machine(10, measurement: 40) with { Nonconformances = machine.Nonconformances };
                }

                var needs = plan is { } p ? Needs[p] : "";
                var may = act switch
                {
                    NonconformanceAct.Contain => state == 0,
                    NonconformanceAct.Propose => state == 1 && (letters.Contains('I') || letters.Contains('A') || Needs[proposed!.Value].Intersect(letters).Any()),
                    NonconformanceAct.Approve => state == 2 && !approvers.Contains(name) && Filled(needs, [.. approvers, name]) > Filled(needs, approvers) && !(needs.Length == 1 && name == proposer),
                    NonconformanceAct.Consent => state == 2 && !consent,
                    NonconformanceAct.GiveBack => (state == 2 && (name == proposer || needs.Intersect(letters).Any())) || (state == 4 && letters.Contains('I')),
                    NonconformanceAct.Action => state == 3,
                    NonconformanceAct.Verify => state == 4 && name != doer && (plan != Disposition.Rework || !fromResult || lineIsGood),
                    _ => state == 5,
                };
                var rule = NonconformanceRules.WhyNot(machine, machine.Nonconformances[0], act, name, Ncr.RolesOf(letters), proposed);
                Assert.True(may == rule is null, $"walk {walk}, act {i}: {act} {proposed} by {name}, state {state}: {rule}");
                if (!may)
                {
                    refused++;
                    continue;
                }

                done++;
                machine = Ncr.Enter(machine, act, name, letters, proposed);
                switch (act)
                {
                    case NonconformanceAct.Contain:
                        state = 1;
                        break;
                    case NonconformanceAct.Propose:
                        (state, plan, proposer, consent) = (2, proposed, name, false);
                        approvers.Clear();
                        break;
                    case NonconformanceAct.Approve:
                        approvers.Add(name);
                        break;
                    case NonconformanceAct.Consent:
                        consent = true;
                        break;
                    case NonconformanceAct.GiveBack:
                        (state, plan) = state == 2 ? (1, null) : (3, plan);
                        break;
                    case NonconformanceAct.Action:
                        (state, doer) = (4, name);
                        break;
                    case NonconformanceAct.Verify:
                        state = 5;
                        break;
                    default:
                        state = 6;
                        closed++;
                        break;
                }

                var asksCustomer = !fromResult && contract && plan is Disposition.Concession or Disposition.DeviationPermit;
                if (state == 2 && Filled(Needs[plan!.Value], approvers) == Needs[plan.Value].Length && (consent || !asksCustomer))
                {
                    state = 3;
                    permitted = plan is Disposition.Concession or Disposition.DeviationPermit;
                    conceded += permitted ? 1 : 0;
                }

                var of = machine.Nonconformances[0];
                Assert.Equal((walk, i, state), (walk, i, (int)of.Standing.State));
                Assert.Equal(state != 6 && !permitted, of.Open);
                Assert.Equal(of.Open, NonconformanceRules.WhyBlocked(machine, machine.Revision.Holds[0]) is not null);
                Assert.Equal(fromResult && permitted && !lineIsGood, machine.StandingOf(machine.Agreed().First()).Concession is not null);
            }
        }

        Assert.True(done > 8_000 && refused > 20_000 && closed > 100 && conceded > 100, $"{done} done, {refused} refused, {closed} closed, {conceded} conceded: the walks did not go far");
    }

    /// <summary>The most roles that these people can fill, each person one: tried out person by person.</summary>
    private static int Filled(string needs, List<string> people) => people.Count == 0 || needs.Length == 0 ? 0
        : People.Single(p => p.Name == people[0]).Letters.Where(l => needs.Contains(l)).Select(l => 1 + Filled(needs.Remove(needs.IndexOf(l), 1), [.. people.Skip(1)]))
            .Append(Filled(needs, [.. people.Skip(1)])).Max();
}
