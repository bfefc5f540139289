using System.Text.RegularExpressions;
using System.Xml.Linq;
using BuildTrack.Architecture.Tests.Reading;
using Mono.Cecil;

namespace BuildTrack.Architecture.Tests.Rules;

/// <summary>Every public number of the engine says what it is and in which unit.</summary>
internal static partial class NumericDocs
{
    /// <summary>Public members that give or take fractions without a documented meaning or unit.</summary>
    /// <remarks>
    /// A unit is told by the name (FlatnessUm), by the member's own text, or for all members of a record by the record's text; "dimensionless",
    /// "index" and "unit of …" count, and so do names that are dimensionless by their meaning (k). Whole numbers are counts and indices and
    /// need their name only. Guards pass on whatever they were given.
    /// </remarks>
    /// <param name="xml">The documentation file that the compiler wrote beside the module.</param>
    public static IEnumerable<string> Missing(ModuleDefinition module, string xml)
    {
        var docs = XDocument.Load(xml).Descendants("member").ToDictionary(m => m.Attribute("name")!.Value);
        return Uses.AllTypes(module).Where(t => IsPublic(t) && t.Name != "Guard").SelectMany(t => OfType(t, docs));
    }

    private static IEnumerable<string> OfType(TypeDefinition type, Dictionary<string, XElement> docs)
    {
        var own = docs.GetValueOrDefault("T:" + Id(type));
        var general = own is null ? "" : string.Concat(own.Elements().Where(e => e.Name.LocalName is "summary" or "remarks").Select(e => Words(e)));
        foreach (var property in type.Properties.Where(p => p.GetMethod is { IsPublic: true } && IsFraction(p.PropertyType)))
        {
            var text = (docs.GetValueOrDefault($"P:{Id(type)}.{property.Name}") is { } member ? Words(member) : "") + Parameter(own, property.Name);
            if (Fault(property.Name, text, general) is { } fault)
            {
                yield return $"{type.FullName}.{property.Name} {fault}";
            }
        }

        foreach (var field in type.Fields.Where(f => f.IsPublic && IsFraction(f.FieldType)))
        {
            if (Fault(field.Name, docs.GetValueOrDefault($"F:{Id(type)}.{field.Name}") is { } member ? Words(member) : "", general) is { } fault)
            {
                yield return $"{type.FullName}.{field.Name} {fault}";
            }
        }

        foreach (var method in type.Methods.Where(m => m.IsPublic && !m.IsGetter && !m.IsSetter && !IsWritten(m)))
        {
            var member = docs.FirstOrDefault(d => d.Key == $"M:{Id(type)}.{DocName(method)}" || d.Key.StartsWith($"M:{Id(type)}.{DocName(method)}(", StringComparison.Ordinal)
                || d.Key.StartsWith($"M:{Id(type)}.{DocName(method)}~", StringComparison.Ordinal)).Value;
            var all = member is null ? "" : Words(member);
            if (IsFraction(method.ReturnType) && Fault(method.Name, all, "") is { } fault)
            {
                yield return $"{type.FullName}.{method.Name} {fault}";
            }

            foreach (var parameter in method.Parameters.Where(p => IsFraction(p.ParameterType)))
            {
                var text = Parameter(member, parameter.Name);
                // The units of several arguments may be told in one sentence above them.
                if (Fault(parameter.Name, text + (member is null ? "" : string.Concat(member.Elements("summary").Concat(member.Elements("remarks")).Select(Words))), "") is { } parameterFault)
                {
                    yield return $"{type.FullName}.{method.Name}({parameter.Name}) {parameterFault}";
                }
            }
        }
    }

    private static string? Fault(string name, string text, string general) =>
        string.IsNullOrWhiteSpace(text) && !Unit().IsMatch(general) ? "is not documented"
        : UnitInName().IsMatch(name) || Unit().IsMatch(text) || Unit().IsMatch(general) ? null
        : "names no unit";

    // Words of an element, with the names that references point to.
    private static string Words(XElement element) =>
        string.Concat(element.DescendantNodes().Select(n => n switch
        {
            XText text => text.Value,
            XElement { Name.LocalName: "see" or "paramref" } e => " " + (e.Attribute("cref")?.Value ?? e.Attribute("name")?.Value) + " ",
            _ => "",
        }));

    private static string Parameter(XElement? member, string name) =>
        member?.Elements("param").FirstOrDefault(p => p.Attribute("name")?.Value == name) is { } param ? Words(param) : "";

    private static bool IsPublic(TypeDefinition type) => !type.IsEnum && !Uses.IsMadeByCompiler(type) && (type.IsPublic || (type.IsNestedPublic && IsPublic(type.DeclaringType)));

    // Made by the compiler for records, or operators and overrides whose meaning is the platform's. A record's constructor repeats its properties.
    private static bool IsWritten(MethodDefinition method) =>
        method.Name is "Deconstruct" or "Equals" or "GetHashCode" or "ToString" or "CompareTo" or ".ctor" || method.Name.StartsWith("op_", StringComparison.Ordinal) || method.Name.StartsWith('<');

    private static bool IsFraction(TypeReference type) => type switch
    {
        ArrayType array => IsFraction(array.ElementType),
        GenericInstanceType generic => generic.GenericArguments.Any(IsFraction),
        ByReferenceType reference => IsFraction(reference.ElementType),
        _ => type.FullName is "System.Double" or "System.Single" or "System.Decimal",
    };

    private static string Id(TypeDefinition type) => type.FullName.Replace('/', '.');

    private static string DocName(MethodDefinition method) => method.Name + (method.HasGenericParameters ? "``" + method.GenericParameters.Count : "");

    [GeneratedRegex("(Um|Mm|Nm|UmPerM|PerM|PerK|Arcsec|Kelvin|Celsius|Degrees|Radians|Seconds|Micrometres?|Millimetres?|Metres?|Nanometres?|Microradians|Percent)$|^[kK]$|^[dD]egreesOfFreedom$|^[pP]robability")]
    private static partial Regex UnitInName();

    [GeneratedRegex(@"dimensionless|\bunits?\b|\bindex|\b(µm|mm|nm|m|K|°C|µrad|rad|arcsec|mrad|%|W|bar|s|ms|min|h|V|Ω)\b|µm|°C|micrometre|millimetre|nanometre|metre|kelvin|degree|radian|arc.?second|per ?cent", RegexOptions.IgnoreCase)]
    private static partial Regex Unit();
}
