using System.Globalization;
using BuildTrack.Documents.Certificates;
using BuildTrack.Domain.Certificates;
using BuildTrack.Records;
using BuildTrack.Records.Demo;
using BuildTrack.Records.People;
using BuildTrack.Records.Storage;
using BuildTrack.Web.Https;
using BuildTrack.Web.Photos;
using BuildTrack.Web.Scanning;
using BuildTrack.Web.Security;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Localization;
using Microsoft.AspNetCore.Mvc.ApplicationModels;
using Microsoft.AspNetCore.ResponseCompression;

namespace BuildTrack.Web.Hosting;

/// <summary>The lines of Program.cs, one method for each intention.</summary>
internal static partial class HostSteps
{
    /// <summary>A survey file, and room for the form around it.</summary>
    public const long LargestBody = (2 * 1024 * 1024) + (64 * 1024);

    /// <summary>The one clock of the process; everything else is given it.</summary>
    public static TimeProvider Clock { get; } = TimeProvider.System;

    public static void AddRecords(this WebApplicationBuilder builder, Settings settings)
    {
        builder.Services.AddSingleton(settings).AddSingleton(Clock).AddBuildTrackRecords(settings.Store).AddHostedService<DigestsAtStart>();
        builder.Services.AddCertificateRenderer(settings.Store);
        if (settings.Demo)
        {
            builder.Services.AddSingleton(DemoFile.Read(Settings.NearestFolder("demo-data")));
        }
    }

    private static void AddCertificateRenderer(this IServiceCollection services, StoreSettings store) =>
        services.AddSingleton<ICertificateRenderer>(s => new CertificatePdf(PlantKey.LoadOrCreate(store.KeysFolder, "BuildTrack plant", s.GetRequiredService<TimeProvider>())));

    public static IServiceCollection AddFormGuards(this IServiceCollection services, Settings settings)
    {
        services.AddDataProtection().SetApplicationName("BuildTrack").PersistKeysToFileSystem(new DirectoryInfo(Path.Combine(settings.Store.KeysFolder, "pages")));
        return services.AddAntiforgery(options =>
        {
            options.Cookie.Name = "__Host-buildtrack-form";
            // "Always" refuses plain HTTP on loopback, where browsers do keep Secure cookies: the cookie policy sets the attribute.
            options.Cookie.SecurePolicy = CookieSecurePolicy.None;
            options.Cookie.SameSite = SameSiteMode.Strict;
            options.Cookie.HttpOnly = true;
        });
    }

    public static IServiceCollection AddSheets(this IServiceCollection services)
    {
        services.Configure<RequestLocalizationOptions>(o => o.DefaultRequestCulture = new RequestCulture(CultureInfo.InvariantCulture));
        services.AddSingleton<SmallPhotos>().AddSingleton<LookOnLinks>().AddSingleton<CodeFinder>().AddSingleton<SetUpSteps>();
        services.AddRazorPages(options =>
        {
            options.Conventions.AuthorizeFolder("/", Policies.SignedIn);
            foreach (var page in new[] { "/SignIn", "/FirstStart", "/LookOn", "/Error" })
            {
                options.Conventions.AllowAnonymousToPage(page);
            }

            options.Conventions.Add(new PageRouteTransformerConvention(new Hyphens()));
        }).AddCookieTempDataProvider(options => (options.Cookie.Name, options.Cookie.SecurePolicy, options.Cookie.SameSite) =
            ("__Host-buildtrack-told", CookieSecurePolicy.Always, SameSiteMode.Strict));
        return services;
    }

    /// <summary>Answers are compressed over plain HTTP; over HTTPS only styles, scripts and pictures are, which hold no secret: the length of a compressed page tells
    /// something of what stands in it to who can see the encrypted answer and put words of their own beside a secret (BREACH, 2013).</summary>
    public static IServiceCollection AddSmallAnswers(this IServiceCollection services) => services.AddResponseCompression(options =>
        options.MimeTypes = [.. ResponseCompressionDefaults.MimeTypes, "image/svg+xml", "application/problem+json"]);

    /// <summary>Styles, scripts, the icon, and the calculations that a tablet takes along. An address with the hash of its content is kept for good, another one is asked about each time.</summary>
    public static IApplicationBuilder UseFilesOfThePages(this IApplicationBuilder app) => app.UseStaticFiles(new StaticFileOptions
    {
        HttpsCompression = HttpsCompressionMode.Compress,
        OnPrepareResponse = file => file.Context.Response.Headers.CacheControl =
            file.Context.Request.Query.ContainsKey("v") || HashInName().IsMatch(file.Context.Request.Path) ? RequestGuards.FileOfThePages : RequestGuards.AskedAbout,
    });

    public static void LimitBodies(this WebApplicationBuilder builder)
    {
        builder.WebHost.ConfigureKestrel(options =>
        {
            options.AddServerHeader = false;
            options.Limits.MaxRequestBodySize = LargestBody;
        });
        builder.Services.Configure<FormOptions>(options =>
        {
            options.MultipartBodyLengthLimit = LargestBody;
            options.ValueCountLimit = 4096;
        });
    }

    /// <summary>Brings the database up to date, and fills it with the invented plant in a demo.</summary>
    public static async Task PrepareRecords(this WebApplication app, Settings settings)
    {
        await app.Services.GetRequiredService<Migrator>().Run(CancellationToken.None);
        if (settings.Demo && !File.Exists(Settings.DemoMark(settings.Store)))
        {
            Console.WriteLine("BuildTrack (demo) makes its database and lets the invented plant do all its acts; this takes about a minute.");
            var now = app.Services.GetRequiredService<TimeProvider>().GetUtcNow();
            await new DemoLoader(settings.Store, Settings.NearestFolder("demo-data"), settings.Checklists, AddDemoHost, now).Load(CancellationToken.None);
            await File.WriteAllTextAsync(Settings.DemoMark(settings.Store), "This folder holds a demo; it can be deleted.\n");
        }

        void AddDemoHost(IServiceCollection services) =>
            services.AddLogging().AddSingleton(app.Services.GetRequiredService<ICertificateRenderer>());
    }

    /// <summary>Prints where the server listens, and the one-time link while nobody has an account.</summary>
    public static void TellAddress(this WebApplication app, Settings settings) => app.Lifetime.ApplicationStarted.Register(() =>
    {
        var first = app.Services.GetRequiredService<FirstStart>();
        var needed = first.IsNeeded(CancellationToken.None).GetAwaiter().GetResult();
        foreach (var address in app.Urls.Select(a => Callable(a, app.Services.GetService<ServerCertificate>())))
        {
            Console.WriteLine($"BuildTrack{(settings.Demo ? " (demo)" : "")}: {address}");
            if (needed)
            {
                Console.WriteLine($"Nobody has an account yet. Make the administrator's, once: {address}/first-start?code={first.Code}");
            }
        }
    });

    // Nobody can open "[::]" on a tablet: the certificate knows the name.
    private static string Callable(string address, ServerCertificate? certificate) =>
        certificate is not null && new UriBuilder(address) is { Scheme: "https", Host: "[::]" or "0.0.0.0" } any
            ? $"https://{certificate.Current().Names[0]}:{any.Port}" : address;

    /// <summary>/sign-in for SignIn: an address is words with hyphens.</summary>
    private sealed class Hyphens : IOutboundParameterTransformer
    {
        public string? TransformOutbound(object? value) =>
            value is null ? null : WordBegin().Replace(value.ToString()!, "-").ToLowerInvariant();
    }

    // As the build names what a browser runs: dotnet.native.rw4kynp763.wasm.
    [System.Text.RegularExpressions.GeneratedRegex(@"^/_framework/.+\.[a-z0-9]{10}\.[a-z]+$")]
    private static partial System.Text.RegularExpressions.Regex HashInName();

    [System.Text.RegularExpressions.GeneratedRegex("(?<=[a-z])(?=[A-Z])")]
    private static partial System.Text.RegularExpressions.Regex WordBegin();
}
