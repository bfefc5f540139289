using System.Globalization;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using MathNet.Numerics;
using MathNet.Numerics.LinearAlgebra;

namespace BuildTrack.Benchmarks;

/// <summary>The figures that the engine is held to, each as a ratio of two works done in turn in one run on one core.</summary>
/// <remarks>
/// One round is measure, work, measure (or work, measure, work); the round's ratio takes the mean of the two outer ones, so that whatever else the
/// machine does falls on both. The median of the rounds is printed; medians taken apart from each other scatter by 15 %.
/// </remarks>
internal static class EngineRatios
{
    private const int Rounds = 31;

    public static void Run()
    {
        Control.UseManaged();
        Control.UseSingleThread();
        foreach (var count in new[] { 1_000_000, 10_000_000 })
        {
            var size = count == 1_000_000 ? "1e6" : "1e7";
            var (x, y, z) = MadeSets.Of("noise", count, new SeededSource(7));
            Print($"plane-fit/read@{size}", Paired(() => Read(x, y, z), () => PlaneMoments.Of(x, y, z).Slopes().AlongX, count));
            var worst = 0.0;
            foreach (var shape in new[] { "noise", "saddle", "crown", "quantised", "scan" })
            {
                (x, y, z) = MadeSets.Of(shape, count, new SeededSource(7));
                worst = Math.Max(worst, Paired(() => Read(x, y, z), () => Zone(x, y, z), count));
            }

            Print($"minimum-zone/read@{size}", worst);
        }

        var (px, py, pz) = MadeSets.Of("saddle", 1000, new SeededSource(7));
        Print("mathnet-svd/minimum-zone@1e3", Paired(() => Zone(px, py, pz), () => PlaneBySvd(px, py, pz), 10_000));
        Print("mathnet-evd/monte-carlo-zone@100", MonteCarlo());
        Print("flatness-statement/exact-zone@60", Statement());
        var (name, ratio) = NetworkRatio.Measure();
        Print(name, ratio);
    }

    private static double Zone(double[] x, double[] y, double[] z) => FlatnessCalculation.Of(x, y, z, deviations: false).MinimumZone!.FlatnessUm;

    /// <summary>Thin QR of the centred points, then the singular vectors of R: the plane fit of the general library.</summary>
    private static double PlaneBySvd(double[] x, double[] y, double[] z)
    {
        double mx = Mean(x), my = Mean(y), mz = Mean(z);
        var points = Matrix<double>.Build.Dense(x.Length, 3, (i, j) => j == 0 ? (x[i] - mx) * 1000 : j == 1 ? (y[i] - my) * 1000 : z[i] - mz);
        return points.QR(MathNet.Numerics.LinearAlgebra.Factorization.QRMethod.Thin).R.Svd().VT[2, 2];
    }

    /// <summary>A series about one measured bed of 100 stations, noise of 1 µm drawn anew for each zone, against the plane fit by the eigenvectors of A'A.</summary>
    private static double MonteCarlo()
    {
        var (x, y, bed) = MadeSets.Of("saddle", 100, new SeededSource(7));
        var frame = PlanFrame.Of(x, y);
        var zone = new VerticalZone();
        var source = new SeededSource(8);
        var series = new double[256][];
        for (var k = 0; k < series.Length; k++)
            series[k] = [.. bed.Select(height => height + source.NextNormal())];
        zone.Solve(frame.U, frame.W, series[^1]);
        var (one, other) = (0, 0);
        return Paired(
            () =>
            {
                zone.SolveAgain(frame.U, frame.W, series[one++ & 255]);
                return zone.Width;
            },
            () => PlaneByEvd(x, y, series[other++ & 255]), 1_000);
    }

    /// <summary>
    /// What a flatness states in full, against its value alone: the calculation of 60 pads on two rails with both reaches under the minimum zone, the reach below
    /// by 10⁴ trials (1 %), each trial a zone of noise; against one exact minimum zone of the same pads. A trial that cost as much as the zone alone would give 10 000.
    /// </summary>
    private static double Statement()
    {
        const int zones = 2000;
        var source = new SeededSource(7);
        double[] x = [.. Enumerable.Range(0, 60).Select(i => 250.0 * (i % 30))], y = [.. Enumerable.Range(0, 60).Select(i => i < 30 ? 0.0 : 1750)];
        double[] z = [.. x.Select(position => (20 * position / 7250 * (1 - (position / 7250))) + (3 * source.NextNormal()))];
        return zones * Paired(
            () =>
            {
                var sum = 0.0;
                for (var k = 0; k < zones; k++)
                    sum += Zone(x, y, z);
                return sum;
            },
            () =>
            {
                var reach = PlaneReach.Of(x, y, 2, 1.5, PlaneReference.MinimumZone);
                return FlatnessCalculation.Of(x, y, z).MinimumZone!.FlatnessUm + reach.AboveUm + reach.BelowUm;
            },
            2_000_000);
    }

    private static double PlaneByEvd(double[] x, double[] y, double[] z)
    {
        double mx = Mean(x), my = Mean(y), mz = Mean(z);
        var points = Matrix<double>.Build.Dense(x.Length, 3, (i, j) => j == 0 ? (x[i] - mx) * 1000 : j == 1 ? (y[i] - my) * 1000 : z[i] - mz);
        return points.TransposeThisAndMultiply(points).Evd(Symmetricity.Symmetric).EigenVectors[2, 0];
    }

    private static double Mean(double[] values)
    {
        double sum = 0;
        foreach (var value in values)
            sum += value;
        return sum / values.Length;
    }

    private static void Print(string name, double ratio) => Console.WriteLine(name + " " + ratio.ToString("0.00", CultureInfo.InvariantCulture));

    /// <summary>How many times the first work the second one takes.</summary>
    /// <param name="size">About how many points a call reads: small works are repeated within a round.</param>
    public static double Paired(Func<double> first, Func<double> second, int size)
    {
        var calls = Math.Max(1, 2_000_000 / size);
        var ratios = new List<double>();
        var sink = 0.0;
        for (var round = -10; round < Rounds; round++)
        {
            var before = Time(calls, first, ref sink);
            var during = Time(calls, second, ref sink);
            var after = Time(calls, first, ref sink);
            if (round >= 0)
                ratios.Add(during * 2 / (before + after));
        }

        GC.KeepAlive(sink);
        return Figures.Median(ratios);
    }

    private static double Time(int calls, Func<double> what, ref double sink)
    {
        var begun = ProcessorTime.OfThisThread();
        for (var call = 0; call < calls; call++)
            sink += what();
        return ProcessorTime.OfThisThread() - begun;
    }

    private static double Read(double[] x, double[] y, double[] z) => ReadOne(x) + ReadOne(y) + ReadOne(z);

    /// <summary>Every value once, in four lanes with four sums: as fast as the memory gives them.</summary>
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static double ReadOne(double[] values)
    {
        ref var first = ref MemoryMarshal.GetArrayDataReference(values);
        Vector256<double> a = default, b = default, c = default, d = default;
        nuint i = 0;
        for (var whole = (nuint)(values.Length & ~15); i < whole; i += 16)
        {
            a += Vector256.LoadUnsafe(ref first, i);
            b += Vector256.LoadUnsafe(ref first, i + 4);
            c += Vector256.LoadUnsafe(ref first, i + 8);
            d += Vector256.LoadUnsafe(ref first, i + 12);
        }

        var sum = Vector256.Sum(a + b + c + d);
        for (; i < (nuint)values.Length; i++)
            sum += values[i];
        return sum;
    }
}
