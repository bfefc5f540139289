using Mono.Cecil;
using Mono.Cecil.Cil;

namespace BuildTrack.Architecture.Tests.Reading;

/// <summary>One use of a foreign type or member by a type of ours.</summary>
/// <param name="By">The outermost type of ours; what the compiler nested in it counts as its own.</param>
/// <param name="Type">The type used, full name.</param>
/// <param name="Assembly">The assembly it lives in.</param>
/// <param name="Member">The member used; null where only the type is named.</param>
internal sealed record Use(TypeDefinition By, string Type, string Assembly, string? Member, MethodReference? Method)
{
    public string Namespace => Type.LastIndexOf('.') is var dot and > 0 ? Type[..dot] : "";

    public override string ToString() => $"{By.FullName} uses {Type}{(Member is null ? "" : "." + Member)}";
}

/// <summary>Everything a type refers to: base, interfaces, members, attributes, and every instruction.</summary>
internal static class Uses
{
    public static IEnumerable<Use> Of(ModuleDefinition module) => module.Types.SelectMany(t => OfType(t, t)).Distinct();

    /// <summary>All types of a module, nested ones included.</summary>
    public static IEnumerable<TypeDefinition> AllTypes(ModuleDefinition module) => module.Types.SelectMany(WithNested);

    public static IEnumerable<TypeDefinition> WithNested(TypeDefinition type) => type.NestedTypes.SelectMany(WithNested).Prepend(type);

    public static bool IsMadeByCompiler(TypeDefinition type) => type.Name.StartsWith('<') || type.Namespace is "System.Runtime.CompilerServices" or "Microsoft.CodeAnalysis";

    private static IEnumerable<Use> OfType(TypeDefinition type, TypeDefinition outer)
    {
        if (IsMadeByCompiler(outer))
        {
            yield break;
        }

        foreach (var use in Named(outer, type.BaseType)
            .Concat(type.Interfaces.SelectMany(i => Named(outer, i.InterfaceType)))
            .Concat(type.Fields.SelectMany(f => Named(outer, f.FieldType).Concat(Attributes(outer, f))))
            .Concat(type.Properties.SelectMany(p => Attributes(outer, p)))
            .Concat(Attributes(outer, type))
            .Concat(type.Methods.SelectMany(m => OfMethod(outer, m)))
            .Concat(type.NestedTypes.SelectMany(n => OfType(n, outer))))
        {
            yield return use;
        }
    }

    private static IEnumerable<Use> OfMethod(TypeDefinition outer, MethodDefinition method)
    {
        var signature = Named(outer, method.ReturnType).Concat(method.Parameters.SelectMany(p => Named(outer, p.ParameterType))).Concat(Attributes(outer, method));
        return method.HasBody
            ? signature.Concat(method.Body.Variables.SelectMany(v => Named(outer, v.VariableType))).Concat(method.Body.Instructions.SelectMany(i => OfInstruction(outer, i)))
            : signature;
    }

    private static IEnumerable<Use> OfInstruction(TypeDefinition outer, Instruction instruction) => instruction.Operand switch
    {
        TypeReference type => Named(outer, type),
        MethodReference method => Named(outer, method.DeclaringType, method.Name, method)
            .Concat(Named(outer, method.ReturnType)).Concat(method.Parameters.SelectMany(p => Named(outer, p.ParameterType)))
            .Concat(method is GenericInstanceMethod generic ? generic.GenericArguments.SelectMany(a => Named(outer, a)) : []),
        FieldReference field => Named(outer, field.DeclaringType, field.Name).Concat(Named(outer, field.FieldType)),
        _ => [],
    };

    // An indexer carries this attribute of the reflection namespace without anybody reflecting.
    private static IEnumerable<Use> Attributes(TypeDefinition outer, ICustomAttributeProvider on) =>
        on.CustomAttributes.Where(a => a.AttributeType.Name != "DefaultMemberAttribute").SelectMany(a => Named(outer, a.AttributeType));

    private static IEnumerable<Use> Named(TypeDefinition outer, TypeReference? type, string? member = null, MethodReference? method = null)
    {
        switch (type)
        {
            case null or GenericParameter:
                yield break;
            case GenericInstanceType generic:
                foreach (var use in generic.GenericArguments.SelectMany(a => Named(outer, a)).Concat(Named(outer, generic.ElementType, member, method)))
                {
                    yield return use;
                }

                yield break;
            case IModifierType modified:
                foreach (var use in Named(outer, modified.ElementType, member, method))
                {
                    yield return use;
                }

                yield break;
            case TypeSpecification special:
                foreach (var use in Named(outer, special.ElementType, member, method))
                {
                    yield return use;
                }

                yield break;
        }

        var top = type;
        while (top.DeclaringType is { } declaring)
        {
            top = declaring;
        }

        var assembly = top.Scope switch
        {
            AssemblyNameReference name => name.Name,
            ModuleDefinition own => own.Assembly.Name.Name,
            _ => top.Scope?.Name ?? "",
        };
        yield return new Use(outer, top.FullName, assembly, member, method);
    }
}
