using BuildTrack.Architecture.Tests.Reading;
using Mono.Cecil;

namespace BuildTrack.Architecture.Tests.Rules;

/// <summary>A value that was handed out is never another value later.</summary>
internal static class Immutability
{
    private static readonly string[] Changing =
        ["System.Collections.Generic.List`1", "System.Collections.Generic.Dictionary`2", "System.Collections.Generic.HashSet`1", "System.Collections.Generic.IList`1", "System.Collections.Generic.IDictionary`2"];

    /// <summary>Public structs and records with a field or property that can be set after they were made, or a list that can grow.</summary>
    public static IEnumerable<string> Changeable(ModuleDefinition module) =>
        Uses.AllTypes(module).Where(t => IsPublic(t) && !t.IsEnum && !Uses.IsMadeByCompiler(t) && (t.IsValueType || IsRecord(t))).SelectMany(OfType);

    private static IEnumerable<string> OfType(TypeDefinition type) =>
        type.Fields.Where(f => !f.IsStatic && !f.IsInitOnly && !f.HasConstant && (f.IsPublic || type.IsValueType)).Select(f => $"{type.FullName}.{PropertyOf(f)} can be set")
            .Concat(type.Properties.Where(p => p.SetMethod is { IsPublic: true, IsStatic: false } set && set.ReturnType is not RequiredModifierType).Select(p => $"{type.FullName}.{p.Name} can be set"))
            .Concat(type.Properties.Where(p => p.GetMethod is { IsPublic: true, IsStatic: false } && CanGrow(p.PropertyType)).Select(p => $"{type.FullName}.{p.Name} can be changed inside"))
            .Distinct();

    private static bool IsPublic(TypeDefinition type) => type.IsPublic || (type.IsNestedPublic && IsPublic(type.DeclaringType));

    private static bool IsRecord(TypeDefinition type) => type.Methods.Any(m => m.Name == "<Clone>$");

    private static bool CanGrow(TypeReference type) => type is ArrayType || Changing.Contains(type.GetElementType().FullName);

    private static string PropertyOf(FieldDefinition field) => field.Name.StartsWith('<') ? field.Name[1..field.Name.IndexOf('>', StringComparison.Ordinal)] : field.Name;
}
