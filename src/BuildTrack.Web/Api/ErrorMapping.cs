using System.Diagnostics;
using System.Text.Json;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.StepFiles;
using BuildTrack.Records.Storage;
using Microsoft.AspNetCore.Diagnostics;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Api;

/// <summary>The one table that turns what went wrong into an answer: RFC 9457 problems for /api, the error sheet for pages.</summary>
public static class ErrorMapping
{
    private static readonly (Type Kind, int Status, string Name, string Title)[] Table =
    [
        (typeof(BadInputException), 400, "bad-input", "What was sent could not be understood."),
        (typeof(KeyMissingException), 400, "key-missing", "An Idempotency-Key header is required."),
        (typeof(BadHttpRequestException), 400, "bad-request", "The request could not be read."),
        (typeof(JsonException), 400, "bad-request", "The request could not be read."),
        (typeof(NotAllowedException), 403, "not-allowed", "Your role does not allow this act."),
        (typeof(NotFoundException), 404, "not-found", "There is no such thing."),
        (typeof(RefusedException), 409, "refused", "A rule forbids this act."),
        (typeof(FileNotSoundException), 409, "file-not-sound", "A kept file is missing or was changed on disk."),
        (typeof(DoubtfulReadingException), 409, "doubtful", "A value is asked about before it is recorded; send it confirmed."),
        (typeof(ChangedMeanwhileException), 412, "changed-meanwhile", "It has changed since you saw it."),
        (typeof(KeyReusedException), 422, "key-reused", "The idempotency key belongs to another request."),
        (typeof(NoAnswerException), 422, "no-answer", "The data are sound but leave no answer."),
        (typeof(IfMatchMissingException), 428, "if-match-missing", "An If-Match header is required."),
        (typeof(StoreBusyException), 503, "store-busy", "The store is busy; send the same request again."),
    ];

    private static readonly Dictionary<int, (string Name, string Title)> Bare = new()
    {
        [400] = ("bad-request", "The request could not be read."),
        [401] = ("signed-out", "Sign in first."),
        [403] = ("not-allowed", "Your role does not allow this act."),
        [404] = ("not-found", "There is no such thing."),
        [405] = ("method-not-allowed", "This address does not take that method."),
        [406] = ("not-acceptable", "No such form of the answer."),
        [413] = ("too-large", "The request is larger than allowed."),
        [415] = ("media-type", "This address does not take that content type."),
        [429] = ("wait", "Too many requests."),
        [500] = ("fault", "A fault of the program. It has been logged under the reference."),
        [503] = ("store-busy", "The store is busy; send the same request again."),
    };

    public static IServiceCollection AddErrorMapping(this IServiceCollection services) =>
        services.AddExceptionHandler<ProblemForApi>().AddProblemDetails(options => options.CustomizeProblemDetails = context =>
        {
            var problem = context.ProblemDetails;
            var status = problem.Status ??= context.HttpContext.Response.StatusCode;
            if (problem.Type?.StartsWith("/problems/", StringComparison.Ordinal) != true)
            {
                var (name, title) = Bare.GetValueOrDefault(status, ("other", "The request failed."));
                (problem.Type, problem.Title) = ("/problems/" + name, title);
            }

            problem.Instance ??= OriginalPath(context.HttpContext);
            problem.Extensions.Remove("traceId");
            problem.Extensions["reference"] = Reference(context.HttpContext);
        });

    public static IApplicationBuilder UseErrorAnswers(this IApplicationBuilder app) => app
        .UseExceptionHandler(new ExceptionHandlerOptions { ExceptionHandlingPath = "/error", StatusCodeSelector = StatusOf, SuppressDiagnosticsCallback = c => StatusOf(c.Exception) < 500 })
        .UseWhen(c => IsApi(c.Request.Path), api => api.UseStatusCodePages(Problem))
        .UseWhen(c => !IsApi(c.Request.Path), pages => pages.UseStatusCodePagesWithReExecute("/error"));

    /// <summary>The number a person reads out, and the log line carries.</summary>
    public static string Reference(HttpContext context) => Activity.Current?.TraceId.ToString()[..12] ?? context.TraceIdentifier;

    public static int StatusOf(Exception exception) =>
        exception is BadHttpRequestException bad ? bad.StatusCode
        : Table.FirstOrDefault(row => row.Kind.IsInstanceOfType(exception)) is { Kind: not null } row ? row.Status
        : Store.IsBusy(exception) ? 503 : 500;

    /// <summary>The sentence for a person; null where only the log may know.</summary>
    public static string? Sentence(Exception exception) => exception switch
    {
        RefusedException refused => refused.Rule.Sentence,
        BadHttpRequestException { InnerException: JsonException json } => json.Message,
        _ => StatusOf(exception) < 500 || exception is StoreBusyException ? exception.Message : null,
    };

    public static string TitleOf(int status) => Bare.GetValueOrDefault(status, ("", "The request failed.")).Item2;

    private static bool IsApi(PathString path) => path.StartsWithSegments("/api") || path.StartsWithSegments("/openapi") || path.StartsWithSegments("/health");

    private static string? OriginalPath(HttpContext context) => context.Features.Get<IExceptionHandlerPathFeature>()?.Path ?? context.Request.Path.Value;

    private static async Task Problem(StatusCodeContext status) =>
        await status.HttpContext.RequestServices.GetRequiredService<IProblemDetailsService>().TryWriteAsync(new ProblemDetailsContext { HttpContext = status.HttpContext });

    private static ProblemDetails Of(Exception exception)
    {
        var row = Table.FirstOrDefault(r => r.Kind.IsInstanceOfType(exception));
        var problem = new ProblemDetails { Status = StatusOf(exception), Detail = Sentence(exception) };
        if (row.Kind is not null && problem.Status == row.Status)
        {
            (problem.Type, problem.Title) = ("/problems/" + row.Name, row.Title);
        }

        switch (exception)
        {
            case BadInputException input:
                problem.Extensions["errors"] = input.Faults;
                break;
            case BadHttpRequestException { InnerException: JsonException json }:
                problem.Extensions["errors"] = new[] { new InputFault(json.Path ?? "body", "text that is no such value", "JSON as the description at /openapi/v1.json says") };
                break;
            case RefusedException refused:
                problem.Extensions["rule"] = refused.Rule.Id;
                break;
            case DoubtfulReadingException doubtful:
                problem.Extensions["questions"] = doubtful.Questions;
                break;
            case ChangedMeanwhileException changed:
                problem.Extensions["seen"] = changed.Seen;
                problem.Extensions["current"] = changed.Current;
                break;
        }

        return problem;
    }

    private sealed class ProblemForApi(IProblemDetailsService problems) : IExceptionHandler
    {
        public async ValueTask<bool> TryHandleAsync(HttpContext context, Exception exception, CancellationToken cancel)
        {
            if (!IsApi(OriginalPath(context)))
            {
                return false;
            }

            var problem = Of(exception);
            context.Response.StatusCode = problem.Status!.Value;

            return await problems.TryWriteAsync(new ProblemDetailsContext { HttpContext = context, ProblemDetails = problem });
        }
    }
}

/// <summary>A creating request came without its Idempotency-Key.</summary>
public sealed class KeyMissingException() : Exception("Send a header Idempotency-Key with a text of your own, new for each act: repeated after a lost answer, the act is still done once.");

/// <summary>A release came without the hash of the sheet the person saw.</summary>
public sealed class IfMatchMissingException() : Exception("Send If-Match with the sheet hash that you saw (ETag of the hold's sheet).");

/// <summary>An evaluation's table was understood, and has no answer: all points on one line, say.</summary>
public sealed class NoAnswerException(string defect) : Exception(defect);
