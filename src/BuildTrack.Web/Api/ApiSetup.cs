using System.Text.Json;
using BuildTrack.Domain.Canonical;
using BuildTrack.Web.Security;
using Microsoft.OpenApi;

namespace BuildTrack.Web.Api;

/// <summary>The programmable side of the product: the same acts as the pages, under /api/v1, described at /openapi/v1.json.</summary>
public static class ApiSetup
{
    public static IServiceCollection AddApi(this IServiceCollection services)
    {
        services.ConfigureHttpJsonOptions(options =>
        {
            options.SerializerOptions.PropertyNamingPolicy = JsonNamingPolicy.CamelCase;
            options.SerializerOptions.DefaultIgnoreCondition = CanonicalJson.Options.DefaultIgnoreCondition;
            options.SerializerOptions.NumberHandling = CanonicalJson.Options.NumberHandling;
            options.SerializerOptions.UnmappedMemberHandling = CanonicalJson.Options.UnmappedMemberHandling;
            options.SerializerOptions.IgnoreReadOnlyProperties = true;
            options.SerializerOptions.RespectNullableAnnotations = true;
            options.SerializerOptions.RespectRequiredConstructorParameters = false;
            options.SerializerOptions.Encoder = CanonicalJson.Options.Encoder;
            foreach (var converter in CanonicalJson.Options.Converters)
            {
                options.SerializerOptions.Converters.Add(converter);
            }
        });
        return services.AddOpenApi("v1", options =>
        {
            options.OpenApiVersion = OpenApiSpecVersion.OpenApi3_1;
            options.AddDocumentTransformer((document, _, _) =>
            {
                document.Info = new OpenApiInfo
                {
                    Title = "BuildTrack",
                    Version = "v1",
                    Description = "Measuring, releasing and certifying machines. Send a bearer token; every creating request carries an Idempotency-Key; "
                        + "a release carries the password in its body and the sheet hash in If-Match. Errors are RFC 9457 problems.",
                };
                return Task.CompletedTask;
            });
        });
    }

    public static void MapApi(this WebApplication app)
    {
        var api = app.MapGroup("/api/v1").RequireAuthorization(Policies.SignedIn).DisableAntiforgery();
        MachinesApi.Map(api);
        InspectionPlanApi.Map(api);
        SeriesApi.Map(api);
        TrendsApi.Map(api);
        RouteApi.Map(api);
        NonconformancesApi.Map(api);
        PunchListApi.Map(api);
        AffectedReadingsApi.Map(api);
        ComponentsApi.Map(api);
        CorrectionsApi.Map(api);
        FeetApi.Map(api);
        TemperaturesApi.Map(api);
        PlanningApi.Map(api);
        SurveysApi.Map(api);
        ReleasesApi.Map(api);
        PlantApi.Map(api);
        HistoryApi.Map(api);
        ReadyDatesApi.Map(api);
        DisclosureApi.Map(api);
        CustomersPointsApi.Map(api);
        QualificationsApi.Map(api);
        WitnessApi.Map(api);
        PaperApi.Map(api);
        DelegationsApi.Map(api);
        TabletsApi.Map(api);
        InstrumentsApi.Map(api);
        EvaluationsApi.Map(api);
        FilesApi.Map(api);
        ScanApi.Map(api);
        app.MapOpenApi("/openapi/{documentName}.json").RequireAuthorization(Policies.SignedIn);
    }

    /// <summary>The key that makes a creating request safe to repeat.</summary>
    /// <exception cref="KeyMissingException">The header is missing or longer than 200 characters.</exception>
    public static string Key(this HttpContext context) =>
        context.Request.Headers["Idempotency-Key"].ToString() is { Length: > 0 and <= 200 } key ? key : throw new KeyMissingException();
}
