using BuildTrack.Records.Storage;
using BuildTrack.Web.Https;

namespace BuildTrack.Web.Hosting;

/// <summary>What the server is told at start: appsettings, environment (Data__Folder), command line (--demo).</summary>
/// <param name="Demo">The invented plant: made anew, or gone on with where the folder holds one.</param>
/// <param name="Checklists">Folder of the YAML files that an administrator loads.</param>
public sealed record Settings(bool Demo, StoreSettings Store, string Checklists)
{
    /// <summary>Pages and styles are found beside the program, wherever it is started from.</summary>
    public static WebApplicationOptions HostOptions(string[] args) => new()
    {
        Args = [.. args.Select(a => a == "--demo" ? "--Demo=true" : a)],
        ContentRootPath = Directory.Exists("wwwroot") ? Directory.GetCurrentDirectory() : AppContext.BaseDirectory,
    };

    public static Settings Of(WebApplicationBuilder builder)
    {
        builder.WebHost.UseStaticWebAssets();
        var configuration = builder.Configuration;
        var demo = configuration.GetValue("Demo", false);
        var folder = configuration["Data:Folder"]
            ?? (demo ? Directory.CreateTempSubdirectory("buildtrack-demo-").FullName : Path.Combine(builder.Environment.ContentRootPath, "data"));
        var store = new StoreSettings(Path.GetFullPath(folder), configuration["Data:Postgres"]);
        if (demo && File.Exists(store.DatabaseFile) && !File.Exists(DemoMark(store)))
        {
            throw new StartRefusedException($"--demo makes a new database, and {store.DatabaseFile} exists and is no demo; name another Data:Folder or none.");
        }

        return new Settings(demo, store, Path.GetFullPath(configuration["Checklists:Folder"] ?? NearestFolder("checklists")));
    }

    /// <summary>Stands beside the database of a demo that was filled to the end.</summary>
    public static string DemoMark(StoreSettings store) => Path.Combine(store.Folder, "demo");

    /// <summary>A folder of the tree beside the program or above it.</summary>
    public static string NearestFolder(string name)
    {
        foreach (var start in new[] { Directory.GetCurrentDirectory(), AppContext.BaseDirectory })
        {
            for (var at = new DirectoryInfo(start); at is not null; at = at.Parent)
            {
                if (Directory.Exists(Path.Combine(at.FullName, name)))
                {
                    return Path.Combine(at.FullName, name);
                }
            }
        }

        return Path.Combine(AppContext.BaseDirectory, name);
    }
}
