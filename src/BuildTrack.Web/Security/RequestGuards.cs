namespace BuildTrack.Web.Security;

/// <summary>What every answer carries, and which requests are not even looked at.</summary>
public static class RequestGuards
{
    private const string ContentPolicy = "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'";

    // The worker that calculates without network, and it alone, compiles what it is given.
    private const string CalculatingWorker = "/js/engine.js";
    private const string WorkerPolicy = ContentPolicy + "; script-src 'self' 'wasm-unsafe-eval'";

    /// <summary>For what is addressed by the hash of its content, and only in the browser of who signed in.</summary>
    public const string KeptForGood = "private, max-age=31536000, immutable";

    /// <summary>For a style, a script or a picture whose address carries its version.</summary>
    public const string FileOfThePages = "public, max-age=31536000, immutable";

    /// <summary>For one whose address does not: a module names the others without version, and the browser asks whether they changed.</summary>
    public const string AskedAbout = "no-cache";

    public static IApplicationBuilder UseSecurityHeaders(this IApplicationBuilder app) => app.Use((context, next) =>
    {
        context.Response.OnStarting(() =>
        {
            var headers = context.Response.Headers;
            headers.ContentSecurityPolicy = context.Request.Path == CalculatingWorker ? WorkerPolicy : ContentPolicy;
            headers.XContentTypeOptions = "nosniff";
            headers["Referrer-Policy"] = "same-origin";
            headers["Cross-Origin-Opener-Policy"] = "same-origin";
            headers["Cross-Origin-Resource-Policy"] = "same-origin";
            headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()";
            if (context.Request.IsHttps && !IsThisMachine(context.Request.Host.Host))
            {
                headers.StrictTransportSecurity = "max-age=31536000";
            }

            // Who answers with a file says how long it is kept; a page never is.
            if (headers.CacheControl != KeptForGood && headers.CacheControl != FileOfThePages && headers.CacheControl != AskedAbout)
            {
                headers.CacheControl = "no-store";
            }

            return Task.CompletedTask;
        });
        return next(context);
    });

    /// <summary>Every cookie is Secure, HttpOnly and Strict, whoever sets it.</summary>
    public static IApplicationBuilder UseSecureCookies(this IApplicationBuilder app) => app.UseCookiePolicy(new CookiePolicyOptions
    {
        Secure = CookieSecurePolicy.Always,
        HttpOnly = Microsoft.AspNetCore.CookiePolicy.HttpOnlyPolicy.Always,
        MinimumSameSitePolicy = SameSiteMode.Strict,
    });

    /// <summary>A browser that sends the cookie with a change must say that the change comes from our own pages.</summary>
    public static IApplicationBuilder UseSameOriginOnly(this IApplicationBuilder app) => app.Use((context, next) =>
    {
        var request = context.Request;
        var changes = !(HttpMethods.IsGet(request.Method) || HttpMethods.IsHead(request.Method) || HttpMethods.IsOptions(request.Method) || HttpMethods.IsTrace(request.Method));
        if (!changes || SecretOf.Bearer(request) is not null || SecretOf.Cookie(request) is null || FromOwnPages(request))
        {
            return next(context);
        }

        context.Response.StatusCode = StatusCodes.Status403Forbidden;
        return Task.CompletedTask;
    });

    // A browser on the server itself is not told to keep away from plain http on it, where other programs listen too.
    private static bool IsThisMachine(string host) =>
        host.Equals("localhost", StringComparison.OrdinalIgnoreCase) || (System.Net.IPAddress.TryParse(host.Trim('[', ']'), out var address) && System.Net.IPAddress.IsLoopback(address));

    private static bool FromOwnPages(HttpRequest request) =>
        request.Headers["Sec-Fetch-Site"].ToString() is { Length: > 0 } site
            ? site == "same-origin"
            : request.Headers.Origin.ToString() == $"{request.Scheme}://{request.Host}";
}
