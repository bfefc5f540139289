using System.Security.Claims;
using BuildTrack.Domain.People;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.AspNetCore.Mvc.RazorPages.Infrastructure;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Architecture.Tests.Rules;

/// <summary>One way into the server.</summary>
/// <param name="Method">GET, POST …; a page's form handlers are listed with the page: "GET POST".</param>
/// <param name="Roles">"everybody", "signed in", roles with spaces between, or "nobody": found out by asking the server for one person of each kind.</param>
internal sealed record EndpointLine(string Method, string Pattern, string Roles)
{
    public override string ToString() => $"{Method}\t{Pattern}\t{Roles}";
}

/// <summary>All ways into a server, against a table that somebody has read.</summary>
internal static class EndpointTable
{
    public const string Heading = "method\tpattern\troles";

    /// <summary>Asks a server for every endpoint it maps, and its authorization for whom each lets in.</summary>
    public static async Task<List<EndpointLine>> Of(IServiceProvider services)
    {
        var lines = new List<EndpointLine>();
        foreach (var endpoint in services.GetServices<EndpointDataSource>().SelectMany(s => s.Endpoints).OfType<RouteEndpoint>())
        {
            var metadata = endpoint.Metadata.ToList();
            var methods = endpoint.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods.Order(StringComparer.Ordinal).ToList() ?? [];
            if (endpoint.Metadata.GetMetadata<PageActionDescriptor>() is { } page)
            {
                var compiled = await services.GetRequiredService<PageLoader>().LoadAsync(page, endpoint.Metadata);
                metadata = [.. compiled.EndpointMetadata, .. compiled.ModelTypeInfo!.GetCustomAttributes(inherit: true)];
                // A page answers GET whether it has a handler for it or not.
                methods = [.. compiled.HandlerMethods.Select(h => h.HttpMethod.ToUpperInvariant()).Append("GET").Distinct().Order(StringComparer.Ordinal)];
            }

            lines.Add(new EndpointLine(methods.Count == 0 ? "any" : string.Join(' ', methods), "/" + endpoint.RoutePattern.RawText?.TrimStart('/'), await RolesOf(services, metadata)));
        }

        return [.. lines.Distinct().OrderBy(l => l.Pattern, StringComparer.Ordinal).ThenBy(l => l.Method, StringComparer.Ordinal)];
    }

    /// <summary>What to add to the table, to take out, or to look at.</summary>
    public static IEnumerable<string> Differences(IReadOnlyList<EndpointLine> found, string table)
    {
        var rows = table.Split('\n').Select(l => l.TrimEnd('\r')).Where(l => l.Length > 0).ToList();
        if (rows.FirstOrDefault() != Heading)
        {
            yield return $"the table does not begin with '{Heading.Replace("\t", "<tab>", StringComparison.Ordinal)}'";
        }

        var listed = rows.Skip(1).Select(l => l.Split('\t')).ToList();
        foreach (var row in listed.Where(r => r.Length != 3))
        {
            yield return $"not three columns: {string.Join('\t', row)}";
        }

        var byWay = listed.Where(r => r.Length == 3).ToLookup(r => (r[0], r[1]), r => r[2]);
        foreach (var line in found)
        {
            var roles = byWay[(line.Method, line.Pattern)].ToList();
            if (roles.Count == 0)
            {
                yield return $"add, if it is right: {line}";
            }
            else if (roles.Count > 1 || roles[0] != line.Roles)
            {
                yield return $"the table says '{string.Join("' and '", roles)}', the server says: {line}";
            }
        }

        foreach (var way in byWay.Where(w => !found.Any(l => (l.Method, l.Pattern) == w.Key)))
        {
            yield return $"take out, nothing answers there: {way.Key.Item1}\t{way.Key.Item2}";
        }
    }

    private static async Task<string> RolesOf(IServiceProvider services, List<object> metadata)
    {
        if (metadata.OfType<IAllowAnonymous>().Any())
        {
            return "everybody";
        }

        var provider = services.GetRequiredService<IAuthorizationPolicyProvider>();
        var policy = await AuthorizationPolicy.CombineAsync(provider, metadata.OfType<IAuthorizeData>(), metadata.OfType<AuthorizationPolicy>());
        if (policy is null || await LetsIn(services, policy, new ClaimsIdentity()))
        {
            return "everybody";
        }

        if (await LetsIn(services, policy, SignedIn()))
        {
            return "signed in";
        }

        var roles = new List<string>();
        foreach (var role in Roles.WithLent.Order(StringComparer.Ordinal))
        {
            if (await LetsIn(services, policy, SignedIn(role)))
            {
                roles.Add(role);
            }
        }

        return roles.Count == 0 ? "nobody" : string.Join(' ', roles);
    }

    private static async Task<bool> LetsIn(IServiceProvider services, AuthorizationPolicy policy, ClaimsIdentity who)
    {
        await using var scope = services.GetRequiredService<IServiceScopeFactory>().CreateAsyncScope();
        return (await scope.ServiceProvider.GetRequiredService<IAuthorizationService>().AuthorizeAsync(new ClaimsPrincipal(who), null, policy)).Succeeded;
    }

    private static ClaimsIdentity SignedIn(params string[] roles) => new(roles.Select(r => new Claim(ClaimTypes.Role, r)), "test");
}
