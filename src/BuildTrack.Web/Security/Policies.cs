using BuildTrack.Domain.People;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Authorization.Policy;

namespace BuildTrack.Web.Security;

/// <summary>One policy for each act, named like the act, plus "signed in"; what carries no policy is refused.</summary>
public static class Policies
{
    public const string SignedIn = "signed in";

    public static IServiceCollection AddPolicies(this IServiceCollection services)
    {
        services.AddAuthorization(options =>
        {
            options.AddPolicy(SignedIn, p => p.RequireAuthenticatedUser());
            foreach (var act in ActKind.All)
            {
                options.AddPolicy(act, p => p.RequireAuthenticatedUser().RequireRole(Permissions.RolesFor(act)));
            }

            options.FallbackPolicy = new AuthorizationPolicyBuilder().RequireAssertion(_ => false).Build();
            options.DefaultPolicy = options.GetPolicy(SignedIn)!;
        });
        return services.AddSingleton<IAuthorizationMiddlewareResultHandler, UnknownAddressesPass>();
    }

    /// <summary>A path that leads nowhere has no policy to carry: it goes on to its own answer, 404 or 405.</summary>
    private sealed class UnknownAddressesPass : IAuthorizationMiddlewareResultHandler
    {
        private readonly AuthorizationMiddlewareResultHandler usual = new();

        public Task HandleAsync(RequestDelegate next, HttpContext context, AuthorizationPolicy policy, PolicyAuthorizationResult result) =>
            context.GetEndpoint() is RouteEndpoint ? usual.HandleAsync(next, context, policy, result) : next(context);
    }
}
