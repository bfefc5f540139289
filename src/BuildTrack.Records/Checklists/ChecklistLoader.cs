using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Reads the checklist files into one immutable revision, or tells everything that is wrong with them.</summary>
/// <remarks>
/// Reading goes in two rounds. First every file is mapped on its own; then the names with which files refer to each other are checked. Where a
/// file could not be mapped, names that it may have held are not reported as unknown.
/// </remarks>
public static class ChecklistLoader
{
    private static readonly ImmutableArray<FileKind> Kinds =
    [
        new(LoaderPart.Route, "route.yaml", true, RouteLoader.Map, "steps", "edition", "scopes", "rework", "own-measurements", "cautions"),
        new(LoaderPart.WorkCentres, "work-centres.yaml", true, RouteLoader.MapWorkCentres, "work-centres"),
        new(LoaderPart.Models, "models/", true, ModelLoader.Map, "models"),
        new(LoaderPart.Layouts, "layouts/", false, ModelLoader.MapLayouts, "layouts"),
        new(LoaderPart.Surveys, "surveys/", true, SurveyLoader.Map, "surveys"),
        new(LoaderPart.Characteristics, "characteristics/", true, CharacteristicLoader.Map, "characteristics"),
        new(LoaderPart.Limits, "limits/", true, LimitLoader.Map, "limits", "class"),
        new(LoaderPart.Tables, "tables/", false, LimitLoader.MapTables, "tables"),
        new(LoaderPart.Corrections, "corrections.yaml", false, CorrectionLoader.Map, "corrections"),
        new(LoaderPart.Components, "components.yaml", false, ComponentLoader.Map, "components"),
        new(LoaderPart.Series, "series.yaml", false, SeriesLoader.Map, "series"),
        new(LoaderPart.Kit, "kit.yaml", false, KitLoader.Map, "kit", "purchase", "complete-before"),
        new(LoaderPart.Qualifications, "qualifications.yaml", false, QualificationLoader.Map, "qualifications"),
        new(LoaderPart.Invalidation, "invalidation.yaml", false, RouteLoader.MapInvalidation, "invalidation"),
    ];

    /// <summary>The YAML files of a folder and its subfolders, by path below it with '/'; other files do not belong to a checklist.</summary>
    /// <remarks>Bytes that are not UTF-8 become U+FFFD, which <see cref="Load"/> refuses with its place. A folder that is not there has no files.</remarks>
    /// <exception cref="IOException">A file cannot be read.</exception>
    public static IReadOnlyDictionary<string, string> ReadFolder(string folder)
    {
        var files = new SortedDictionary<string, string>(StringComparer.Ordinal);
        if (!Directory.Exists(folder))
        {
            return files;
        }

        foreach (var path in Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories))
        {
            if (Path.GetExtension(path).ToLowerInvariant() is ".yaml" or ".yml")
            {
                files[Path.GetRelativePath(folder, path).Replace(Path.DirectorySeparatorChar, '/')] = File.ReadAllText(path, Encoding.UTF8);
            }
        }

        return files;
    }

    /// <summary>Maps and checks all files; throws for no content whatever.</summary>
    /// <param name="files">Text by path below the checklist folder.</param>
    /// <param name="furtherEvaluators">Names of calculations that are accepted without looking at their sources, besides those the engine has.</param>
    /// <returns>The revision, or its faults ordered by file and place, at most 200.</returns>
    public static ChecklistLoadResult Load(IReadOnlyDictionary<string, string> files, IReadOnlySet<string>? furtherEvaluators = null)
    {
        var faults = new LoaderFaults();
        var draft = new LoaderDraft(faults, furtherEvaluators ?? ImmutableHashSet<string>.Empty);
        foreach (var (path, text) in files.OrderBy(f => f.Key, StringComparer.Ordinal))
        {
            if (Kinds.FirstOrDefault(k => k.Holds(path)) is not { } kind)
            {
                faults.Add(path, 1, 1, "a file of no known kind", $"a path like {Quoted.OneOf(Kinds.Select(k => k.Example))}");
            }
            else
            {
                Map(draft, kind, path, text);
            }
        }

        foreach (var kind in Kinds.Where(k => k.Required && !files.Keys.Any(k.Holds)))
        {
            draft.Damage(kind.Part);
            faults.Add(kind.Path, 1, 1, "no such file", kind.Example);
        }

        LoaderChecks.All(draft);
        return faults.Count > 0
            ? new ChecklistLoadResult(null, faults.ByPlace())
            : new ChecklistLoadResult(draft.Revision(Hash(files)), []);
    }

    private static void Map(LoaderDraft draft, FileKind kind, string path, string text)
    {
        var before = draft.Faults.Count;
        var root = YamlReader.Read(path, text, draft.Faults);
        var fields = root is null ? null : new YamlFields(draft.Faults, path, root, "the file", [kind.Main, .. kind.Further]);
        if (draft.Faults.Count > before || fields?.HasParts(kind.Main) != true)
        {
            draft.Damage(kind.Part);
        }

        if (fields is not null)
        {
            kind.Map(draft, fields);
        }
    }

    /// <summary>SHA-256 of all paths and texts; line ends do not count, so that a checkout on another system has the same hash.</summary>
    private static string Hash(IReadOnlyDictionary<string, string> files)
    {
        var all = new StringBuilder();
        foreach (var (path, text) in files.OrderBy(f => f.Key, StringComparer.Ordinal))
        {
            var normal = text.Replace("\r\n", "\n", StringComparison.Ordinal).Replace('\r', '\n');

            // The length keeps apart what one file ends with and the next begins with.
            all.Append(CultureInfo.InvariantCulture, $"{path}\n{normal.Length}\n{normal}\n");
        }

        return CanonicalJson.Hash(all.ToString());
    }

    /// <summary>Which files there are, where, and who maps them.</summary>
    /// <param name="Path">A file, or with '/' a folder of any number of files.</param>
    /// <param name="Main">The key that holds what others refer to.</param>
    /// <param name="Further">Its other keys.</param>
    private sealed record FileKind(
        LoaderPart Part, string Path, bool Required, Action<LoaderDraft, YamlFields> Map, string Main, params string[] Further)
    {
        public string Example => Path.EndsWith('/') ? Path + "*.yaml" : Path;

        public bool Holds(string path) => Path.EndsWith('/')
            ? path.StartsWith(Path, StringComparison.Ordinal) && path.EndsWith(".yaml", StringComparison.Ordinal) && path.Length > Path.Length + 5
                && !path.AsSpan(Path.Length).Contains('/')
            : path == Path;
    }
}
