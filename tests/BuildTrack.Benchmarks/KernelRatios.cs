using System.Diagnostics;
using System.Globalization;
using System.Linq.Expressions;
using System.Reflection;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using BuildTrack.Metrology.Flatness;
using MathNet.Numerics;
using static BuildTrack.Benchmarks.Figures;

namespace BuildTrack.Benchmarks;

/// <summary>Calculations as multiples of what reading their input once costs.</summary>
/// <remarks>
/// Read, work, read in every round; the round's ratio is work over the mean of its two reads, so that whatever else the machine does falls on both.
/// The median of 31 rounds is shown. Medians taken apart from each other scatter by 15 %.
/// </remarks>
internal static class KernelRatios
{
    private const int Rounds = 31;

    public static void Run()
    {
        Control.UseManaged();
        Control.UseSingleThread();
        Line(("calculation", -34), ("points", 12), ("a bare read", 14), ("calculation", 14), ("ratio", 8), ("least … most", 20));
        var fit = PlaneFit();
        if (fit is null)
        {
            Console.WriteLine("(the engine's plane fit was not found under its name; only the whole calculation is shown)");
        }

        foreach (var count in new[] { 58, 10_000, 1_000_000 })
        {
            var (x, y, z) = Bed(count);
            var zone = (double[] a, double[] b, double[] c) => FlatnessCalculation.Of(a, b, c).MinimumZone!.FlatnessUm;
            if (fit is not null)
            {
                Ratio("least-squares plane", x, y, z, fit);
            }

            Ratio("plane and exact minimum zone", x, y, z, zone);
        }
    }

    // The plane alone has no public entry of its own; the engine's own step is called as it is.
    private static Func<double[], double[], double[], double>? PlaneFit()
    {
        const BindingFlags any = BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic;
        var engine = typeof(FlatnessCalculation).Assembly;
        var points = engine.GetType("BuildTrack.Metrology.Flatness.PointSet")?.GetMethod("Of", any);
        var of = engine.GetType("BuildTrack.Metrology.Flatness.LeastSquaresFit")?.GetMethod("Of", any);
        if (points?.GetParameters().Length != 3 || of?.GetParameters() is not [{ ParameterType: var takes }] || takes != points.ReturnType)
        {
            return null;
        }

        var arrays = new[] { "x", "y", "z" }.Select(n => Expression.Parameter(typeof(double[]), n)).ToArray();
        var made = Expression.Call(points, arrays.Select(a => Expression.Convert(a, typeof(ReadOnlySpan<double>))));
        var plane = Expression.Field(Expression.Call(of, made), "Item1");
        return Expression.Lambda<Func<double[], double[], double[], double>>(Expression.Property(plane, "FlatnessUm"), arrays).Compile();
    }

    private static void Ratio(string name, double[] x, double[] y, double[] z, Func<double[], double[], double[], double> work)
    {
        // Enough calls in a round that the clock's step does not show, and enough rounds before that everything is compiled to the end.
        var calls = Math.Max(1, 200_000 / x.Length);
        var (ratios, reads, works) = (new List<double>(), new List<double>(), new List<double>());
        var sink = 0.0;
        for (var round = -10; round < Rounds; round++)
        {
            var before = Time(calls, () => sink += Read(x) + Read(y) + Read(z));
            var during = Time(calls, () => sink += work(x, y, z));
            var after = Time(calls, () => sink += Read(x) + Read(y) + Read(z));
            if (round >= 0)
            {
                reads.Add((before + after) / 2 / calls);
                works.Add(during / calls);
                ratios.Add(during * 2 / (before + after));
            }
        }

        GC.KeepAlive(sink);
        string Text(double ratio) => ratio.ToString(ratio < 100 ? "0.00" : "0", CultureInfo.InvariantCulture);
        Line((name, -34), (x.Length.ToString("#,0", CultureInfo.InvariantCulture), 12), (Micro(Median(reads)), 14), (Micro(Median(works)), 14), (Text(Median(ratios)), 8),
            ($"{Text(ratios.Min())} … {Text(ratios.Max())}", 20));
    }

    private static string Micro(double milliseconds) => (milliseconds * 1000).ToString("0.0", CultureInfo.InvariantCulture) + " µs";

    private static double Time(int calls, Action what)
    {
        var begun = Stopwatch.GetTimestamp();
        for (var call = 0; call < calls; call++)
        {
            what();
        }

        return Stopwatch.GetElapsedTime(begun).TotalMilliseconds;
    }

    /// <summary>Every value once, in four lanes with two sums each: as fast as the memory gives them.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static double Read(double[] values)
    {
        var lanes = MemoryMarshal.Cast<double, Vector256<double>>(values.AsSpan());
        var (a, b, c, d) = (Vector256<double>.Zero, Vector256<double>.Zero, Vector256<double>.Zero, Vector256<double>.Zero);
        var i = 0;
        for (; i + 3 < lanes.Length; i += 4)
        {
            a += lanes[i];
            b += lanes[i + 1];
            c += lanes[i + 2];
            d += lanes[i + 3];
        }

        for (; i < lanes.Length; i++)
        {
            a += lanes[i];
        }

        return Vector256.Sum(a + b + c + d);
    }

    /// <summary>A bed of 7 m by 3 m, tilted, with a wave of 40 µm and 5 µm of noise: the same at each run.</summary>
    private static (double[] X, double[] Y, double[] Z) Bed(int count)
    {
        var random = new Random(20260701);
        var (x, y, z) = (new double[count], new double[count], new double[count]);
        for (var i = 0; i < count; i++)
        {
            (x[i], y[i]) = (random.NextDouble() * 7000, random.NextDouble() * 3000);
            z[i] = (0.02 * x[i]) - (0.01 * y[i]) + (40 * Math.Sin(x[i] / 1100)) + (5 * (random.NextDouble() - 0.5));
        }

        return (x, y, z);
    }
}
