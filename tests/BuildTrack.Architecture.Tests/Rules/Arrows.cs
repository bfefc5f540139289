using BuildTrack.Architecture.Tests.Reading;
using Mono.Cecil;

namespace BuildTrack.Architecture.Tests.Rules;

/// <summary>Which assemblies one of ours may refer to. A name ending in a full stop stands for all that begin with it.</summary>
internal static class Arrows
{
    /// <summary>Parts of the platform that are packages of their own all the same.</summary>
    private static readonly string[] NotPlatform = ["System.CommandLine"];

    /// <summary>Assemblies that a module refers to and may not.</summary>
    public static IEnumerable<string> ForeignAssemblies(ModuleDefinition module, params string[] may) =>
        module.AssemblyReferences.Select(r => r.Name).Where(n => !May(n, may)).Select(n => $"{module.Assembly.Name.Name} refers to {n}");

    /// <summary>Types of a module that use a type of an assembly that they may not use.</summary>
    public static IEnumerable<string> ForeignTypes(ModuleDefinition module, params string[] may) => Foreign(Uses.Of(module), module, may);

    /// <summary>The same for the types of one namespace.</summary>
    public static IEnumerable<string> ForeignTypesIn(string space, ModuleDefinition module, params string[] may) =>
        Foreign(Uses.Of(module).Where(u => IsIn(u.By, space)), module, may);

    /// <summary>Projects and packages that a project file names and may not.</summary>
    public static IEnumerable<string> ForeignLines(string project, params string[] may) =>
        System.Xml.Linq.XDocument.Parse(Tree.Text(project)).Descendants()
            .Where(e => e.Name.LocalName is "ProjectReference" or "PackageReference")
            .Select(e => Path.GetFileNameWithoutExtension(e.Attribute("Include")!.Value + (e.Name.LocalName == "PackageReference" ? ".x" : "")))
            .Where(n => !may.Contains(n))
            .Select(n => $"{project} names {n}");

    /// <summary>Types outside a namespace that use what belongs into it alone: the job runner, the PDF library, the YAML parser.</summary>
    public static IEnumerable<string> UsesOutside(string ourNamespace, string foreignAssembly, ModuleDefinition module) =>
        Uses.Of(module).Where(u => Fits(u.Assembly, foreignAssembly) && !IsIn(u.By, ourNamespace)).Select(u => $"{u.By.FullName} uses {u.Type}");

    /// <summary>Types of a namespace that call what it may only name: a page shows a verdict and never works one out.</summary>
    public static IEnumerable<string> CallsFrom(string ourNamespace, ModuleDefinition module, Func<MethodReference, bool> forbidden) =>
        Uses.Of(module).Where(u => IsIn(u.By, ourNamespace) && u.Method is { } m && forbidden(m)).Select(u => $"{u.By.FullName} calls {u.Method!.DeclaringType.FullName}.{u.Member}");

    public static bool IsIn(TypeDefinition type, string space) => type.Namespace == space || type.Namespace.StartsWith(space + ".", StringComparison.Ordinal);

    private static IEnumerable<string> Foreign(IEnumerable<Use> uses, ModuleDefinition module, string[] may) =>
        uses.Where(u => u.Assembly != module.Assembly.Name.Name && !May(u.Assembly, may)).Select(u => $"{u.By.FullName} uses {u.Type}");

    private static bool May(string assembly, string[] may) => may.Any(m => Fits(assembly, m)) || (IsPlatform(assembly) && !NotPlatform.Contains(assembly));

    private static bool IsPlatform(string assembly) => assembly is "System" or "netstandard" or "mscorlib" || assembly.StartsWith("System.", StringComparison.Ordinal);

    private static bool Fits(string assembly, string name) =>
        name.EndsWith('.') ? assembly.StartsWith(name, StringComparison.Ordinal) || assembly == name[..^1] : assembly == name;
}
