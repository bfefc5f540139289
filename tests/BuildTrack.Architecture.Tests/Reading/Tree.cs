namespace BuildTrack.Architecture.Tests.Reading;

/// <summary>The source tree these tests were built from.</summary>
internal static class Tree
{
    public static string Root { get; } = Find();

    /// <summary>Files below a folder of the tree with one of the endings, as paths from the root; built output is left out.</summary>
    public static IEnumerable<string> Files(string folder, params string[] endings) => FilesOf(Path.Combine(Root, folder), endings).Select(f => Path.GetRelativePath(Root, f));

    public static IEnumerable<string> FilesOf(string folder, params string[] endings) =>
        Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories)
            .Where(f => endings.Contains(Path.GetExtension(f)) && !Path.GetRelativePath(folder, f).Split(Path.DirectorySeparatorChar).Any(p => p is "bin" or "obj"))
            .Order(StringComparer.Ordinal);

    public static string Text(string path) => File.ReadAllText(Path.Combine(Root, path));

    private static string Find()
    {
        for (var at = new DirectoryInfo(AppContext.BaseDirectory); at is not null; at = at.Parent)
        {
            if (File.Exists(Path.Combine(at.FullName, "BuildTrack.sln")))
            {
                return at.FullName;
            }
        }

        throw new InvalidOperationException("BuildTrack.sln is not above the tests; run them from the source tree.");
    }
}
