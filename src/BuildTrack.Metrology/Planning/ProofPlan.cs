using System.Collections.Immutable;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Metrology.Planning;

/// <summary>How a measurement is planned: uncertainty of its readings, number of passes, and the contract's rule.</summary>
/// <param name="Sigma">Standard uncertainty of one reading in one pass, unit of a reading, zero or more.</param>
/// <param name="Common">B: what all passes share, unit of the result, zero or more.</param>
/// <param name="Passes">Passes planned, one or more, a whole number, dimensionless.</param>
/// <param name="Rule">Decision rule of the requirement.</param>
/// <param name="Expanded">U of the result that the rule is used with, unit of the result, zero or more.</param>
/// <param name="K">Coverage factor of U, above zero, dimensionless.</param>
/// <param name="FixedReach">What acceptance leaves to the limit beside the rule where the calculation takes it from U itself, as positioning does; null
/// where it is made of the two parts. Unit of the result, zero or more.</param>
public sealed record PlannedMeasurement(
    double Sigma, double Common, int Passes, DecisionRule Rule, double Expanded, double K, double? FixedReach = null)
{
    /// <summary>Degrees of freedom of <see cref="Sigma"/>, 1 or more, dimensionless; null where it is known, not estimated.</summary>
    public double? DegreesOfFreedom { get; init; }

    /// <summary>Standard uncertainty of the mean of the passes planned, unit of a reading.</summary>
    public double SigmaOfMean => Sigma / Math.Sqrt(Passes);

    /// <summary>What acceptance must leave to the limit: the larger of the rule's band and the reach above, unit of the result.</summary>
    /// <param name="spread">Spread of the result for σ = 1, unit of the result over unit of a reading.</param>
    public double AcceptBand(double spread) => Math.Max(Reach(spread), Conformity.RuleBand(Rule, Expanded, K, DegreesOfFreedom));

    internal double Reach(double spread) => FixedReach ?? ((Quantiles.OneSided95(DegreesOfFreedom) * spread * SigmaOfMean) + Common);

    internal void Check()
    {
        if (FixedReach is { } reach)
            Guard.FiniteNotNegative(reach, nameof(FixedReach));
        Guard.FiniteNotNegative(Sigma, nameof(Sigma));
        Guard.FiniteNotNegative(Common, nameof(Common));
        ArgumentOutOfRangeException.ThrowIfLessThan(Passes, 1);
        Guard.FiniteNotNegative(Expanded, nameof(Expanded));
        Guard.FinitePositive(K, nameof(K));
        _ = Quantiles.WholeDegrees(DegreesOfFreedom);
    }
}

/// <summary>The widest true value of one form that would be accepted with 95 % chance.</summary>
/// <param name="Name">The form.</param>
/// <param name="Widest">Unit of the result; null where even a perfect part would be accepted less often.</param>
public sealed record ShapeProof(string Name, double? Widest);

/// <summary>What a plan can prove. Values in the unit of the result.</summary>
/// <param name="AcceptBand">What acceptance must leave to a limit: the larger of the rule's band and the reach above.</param>
/// <param name="AcceptUpTo">Largest measured value that is accepted; null without an upper limit.</param>
/// <param name="AcceptFrom">Smallest measured value that is accepted; null without a lower limit.</param>
/// <param name="Widest">Largest true value accepted with 95 % chance, whatever the common part does within B; null where there is none.</param>
/// <param name="Least">The same against a lower limit: smallest true value.</param>
/// <param name="AnyShape">A true value that is accepted with 95 % chance whatever its form: zones only, never above
/// <paramref name="Widest"/>; null where there is none.</param>
/// <param name="Share">How much of the limit can be proved, 0 to 1, dimensionless; null for one limit that is zero or of the
/// other sign, of which there are no parts.</param>
/// <param name="RandomPart">What random noise takes of the room to the limit: in the band and beside it, unit of the result.</param>
/// <param name="CommonPart">What the common part takes, once in the band and once beside it, unit of the result.</param>
/// <param name="RulePart">What the rule's band takes beyond the reach, unit of the result.</param>
/// <param name="Shapes">The forms tried; empty for single values.</param>
/// <param name="CannotBecause">Why the limit cannot be proved in this way; null where it can.</param>
public sealed record PlannedProof(
    double AcceptBand, double? AcceptUpTo, double? AcceptFrom, double? Widest, double? Least, double? AnyShape, double? Share,
    double RandomPart, double CommonPart, double RulePart, ImmutableArray<ShapeProof> Shapes, string? CannotBecause);

/// <summary>Before measuring: which true values a plan would prove, with 95 % chance.</summary>
/// <remarks>Method, accuracy and sources: docs/method/planning.md.</remarks>
public static class ProofPlan
{
    /// <summary>Trials used unless another number is given, dimensionless: they give the widest value to about a twentieth of the σ of the result.</summary>
    public const int DefaultTrials = 2000;

    /// <summary>The chance that is asked for, dimensionless.</summary>
    public const double Chance = 0.95;

    private const int FewestTrials = 100;
    private const int LargestSteps = 200;

    /// <summary>A zone or a largest sum against its upper limit.</summary>
    /// <param name="zone">What is calculated.</param>
    /// <param name="plan">How it is measured.</param>
    /// <param name="limit">Largest conforming value, above zero, unit of the result.</param>
    /// <param name="seed">Seed of the generator.</param>
    /// <param name="trials">Trials, 100 or more.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A limit not above zero, a negative uncertainty, no pass, fewer than 100 trials.</exception>
    public static PlannedProof Of(
        PlannedZone zone, PlannedMeasurement plan, double limit, ulong seed = PlaneReach.DefaultSeed, int trials = DefaultTrials)
    {
        var (band, upTo, cannot) = Begin(zone, plan, limit, trials);

        // A reach that is U's own holds no parts: all of the band is the rule's.
        var (randomInBand, commonInBand) = plan.FixedReach is null ? (plan.Reach(zone.Spread) - plan.Common, plan.Common) : (0, 0);
        var rulePart = band - randomInBand - commonInBand;
        if (cannot is not null)
            return new PlannedProof(band, upTo, null, null, null, null, 0, randomInBand, commonInBand, rulePart, [], cannot);
        var room = upTo - plan.Common;
        var (perfect, bounds) = Bounds(zone, plan, room, seed, trials);
        var rank = RankOf(trials);
        var shapes = zone.Shapes.Select((s, i) => new ShapeProof(s.Name, bounds[i][rank] > 0 ? bounds[i][rank] : null)).ToImmutableArray();
        double? widest = shapes.Any(s => s.Widest is null) ? null : shapes.Min(s => s.Widest);
        var sure = room - perfect[trials - 1 - rank];
        return new PlannedProof(
            band, upTo, null, widest, null, sure > 0 ? Math.Min(sure, widest ?? 0) : null, (widest ?? 0) / limit,
            randomInBand + room - (widest ?? 0), commonInBand + plan.Common, rulePart, shapes,
            widest is null ? "even a perfect part would be accepted with less than 95 % chance" : null);
    }

    /// <summary>Why a limit cannot be proved in this way, from the band alone: without any trial. Null where the band leaves something.</summary>
    /// <param name="zone">What is calculated.</param>
    /// <param name="plan">How it is measured.</param>
    /// <param name="limit">Largest conforming value, above zero, unit of the result.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">As for <see cref="Of"/>.</exception>
    public static string? WhyNot(PlannedZone zone, PlannedMeasurement plan, double limit) => Begin(zone, plan, limit, FewestTrials).Cannot;

    /// <summary>The chance of acceptance of a true value, for each form of <see cref="PlannedZone.Shapes"/>: 0 to 1, dimensionless.</summary>
    /// <param name="trueValue">Zero or more, unit of the result.</param>
    /// <inheritdoc cref="Of"/>
    public static ImmutableArray<double> Chances(
        PlannedZone zone, PlannedMeasurement plan, double limit, double trueValue, ulong seed = PlaneReach.DefaultSeed, int trials = DefaultTrials)
    {
        Guard.FiniteNotNegative(trueValue, nameof(trueValue));
        var (_, upTo, cannot) = Begin(zone, plan, limit, trials);
        return cannot is not null
            ? [.. zone.Shapes.Select(_ => 0.0)]
            : [.. Bounds(zone, plan, upTo - plan.Common, seed, trials).Bounds.Select(b => b.Count(w => w >= trueValue) / (double)trials)];
    }

    /// <summary>Single values, each within one or two limits: the worst case has all of them at the same distance from the limit. Closed form.</summary>
    /// <param name="limits">One or two limits.</param>
    /// <param name="count">How many values there are, one or more.</param>
    /// <param name="plan">How each is measured.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite, no limit, or an upper limit below the lower.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A negative uncertainty, no pass, no value.</exception>
    public static PlannedProof OfSingle(Conformity.Limits limits, int count, PlannedMeasurement plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        plan.Check();
        Conformity.CheckLimits(limits);
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        double reach = plan.Reach(1), band = plan.AcceptBand(1);

        // Two limits share the five in a hundred.
        var both = limits is { Upper: not null, Lower: not null };
        var noise = plan.SigmaOfMean * Quantiles.LargestOf(count, both ? 0.975 : Chance, plan.DegreesOfFreedom);
        var margin = band + plan.Common + noise;
        double? upTo = limits.Upper - band, from = limits.Lower + band, widest = limits.Upper - margin, least = limits.Lower + margin;
        var size = Conformity.Size(limits);
        double? share = both ? Math.Max(0, 1 - (margin / size))
            : limits.Upper is { } upper ? (upper > 0 ? Math.Max(0, widest!.Value / upper) : null)
            : limits.Lower > 0 ? limits.Lower / least : null;
        var cannot = SimpleCannot(plan, limits) ?? (limits.Lower is null && limits.Upper > 0 || both ? Reason(band, size, margin) : null);
        return new PlannedProof(
            band, upTo, from, cannot is null ? widest : null, cannot is null ? least : null, null, cannot is null ? share : 0,
            reach - plan.Common + noise, 2 * plan.Common, band - reach, [], cannot);
    }

    private static string? Reason(double band, double size, double margin) =>
        band >= size ? "the band that acceptance must leave is not below the limit"
        : margin >= size ? "even a perfect part would be accepted with less than 95 % chance"
        : null;

    private static string? SimpleCannot(PlannedMeasurement plan, Conformity.Limits limits) =>
        plan.Rule == DecisionRule.Simple && Conformity.SimpleRuleHasTooLargeUncertainty(plan.Expanded, limits)
            ? "the simple rule needs U of at most a quarter of the limit" : null;

    private static (double Band, double UpTo, string? Cannot) Begin(PlannedZone zone, PlannedMeasurement plan, double limit, int trials)
    {
        ArgumentNullException.ThrowIfNull(zone);
        ArgumentNullException.ThrowIfNull(plan);
        plan.Check();
        Guard.FinitePositive(limit, nameof(limit));
        if (trials < FewestTrials)
            Guard.ThrowOutOfRange(trials, nameof(trials), "100 or more");
        var band = plan.AcceptBand(zone.Spread);
        return (band, limit - band, SimpleCannot(plan, new Conformity.Limits(limit, null)) ?? Reason(band, limit, band + plan.Common));
    }

    /// <summary>Of every sorted series of bounds the place that 95 in 100 trials reach.</summary>
    private static int RankOf(int trials) => (int)((1 - Chance) * trials * (1 + 1e-12));

    /// <summary>For every form and trial, sorted: the largest true value at which the measured result is still accepted. And the sorted results of
    /// noise alone.</summary>
    private static (double[] Perfect, double[][] Bounds) Bounds(PlannedZone zone, PlannedMeasurement plan, double room, ulong seed, int trials)
    {
        var source = new SeededSource(seed);
        var degrees = Quantiles.WholeDegrees(plan.DegreesOfFreedom);
        var result = zone.Worker();
        double[] noise = new double[zone.Readings], readings = new double[zone.Readings], perfect = new double[trials];
        var bounds = zone.Shapes.Select(_ => new double[trials]).ToArray();
        for (var trial = 0; trial < trials; trial++)
        {
            for (var i = 0; i < noise.Length; i++)
                noise[i] = plan.SigmaOfMean * source.NextNormal();
            if (degrees is { } whole)
            {
                // The σ of the register was estimated; the true one differs from it, for the whole trial alike.
                var truth = 1 / Math.Sqrt(source.NextChiSquare(whole) / whole);
                for (var i = 0; i < noise.Length; i++)
                    noise[i] *= truth;
            }

            perfect[trial] = result(noise);
            for (var s = 0; s < bounds.Length; s++)
                bounds[s][trial] = perfect[trial] > room ? -1 : LargestAccepted(result, zone.Shapes[s].Readings, noise, readings, perfect[trial], room);
        }

        Array.Sort(perfect);
        foreach (var series in bounds)
            Array.Sort(series);
        return (perfect, bounds);
    }

    /// <summary>
    /// Where R(λ·form + noise) reaches the room. R is convex in λ, below the room at 0 and above it from room + R(noise) on: a chord through two points
    /// beyond the root meets the room between the root and the nearer of them, so that every step comes nearer and none passes it.
    /// </summary>
    private static double LargestAccepted(
        Func<double[], double> result, ImmutableArray<double> form, double[] noise, double[] readings, double ofNoise, double room)
    {
        double near = room + ofNoise, far = near + room, atNear = At(near), atFar = At(far);
        for (var step = 0; step < LargestSteps && atNear - room > 1e-9 * room && atFar > atNear; step++)
        {
            var next = Math.Max(0, near - ((atNear - room) * (far - near) / (atFar - atNear)));
            (far, atFar) = (near, atNear);
            (near, atNear) = (next, At(next));
        }

        return near;

        double At(double size)
        {
            for (var i = 0; i < readings.Length; i++)
                readings[i] = (size * form[i]) + noise[i];
            return result(readings);
        }
    }
}
