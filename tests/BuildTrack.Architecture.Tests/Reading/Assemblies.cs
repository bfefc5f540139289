using Mono.Cecil;

namespace BuildTrack.Architecture.Tests.Reading;

/// <summary>The built assemblies beside the tests, read as they are, without loading them.</summary>
internal static class Assemblies
{
    public static ModuleDefinition Metrology { get; } = Open("BuildTrack.Metrology");

    public static ModuleDefinition Domain { get; } = Open("BuildTrack.Domain");

    public static ModuleDefinition Records { get; } = Open("BuildTrack.Records");

    public static ModuleDefinition Documents { get; } = Open("BuildTrack.Documents");

    public static ModuleDefinition Web { get; } = Open("BuildTrack.Web");

    public static ModuleDefinition Cli { get; } = Open("buildtrack");

    /// <summary>Planted violations.</summary>
    public static ModuleDefinition Samples { get; } = Open("BuildTrack.Architecture.Tests.Samples");

    public static IReadOnlyList<ModuleDefinition> OfTheProduct { get; } = [Metrology, Domain, Records, Documents, Web, Cli];

    public static string PathOf(string name) => Path.Combine(AppContext.BaseDirectory, name);

    private static ModuleDefinition Open(string name) => ModuleDefinition.ReadModule(PathOf(name + ".dll"));
}
