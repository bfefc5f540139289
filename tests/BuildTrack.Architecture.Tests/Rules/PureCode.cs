using BuildTrack.Architecture.Tests.Reading;
using Mono.Cecil;
using Mono.Cecil.Cil;

namespace BuildTrack.Architecture.Tests.Rules;

/// <summary>What calculations may not touch, so that they run anywhere and give the same answer everywhere.</summary>
internal static class PureCode
{
    private static readonly string[] Namespaces = ["System.IO", "System.Net", "System.Threading", "System.Reflection", "System.Text.Json", "Microsoft.Win32"];

    private static readonly string[] Types =
    [
        "System.Console", "System.Environment", "System.Activator", "System.AppDomain", "System.DateTime", "System.DateTimeOffset", "System.TimeProvider",
        "System.TimeZoneInfo", "System.Diagnostics.Stopwatch", "System.Diagnostics.Process", "System.Lazy`1", "System.Numerics.Vector`1", "System.Numerics.Vector",
    ];

    /// <summary>Of the namespace of cultures, what names the invariant one.</summary>
    private static readonly string[] Invariant = ["CultureInfo.get_InvariantCulture", "NumberFormatInfo.get_InvariantInfo"];

    private static readonly string[] Unrepeatable = ["Sin", "Cos", "Tan", "SinCos", "Asin", "Acos", "Atan", "Atan2", "Sinh", "Cosh", "Tanh", "Exp", "Pow", "Cbrt"];

    // A stopwatch is none of them: how long a lock was waited for enters no record.
    private static readonly string[] Clocks =
    [
        "System.DateTime.get_Now", "System.DateTime.get_UtcNow", "System.DateTime.get_Today", "System.DateTimeOffset.get_Now", "System.DateTimeOffset.get_UtcNow",
        "System.Environment.get_TickCount", "System.Environment.get_TickCount64",
    ];

    /// <summary>Input and output, clock, culture, threads, reflection, native code.</summary>
    public static IEnumerable<string> OutsideWorld(ModuleDefinition module) =>
        Uses.Of(module).Where(IsOutside).Select(u => u.ToString())
            .Concat(Uses.AllTypes(module).SelectMany(t => t.Methods).Where(m => m.IsPInvokeImpl).Select(m => $"{m.DeclaringType.FullName} uses native {m.Name}"));

    /// <summary>Functions whose last digit differs between machines, called in a namespace whose answers are hashed.</summary>
    public static IEnumerable<string> UnrepeatableFunctions(ModuleDefinition module, string space) =>
        Uses.Of(module).Where(u => Arrows.IsIn(u.By, space) && u.Type is ("System.Math" or "System.MathF" or "System.Double" or "System.Single") && Unrepeatable.Contains(u.Member))
            .Select(u => u.ToString());

    /// <summary>A clock that nobody injected.</summary>
    /// <param name="wiring">Namespaces that hand the system's clock to the others.</param>
    public static IEnumerable<string> OwnClock(ModuleDefinition module, params string[] wiring) =>
        Uses.Of(module).Where(u => Clocks.Contains($"{u.Type}.{u.Member}")
                || (u.Type == "System.TimeProvider" && u.Member == "get_System" && !wiring.Any(w => u.By.Namespace == w)))
            .Select(u => u.ToString());

    /// <summary>A number turned into text in whatever culture the thread has: "1,5" in a file or a hash.</summary>
    public static IEnumerable<string> CultureOfTheThread(ModuleDefinition module) =>
        Uses.AllTypes(module).SelectMany(t => t.Methods).Where(m => m.HasBody).SelectMany(m => m.Body.Instructions.Select(i => i.Operand).OfType<MethodReference>()
            .Where(c => IsCultural(c, m)).Select(c => $"{Outer(m.DeclaringType).FullName} writes a number by {c.DeclaringType.Name}.{c.Name} without a culture"));

    private static bool IsOutside(Use use) =>
        Namespaces.Any(n => use.Namespace == n || use.Namespace.StartsWith(n + ".", StringComparison.Ordinal))
        || Types.Contains(use.Type)
        || (use.Namespace == "System.Globalization" && use.Member is { } member && !Invariant.Contains($"{use.Type["System.Globalization.".Length..]}.{member}"))
        || (use.Type == "System.Random" && (use.Member == "get_Shared" || (use.Member == ".ctor" && use.Method!.Parameters.Count == 0)))
        || (use.Type == "System.Type" && use.Member is { } call && call.StartsWith("Get", StringComparison.Ordinal) && call != "GetTypeFromHandle");

    private static bool IsCultural(MethodReference call, MethodDefinition caller) =>
        (call.Name == "ToString" && IsFraction(call.DeclaringType) && call.Parameters.All(p => p.ParameterType.FullName == "System.String"))
        || (call.Name == "AppendFormatted" && call.DeclaringType.Name == "DefaultInterpolatedStringHandler" && call is GenericInstanceMethod g && IsFraction(g.GenericArguments[0])
            && caller.Body.Instructions.Any(i => i.OpCode == OpCodes.Call || i.OpCode == OpCodes.Newobj ? MadeWithoutCulture(i.Operand as MethodReference) : false));

    private static bool MadeWithoutCulture(MethodReference? made) =>
        made is { Name: ".ctor", DeclaringType.Name: "DefaultInterpolatedStringHandler" } && made.Parameters.Count == 2;

    private static bool IsFraction(TypeReference type) =>
        type is GenericInstanceType { ElementType.FullName: "System.Nullable`1" } nullable ? IsFraction(nullable.GenericArguments[0])
        : type.FullName is "System.Double" or "System.Single" or "System.Decimal" or "System.Half";

    private static TypeDefinition Outer(TypeDefinition type) => type.DeclaringType is { } outer ? Outer(outer) : type;
}
