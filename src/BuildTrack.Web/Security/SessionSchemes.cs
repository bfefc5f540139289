using System.Security.Claims;
using System.Text.Encodings.Web;
using BuildTrack.Records.Acts;
using BuildTrack.Records.People;
using Microsoft.AspNetCore.Authentication;
using Microsoft.Extensions.Options;

namespace BuildTrack.Web.Security;

/// <summary>Sign-in by cookie (pages) or bearer token (API): two ways to carry the same secret of the one table of sessions.</summary>
public static class SessionSchemes
{
    public const string Either = "session";
    public const string Cookie = "cookie";
    public const string Bearer = "bearer";

    /// <summary>The prefix makes browsers insist on Secure, Path=/ and no Domain.</summary>
    public const string CookieName = "__Host-buildtrack";

    public static IServiceCollection AddSessionSchemes(this IServiceCollection services)
    {
        services.AddAuthentication(Either)
            .AddPolicyScheme(Either, null, o => o.ForwardDefaultSelector = c => SecretOf.Bearer(c.Request) is null ? Cookie : Bearer)
            .AddScheme<AuthenticationSchemeOptions, CookieSession>(Cookie, null)
            .AddScheme<AuthenticationSchemeOptions, BearerSession>(Bearer, null);
        return services;
    }

    /// <summary>The signed-in person with the roles held at this request.</summary>
    /// <exception cref="InvalidOperationException">Nobody is signed in: the endpoint lacks its policy.</exception>
    public static Caller Caller(this HttpContext context) =>
        context.Items[typeof(Caller)] as Caller ?? throw new InvalidOperationException("Nobody is signed in.");

    /// <summary>The secret of an enrolled tablet; it stays when a person signs out.</summary>
    public const string TabletCookieName = "__Host-buildtrack-tablet";

    // Browsers keep a cookie for 400 days at most; a tablet that is used is given it anew by its enrolment only.
    private static readonly TimeSpan TabletLife = TimeSpan.FromDays(400);

    public static void GiveTabletCookie(HttpResponse response, string secret) =>
        response.Cookies.Append(TabletCookieName, secret, new CookieOptions(CookieShape) { MaxAge = TabletLife });

    public static void GiveCookie(HttpResponse response, string secret) => response.Cookies.Append(CookieName, secret, CookieShape);

    public static void TakeCookie(HttpResponse response) => response.Cookies.Delete(CookieName, CookieShape);

    private static CookieOptions CookieShape => new() { HttpOnly = true, Secure = true, SameSite = SameSiteMode.Strict, Path = "/", IsEssential = true };
}

/// <summary>Where a request carries its secret.</summary>
public static class SecretOf
{
    public static string? Cookie(HttpRequest request) => request.Cookies[SessionSchemes.CookieName];

    public static string? Tablet(HttpRequest request) => request.Cookies[SessionSchemes.TabletCookieName];

    public static string? Bearer(HttpRequest request) =>
        request.Headers.Authorization.ToString() is { } header && header.StartsWith("Bearer ", StringComparison.OrdinalIgnoreCase) ? header[7..].Trim() : null;
}

/// <summary>Looks the session and its roles up on every request: a role taken away no longer acts at the next one.</summary>
public abstract class SessionHandler(
    IOptionsMonitor<AuthenticationSchemeOptions> options, ILoggerFactory logger, UrlEncoder encoder, SessionStore sessions)
    : AuthenticationHandler<AuthenticationSchemeOptions>(options, logger, encoder)
{
    protected abstract string? Secret { get; }

    protected override async Task<AuthenticateResult> HandleAuthenticateAsync()
    {
        if (Secret is not { Length: > 0 and <= 200 } secret)
        {
            return AuthenticateResult.NoResult();
        }

        if (await sessions.Find(secret, Context.RequestAborted) is not { } caller)
        {
            return AuthenticateResult.Fail("The session has ended.");
        }

        Context.Items[typeof(Caller)] = caller;
        // Forms are bound to "sub" alone, so a form left open survives a change of roles.
        var claims = caller.Roles.Select(r => new Claim(ClaimTypes.Role, r)).Append(new Claim("sub", caller.Person)).Append(new Claim(ClaimTypes.Name, caller.Name));
        return AuthenticateResult.Success(new AuthenticationTicket(new ClaimsPrincipal(new ClaimsIdentity(claims, Scheme.Name)), Scheme.Name));
    }

    protected override Task HandleChallengeAsync(AuthenticationProperties properties)
    {
        if (Request.Path.StartsWithSegments("/api") || Secret is not null && !HttpMethods.IsGet(Request.Method))
        {
            Response.Headers.WWWAuthenticate = "Bearer";
            Response.StatusCode = StatusCodes.Status401Unauthorized;
            return Task.CompletedTask;
        }

        var back = HttpMethods.IsGet(Request.Method) && Request.Path != "/" ? QueryString.Create("back", Request.Path + Request.QueryString).Value : "";
        Response.Redirect("/sign-in" + back);
        return Task.CompletedTask;
    }

    protected override Task HandleForbiddenAsync(AuthenticationProperties properties)
    {
        Response.StatusCode = StatusCodes.Status403Forbidden;
        return Task.CompletedTask;
    }
}

public sealed class CookieSession(IOptionsMonitor<AuthenticationSchemeOptions> options, ILoggerFactory logger, UrlEncoder encoder, SessionStore sessions)
    : SessionHandler(options, logger, encoder, sessions)
{
    protected override string? Secret => SecretOf.Cookie(Request);
}

public sealed class BearerSession(IOptionsMonitor<AuthenticationSchemeOptions> options, ILoggerFactory logger, UrlEncoder encoder, SessionStore sessions)
    : SessionHandler(options, logger, encoder, sessions)
{
    protected override string? Secret => SecretOf.Bearer(Request);
}
