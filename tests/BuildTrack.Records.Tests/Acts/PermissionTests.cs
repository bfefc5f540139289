using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.Acts;

/// <summary>Every act with every role, through the use case itself. Expected: Data/permissions.txt.</summary>
public sealed class PermissionTests
{
    private static readonly Lazy<Dictionary<(string Act, string Role), bool>> Expected = new(() => File
        .ReadAllLines(Path.Combine(AppContext.BaseDirectory, "Data", "permissions.txt"))
        .Where(l => l.Length > 0 && l[0] != '#')
        .SelectMany(l => new[] { Roles.Technician, Roles.Inspector, Roles.Planner, Roles.Administrator }
            .Select((r, i) => ((l[..22].Trim(), r), l[22..].Split(' ', StringSplitOptions.RemoveEmptyEntries)[i] == "yes")))
        .ToDictionary(c => c.Item1, c => c.Item2));

    [Fact]
    public void The_table_has_a_cell_for_every_act_and_role() =>
        Assert.Equal(
            ActKind.All.SelectMany(a => Roles.All.Select(r => $"{a}/{r}")).Order(StringComparer.Ordinal),
            Expected.Value.Keys.Select(k => $"{k.Act}/{k.Role}").Order(StringComparer.Ordinal));

    [Fact]
    public void The_rule_says_what_the_table_says()
    {
        foreach (var ((act, role), may) in Expected.Value)
        {
            Assert.True(may == Permissions.May([role], act), $"{role}, {act}: expected {may}");
        }
    }

    [Theory, OnBoth]
    public async Task Each_act_is_refused_for_every_role_without_it_and_for_nobody_else(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        var acts = await AllActs.On(plant);
        Assert.Equal(ActKind.All.Order(StringComparer.Ordinal), acts.Keys.Order(StringComparer.Ordinal));

        // First everything that must be refused, on one and the same state.
        foreach (var (kind, act) in acts)
        {
            foreach (var role in Roles.All.Where(r => !Expected.Value[(kind, r)]).Append(""))
            {
                if (role.Length == 0 && kind == ActKind.IssueToken)
                {
                    continue;
                }

                var who = AllActs.Who(kind) with { Roles = role.Length == 0 ? [] : [role] };
                var error = await plant.LeavesNothing<NotAllowedException>(() => act(who, null));
                Assert.Contains(kind, error.Message, StringComparison.Ordinal);
            }
        }

        // Then whoever holds the role: done, or refused for another reason than the role.
        foreach (var (kind, act) in acts)
        {
            foreach (var role in Roles.All.Where(r => Expected.Value[(kind, r)]))
            {
                var error = await Record.ExceptionAsync(() => act(AllActs.Who(kind) with { Roles = [role] }, null));
                Assert.False(error is NotAllowedException, $"{role} may not {kind}: {error?.Message}");
            }
        }
    }

    [Theory, OnBoth]
    public async Task A_file_is_neither_kept_nor_recorded_without_the_role(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await plant.LeavesNothing<NotAllowedException>(() =>
            plant.Get<Surveys.SurveyActs>().KeepFile(TestPlant.Planner, "a.jpg", "image/jpeg", new byte[] { 1, 2, 3 }, null, default));
        await plant.LeavesNothing<NotAllowedException>(() =>
            plant.Get<Surveys.SurveyActs>().RecordFile(TestPlant.Planner, new Surveys.RecordFileRequest("X", 1, new string('0', 64), "a.csv"), null, default));
        Assert.False(Directory.Exists(plant.Settings.FilesFolder));
    }
}
