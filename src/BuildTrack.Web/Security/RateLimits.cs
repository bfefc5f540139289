using System.Globalization;
using System.Threading.RateLimiting;

namespace BuildTrack.Web.Security;

/// <summary>How many requests one person, or one address before sign-in, may send; 6,000 a minute unless Limits:RequestsPerMinute says otherwise.</summary>
public static class RateLimits
{
    public static IServiceCollection AddRateLimits(this IServiceCollection services, IConfiguration configuration)
    {
        var perMinute = configuration.GetValue("Limits:RequestsPerMinute", 6000);
        return services.AddRateLimiter(options =>
        {
            options.RejectionStatusCode = StatusCodes.Status429TooManyRequests;
            options.OnRejected = (context, _) =>
            {
                context.HttpContext.Response.Headers.RetryAfter =
                    context.Lease.TryGetMetadata(MetadataName.RetryAfter, out var wait) ? ((int)Math.Ceiling(wait.TotalSeconds)).ToString(CultureInfo.InvariantCulture) : "10";
                return ValueTask.CompletedTask;
            };
            options.GlobalLimiter = PartitionedRateLimiter.Create<HttpContext, string>(context => RateLimitPartition.GetTokenBucketLimiter(
                context.User.FindFirst("sub")?.Value ?? "address " + context.Connection.RemoteIpAddress,
                _ => new TokenBucketRateLimiterOptions
                {
                    TokenLimit = perMinute,
                    TokensPerPeriod = Math.Max(1, perMinute / 6),
                    ReplenishmentPeriod = TimeSpan.FromSeconds(10),
                    QueueLimit = 0,
                }));
        });
    }
}
