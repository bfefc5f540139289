using BuildTrack.Domain.People;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.People;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Web.Tests;

/// <summary>Refusals that concern the plant's own set-up, each by its rule.</summary>
public sealed class RefusalTests(Server server) : IClassFixture<Server>
{
    private static readonly CancellationToken None = CancellationToken.None;
    private static readonly Caller Odo = new("odo", "Odo Fenn", [Roles.Administrator]);

    [Fact]
    public async Task Checklists_are_loaded_and_approved_once()
    {
        var checklists = server.Services.GetRequiredService<ChecklistActs>();
        var files = ChecklistLoader.ReadFolder(Server.TestChecklists);
        var loaded = Assert.Single(await server.Services.GetRequiredService<ChecklistReader>().List(None));
        await Refused("R-CHECKLIST-01", () => checklists.Load(Odo, files, null, None));
        await Refused("R-CHECKLIST-02", () => checklists.Approve(Odo, loaded.Hash, null, None));
    }

    [Fact]
    public async Task A_serial_number_has_one_build_record()
    {
        var serial = await Survey.Order(server, "TST-10");
        var problem = await (await server.As("tilda").Send(HttpMethod.Post, "/machines", new { serial, model = "TST-10", customer = "Tallow Creek Trailers" })).Problem(409);
        Assert.Equal("R-ORDER-02", (string)problem["rule"]!);
    }

    [Fact]
    public async Task A_sign_in_name_is_never_given_twice()
    {
        var problem = await (await server.As("odo").Send(HttpMethod.Post, "/people", new { person = "renna", name = "Another Renna", password = Server.Password, roles = new[] { "technician" } })).Problem(409);
        Assert.Equal("R-PERSON-01", (string)problem["rule"]!);
    }

    [Fact]
    public async Task The_first_administrators_link_works_with_its_code_and_once()
    {
        var first = server.Services.GetRequiredService<FirstStart>();
        await Refused("R-START-01", () => first.CreateAdministrator("not the code", "eve", "Eve", Server.Password, None));
        await Refused("R-START-02", () => first.CreateAdministrator(first.Code, "eve", "Eve", Server.Password, None));
    }

    [Fact]
    public async Task A_run_set_aside_is_kept_as_it_is()
    {
        var serial = await Survey.Order(server, "TST-10");
        var run = await Survey.BeginRun(server.As("renna"), serial, "ten-point-heights");
        var recorded = await server.As("renna").Post($"/machines/{serial}/runs/{run}/readings", new { readings = new[] { new { place = "P1", column = "z", typed = "2,55" } } });
        await server.As("renna").Post($"/machines/{serial}/runs/{run}/discard", new { reason = "wrong bed" });
        var problem = await (await server.As("renna").Send(HttpMethod.Post, $"/machines/{serial}/readings/{recorded["ids"]![0]}/correction", new { typed = "2,56", reason = "misread" })).Problem(409);
        Assert.Equal("R-CORRECT-01", (string)problem["rule"]!);
    }

    private static async Task Refused<T>(string rule, Func<Task<T>> act) =>
        Assert.Equal(rule, (await Assert.ThrowsAsync<RefusedException>(act)).Rule.Id);
}

/// <summary>Before any checklists are loaded.</summary>
public sealed class NoChecklistsTests
{
    [Fact]
    public async Task No_machine_is_ordered_before_checklists_are_loaded()
    {
        await using var server = new Server { WithoutChecklists = true };
        await server.InitializeAsync();
        var problem = await (await server.As("tilda").Send(HttpMethod.Post, "/machines", new { serial = "TST-1", model = "TST-10", customer = "Tallow Creek Trailers" })).Problem(409);
        Assert.Equal("R-ORDER-01", (string)problem["rule"]!);
    }
}
