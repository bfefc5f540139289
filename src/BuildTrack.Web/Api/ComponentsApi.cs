using System.Collections.Immutable;
using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.People;
using BuildTrack.Records.Acts;
using BuildTrack.Records.AsBuilt;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Security;

namespace BuildTrack.Web.Api;

/// <summary>The as-built list of a machine, and where a component is.</summary>
internal static class ComponentsApi
{
    public static void Map(RouteGroupBuilder api)
    {
        api.MapGet("/components", (string serial, ComponentReader reader, CancellationToken ct) => reader.WithSerial(serial, ct))
            .WithSummary("Every component with this maker's serial number, latest first: machine, place, fitted, and when it was taken out.");
        api.MapGet("/machines/{serial}/components", Get).WithSummary("The as-built list: every place with what is fitted, what was taken out, and what is missing.");
        api.MapPost("/machines/{serial}/components", Fit).RequireAuthorization(ActKind.FitComponent).WithSummary("Lists a component as fitted at an empty place.");
        api.MapPost("/machines/{serial}/components/swap", Swap).RequireAuthorization(ActKind.SwapComponent)
            .WithSummary("Lists a swap: 'old' is the serial number scanned from what comes out; both stay with their dates, and results the swap makes void are to be repeated.");
    }

    /// <param name="Place">rail-r1/2.</param>
    /// <param name="Begins">Letter of the joint at which a segment begins; null for none.</param>
    public sealed record ComponentBody(string? Place, string? Serial, string? Firmware, string? Certificate, string? Begins, string? Ends)
    {
        internal ScannedComponent Scanned => new(Place ?? "", Serial ?? "", Firmware, Certificate, Begins, Ends);
    }

    public sealed record SwapBody(string? Place, string? Old, string? Serial, string? Firmware, string? Certificate, string? Begins, string? Ends, string? Reason)
    {
        internal ScannedComponent Scanned => new(Place ?? "", Serial ?? "", Firmware, Certificate, Begins, Ends);
    }

    public sealed record PlaceAnswer(string Place, string Name, string Assembly, int Step, ImmutableArray<string> Needs, FittedComponent? Fitted, ImmutableArray<FittedComponent> TakenOut);

    public sealed record AsBuiltAnswer(int Listed, int Planned, ImmutableArray<string> Missing, ImmutableArray<PlaceAnswer> Places);

    private static async Task<AsBuiltAnswer> Get(string serial, MachineReader machines, CancellationToken ct)
    {
        var list = AsBuiltList.Of(await machines.Load(serial, ct));
        return new AsBuiltAnswer(list.Listed, list.Places.Length, [.. list.Missing.Select(p => p.Name)], [.. list.Places.Select(p => new PlaceAnswer(
            p.Id, p.Name, p.Plan.Assembly, p.Plan.Step, p.Plan.Needs, p.Fitted, [.. p.TakenOut.Select(t => t.Old)]))]);
    }

    private static async Task<IResult> Fit(string serial, ComponentBody body, ComponentActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created(PathOf(serial), await acts.Fit(context.Caller(), new FitComponentRequest(serial, body.Scanned), context.Key(), ct));

    private static async Task<IResult> Swap(string serial, SwapBody body, ComponentActs acts, HttpContext context, CancellationToken ct) =>
        TypedResults.Created(PathOf(serial), await acts.Swap(context.Caller(), new SwapComponentRequest(serial, body.Old ?? "", body.Scanned, body.Reason ?? ""), context.Key(), ct));

    private static string PathOf(string serial) => $"/api/v1/machines/{Uri.EscapeDataString(serial)}/components";
}
