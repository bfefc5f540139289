using System.Globalization;
using System.Reflection;

namespace Samples.Pure;

public sealed class ReadsFile
{
    public static string Text => File.ReadAllText("a");
}

public sealed class AsksNetwork
{
    public static object Client => new System.Net.Http.HttpClient();
}

public sealed class StartsThread
{
    public static void Go() => new Thread(() => { }).Start();
}

public sealed class Reflects
{
    public static object Members => typeof(Reflects).GetTypeInfo();
}

public sealed class ReflectsByType
{
    public static object? Member => typeof(ReflectsByType).GetMethod("Member");
}

public sealed class AsksCulture
{
    public static object Now => CultureInfo.CurrentUICulture;
}

public sealed class AsksClock
{
    public static object Now => DateTime.UtcNow;
}

public sealed class TakesSystemClock
{
    public static object Clock => TimeProvider.System;
}

public sealed class ThrowsDice
{
    public static double Die => new Random().NextDouble();
}

public sealed class TakesLanesOfTheMachine
{
    public static int Lanes => System.Numerics.Vector<double>.Count;
}

/// <summary>Allowed: the invariant culture, a seeded generator, square roots.</summary>
public sealed class IsPure
{
    public static string Text(double value) => Math.Sqrt(new Random(1).NextDouble() * value).ToString("R", CultureInfo.InvariantCulture);
}

public sealed class WritesInCultureOfThread
{
    public static string Plain(double value) => value.ToString("0.0");

    public static string Interpolated(double value) => $"{value:0.0} µm";

    public static string Well(double value) => string.Create(CultureInfo.InvariantCulture, $"{value:0.0} µm");

    public static string AlsoWell(double value, int n) => FormattableString.Invariant($"{value:0.0} µm of {n}");
}
