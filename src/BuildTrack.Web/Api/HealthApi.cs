using BuildTrack.Records.Plant;

namespace BuildTrack.Web.Api;

/// <summary>Is the process there; is everything there that a request needs. Open to everybody, and they say nothing else.</summary>
internal static class HealthApi
{
    public static void MapHealth(this WebApplication app)
    {
        app.MapGet("/health/live", () => TypedResults.Ok(new HealthAnswer("live"))).AllowAnonymous().WithSummary("The process answers; green even while the database is away.");
        app.MapGet("/health/ready", Ready).AllowAnonymous().WithSummary("Database and evidence folder answer.");
    }

    public sealed record HealthAnswer(string State);

    private static async Task<IResult> Ready(PlantReader plant, Hosting.Settings settings, CancellationToken ct)
    {
        try
        {
            await plant.Get(ct);
            return Directory.Exists(settings.Store.Folder) ? TypedResults.Ok(new HealthAnswer("ready")) : TypedResults.StatusCode(StatusCodes.Status503ServiceUnavailable);
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            return TypedResults.StatusCode(StatusCodes.Status503ServiceUnavailable);
        }
    }
}
