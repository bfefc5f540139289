using System.Collections.Immutable;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.People;
using BuildTrack.Records.Plant;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>What the plant sets up: itself, people, instruments, checklists.</summary>
internal static class PlantApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/plant", Plant).WithSummary("The plant's name, certificate prefix, first number and time zone.");
        api.MapPut("/plant", SetPlant).RequireAuthorization(ActKind.SetPlant).WithSummary("Sets them.");
        api.MapGet("/people", People).RequireAuthorization(ActKind.AddPerson).WithSummary("Everybody with their roles.");
        api.MapPost("/people", AddPerson).RequireAuthorization(ActKind.AddPerson).WithSummary("Adds a person.");
        api.MapPut("/people/{person}/roles", ChangeRoles).RequireAuthorization(ActKind.ChangeRoles).WithSummary("Gives or takes roles; it counts from the person's next request.");
        api.MapPost("/people/{person}/disable", Disable).RequireAuthorization(ActKind.DisablePerson).WithSummary("Ends a person's access.");
        api.MapGet("/instruments", Instruments).WithSummary("The instrument register.");
        api.MapPost("/instruments", Register).RequireAuthorization(ActKind.RegisterInstrument).WithSummary("Enters an instrument, or its next state.");
        api.MapGet("/checklists", Checklists).WithSummary("All revisions of the checklists.");
        api.MapGet("/checklists/compare", Compare).WithSummary("What differs between two revisions ('from' and 'to' are hashes), and what it would mean for machines under the earlier one.");
        api.MapPost("/checklists", LoadChecklists).RequireAuthorization(ActKind.LoadChecklists).WithSummary("Loads a set of files (path to text) as a revision, not yet approved.");
        api.MapPost("/checklists/{hash}/approve", Approve).RequireAuthorization(ActKind.ApproveChecklists).WithSummary("Approves a revision; with a reason where it changes limits of the approved one or a rule of the company.");
    }

    public sealed record AddPersonBody(string Person, string Name, string Password, ImmutableArray<string>? Roles);

    public sealed record RolesBody(ImmutableArray<string> Roles);

    public sealed record ReasonBody(string Reason);

    public sealed record ApproveBody(string? Against, string? Reason);

    public sealed record FilesBody(Dictionary<string, string> Files);

    private static async Task<PlantSettings> Plant(PlantReader plant, CancellationToken ct) => await plant.Get(ct);

    private static async Task<ActReceipt> SetPlant(PlantSettings body, PlantActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Set(context.Caller(), body, context.Key(), ct);

    private static async Task<ImmutableArray<PersonLine>> People(PeopleReader people, CancellationToken ct) => await people.List(ct);

    private static async Task<IResult> AddPerson(AddPersonBody body, PeopleActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created($"/api/v1/people/{body.Person}", await acts.AddPerson(
            context.Caller(), new AddPersonRequest(body.Person, body.Name, body.Password, body.Roles ?? []), context.Key(), ct));

    private static async Task<ActReceipt> ChangeRoles(string person, RolesBody body, PeopleActs acts, HttpContext context, CancellationToken ct) =>
        await acts.ChangeRoles(context.Caller(), new ChangeRolesRequest(person, body.Roles.IsDefault ? [] : body.Roles), context.Key(), ct);

    private static async Task<ActReceipt> Disable(string person, ReasonBody body, PeopleActs acts, HttpContext context, CancellationToken ct) =>
        await acts.DisablePerson(context.Caller(), new DisablePersonRequest(person, body.Reason), context.Key(), ct);

    private static async Task<ImmutableArray<RegisterEntry>> Instruments(InstrumentReader register, CancellationToken ct) => await register.List(ct);

    private static async Task<IResult> Register(RegisterEntry body, InstrumentActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created("/api/v1/instruments", await acts.Register(context.Caller(), new RegisterInstrumentRequest(body), context.Key(), ct));

    private static async Task<ImmutableArray<ChecklistLine>> Checklists(ChecklistReader checklists, CancellationToken ct) => await checklists.List(ct);

    private static async Task<IResult> LoadChecklists(FilesBody body, ChecklistActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created("/api/v1/checklists", await acts.Load(context.Caller(), body.Files, context.Key(), ct));

    private static async Task<RevisionComparison> Compare(string from, string to, RevisionComparer comparer, CancellationToken ct) => await comparer.Compare(from, to, ct);

    private static async Task<ActReceipt> Approve(string hash, ApproveBody? body, ChecklistActs acts, HttpContext context, CancellationToken ct) =>
        await acts.Approve(context.Caller(), new ApproveChecklistsRequest(hash, body?.Against, body?.Reason), context.Key(), ct);
}
