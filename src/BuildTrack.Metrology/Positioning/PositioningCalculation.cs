using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Positioning;

/// <summary>Accuracy and repeatability of positioning of a linear axis after ISO 230-2:2014.</summary>
public static class PositioningCalculation
{
    /// <summary>Largest deviation that is taken, µm (1 km), and largest target, mm: beyond it a number is a fault of writing.</summary>
    public const double LargestNumber = 1e9;

    /// <summary>Travel up to which the standard asks for five runs; beyond it for one run each way. In mm.</summary>
    public const double LongTravelMm = 2000;

    /// <summary>The edition whose definitions these are.</summary>
    public const string Standard = "ISO 230-2:2014 with Amendment 1:2016";

    /// <summary>Runs each way that the standard asks for up to <see cref="LongTravelMm"/>, dimensionless.</summary>
    public const int StandardRuns = 5;

    private const int StandardTargets = 5;

    private const double TargetsPerM = 5;

    /// <summary>Mean distance of targets on long travels, mm, and the part by which it may be more before that is remarked.</summary>
    private const double LongSpacingMm = 250;

    private const double SpacingAllowance = 1.05;

    /// <summary>Calculates the figures of every target and of the axis.</summary>
    /// <remarks>
    /// <para>Definitions, sources and limits: docs/method/positioning.md. The order of the readings does not matter. Every target needs every run of
    /// every measured direction once. One run each way leaves E, B and M; s, R and A are then absent, not zero. One direction only leaves its own figures.</para>
    /// <para>Accurate to rounding; an offset common to all deviations is taken out before squaring.</para>
    /// </remarks>
    /// <param name="readings">Targets in mm, deviations (actual less target) in µm.</param>
    /// <exception cref="ArgumentException">A number is NaN or infinite; the sentence names the place.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A number beyond <see cref="LargestNumber"/>, a run below 1, an unknown direction.</exception>
    public static PositioningResult Of(IReadOnlyList<PositioningReading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        for (var i = 0; i < readings.Count; i++)
            Check(readings[i], i);

        var targets = readings.GroupBy(r => r.TargetMm).OrderBy(g => g.Key).ToArray();
        if (Defective(targets) is { } defective)
            return defective;

        var figured = targets.Select(t => Target(t.Key, Deviations(t, Approach.Forward), Deviations(t, Approach.Backward))).ToImmutableArray();
        var runs = targets[0].GroupBy(r => r.Approach).First().Count();
        Approach? missing = figured[0].MeanForwardUm is null ? Approach.Forward : figured[0].MeanBackwardUm is null ? Approach.Backward : null;
        var spread = runs > 1 ? null : "One run in each direction has no spread: no standard deviation, so no repeatability and no accuracy.";
        return new PositioningResult(runs, figured, Axis(figured), spread, missing, Remarks(figured, runs), PositioningDefect.None, null);
    }

    private static void Check(PositioningReading reading, int index)
    {
        var place = string.Create(CultureInfo.InvariantCulture, $"readings[{index}]");
        Small(reading.TargetMm, place + ".TargetMm");
        Small(reading.DeviationUm, place + ".DeviationUm");
        if (reading.Run < 1)
            Guard.ThrowOutOfRange(reading.Run, place + ".Run", "1 or more");
        if (reading.Approach is not (Approach.Forward or Approach.Backward))
            throw new ArgumentOutOfRangeException(nameof(reading), reading.Approach, $"{place} has no known direction.");
    }

    private static void Small(double value, string name)
    {
        if (Math.Abs(Guard.Finite(value, name)) > LargestNumber)
            Guard.ThrowOutOfRange(value, name, "within ±10⁹");
    }

    private static PositioningResult? Defective(IGrouping<double, PositioningReading>[] targets)
    {
        if (targets.Length < 2)
            return Without(PositioningDefect.TooFewTargets, $"Positioning needs two targets or more; there {(targets.Length == 1 ? "is 1" : "are none")}.");

        Approach[] approaches = [Approach.Forward, Approach.Backward];
        var runsOf = approaches.ToDictionary(a => a, a => targets.SelectMany(t => t).Where(r => r.Approach == a).Select(r => r.Run).Distinct().Order().ToArray());
        foreach (var target in targets)
        {
            foreach (var approach in approaches)
            {
                var seen = new HashSet<int>();
                foreach (var reading in target.Where(r => r.Approach == approach))
                {
                    if (!seen.Add(reading.Run))
                        return Without(PositioningDefect.RepeatedReading, $"At {Text(target.Key)} mm run {Text(reading.Run)} in direction {Sign(approach)} stands twice.");
                }

                if (seen.Count > 0 || runsOf[approach].Length == 0)
                {
                    foreach (var run in runsOf[approach].Where(r => !seen.Contains(r)))
                        return Without(PositioningDefect.MissingReading,
                            $"At {Text(target.Key)} mm run {Text(run)} in direction {Sign(approach)} is missing; other targets have it. Windows with more runs are a test of their own.");
                }
                else
                {
                    return Without(PositioningDefect.MissingReading,
                        $"At {Text(target.Key)} mm there is no reading in direction {Sign(approach)}; other targets have them.");
                }
            }
        }

        var (forward, backward) = (runsOf[Approach.Forward].Length, runsOf[Approach.Backward].Length);
        return forward == backward || forward == 0 || backward == 0
            ? null
            : Without(PositioningDefect.UnequalRuns, $"There are {Text(forward)} runs in direction + and {Text(backward)} in direction −; they must be as many.");
    }

    private static double[] Deviations(IEnumerable<PositioningReading> readings, Approach approach) =>
        [.. readings.Where(r => r.Approach == approach).OrderBy(r => r.Run).Select(r => r.DeviationUm)];

    private static PositioningTarget Target(double targetMm, double[] forward, double[] backward)
    {
        var (meanForward, spreadForward) = MeanAndSpread(forward);
        var (meanBackward, spreadBackward) = MeanAndSpread(backward);
        var reversal = meanForward - meanBackward;
        double? both = 2 * spreadForward + 2 * spreadBackward + (reversal is { } b ? Math.Abs(b) : null);
        return new PositioningTarget(
            targetMm, meanForward, meanBackward, (meanForward + meanBackward) / 2, reversal, spreadForward, spreadBackward,
            4 * spreadForward, 4 * spreadBackward, both is { } sum ? Math.Max(sum, Math.Max(4 * spreadForward!.Value, 4 * spreadBackward!.Value)) : null);
    }

    /// <summary>Mean, and s with divisor n − 1, of deviations less the first of them: a common offset costs no digits.</summary>
    private static (double? Mean, double? Spread) MeanAndSpread(double[] values)
    {
        if (values.Length == 0)
            return (null, null);
        var first = values[0];
        var mean = values.Sum(v => v - first) / values.Length;
        if (values.Length == 1)
            return (first, null);
        double squares = 0, rest = 0;
        foreach (var value in values)
        {
            var from = value - first - mean;
            squares += from * from;
            rest += from;
        }

        // The second sum is zero on paper; it takes out what rounding of the mean has put in.
        return (first + mean, Math.Sqrt(Math.Max(0, squares - (rest * rest / values.Length)) / (values.Length - 1)));
    }

    private static PositioningFigures Axis(ImmutableArray<PositioningTarget> targets)
    {
        var forward = targets.Select(t => t.MeanForwardUm).ToArray();
        var backward = targets.Select(t => t.MeanBackwardUm).ToArray();
        var bothWays = targets[0].ReversalUm is not null;
        double?[] all = bothWays ? [.. forward, .. backward] : [];
        var forwardHigh = targets.Select(t => t.MeanForwardUm + (2 * t.StandardDeviationForwardUm)).ToArray();
        var forwardLow = targets.Select(t => t.MeanForwardUm - (2 * t.StandardDeviationForwardUm)).ToArray();
        var backwardHigh = targets.Select(t => t.MeanBackwardUm + (2 * t.StandardDeviationBackwardUm)).ToArray();
        var backwardLow = targets.Select(t => t.MeanBackwardUm - (2 * t.StandardDeviationBackwardUm)).ToArray();
        return new PositioningFigures(
            targets.Max(t => t.ReversalUm is { } b ? Math.Abs(b) : (double?)null),
            bothWays ? targets.Average(t => t.ReversalUm) : null,
            targets.Max(t => t.RepeatabilityForwardUm),
            targets.Max(t => t.RepeatabilityBackwardUm),
            targets.Max(t => t.RepeatabilityUm),
            forward.Max() - forward.Min(),
            backward.Max() - backward.Min(),
            all.Max() - all.Min(),
            targets.Max(t => t.MeanUm) - targets.Min(t => t.MeanUm),
            forwardHigh.Max() - forwardLow.Min(),
            backwardHigh.Max() - backwardLow.Min(),
            bothWays ? forwardHigh.Concat(backwardHigh).Max() - forwardLow.Concat(backwardLow).Min() : null);
    }

    private static ImmutableArray<string> Remarks(ImmutableArray<PositioningTarget> targets, int runs)
    {
        var remarks = ImmutableArray.CreateBuilder<string>();
        var travel = targets[^1].TargetMm - targets[0].TargetMm;
        if (targets.Length < StandardTargets)
            remarks.Add($"{Text(targets.Length)} targets; ISO 230-2 asks for at least {Text(StandardTargets)}.");
        if (travel <= LongTravelMm && targets.Length >= StandardTargets && targets.Length < TargetsPerM * travel / 1000)
            remarks.Add($"{Text(targets.Length)} targets over {Text(travel)} mm; ISO 230-2 asks for {Text(TargetsPerM)} in each metre.");
        if (travel > LongTravelMm && travel / (targets.Length - 1) > LongSpacingMm * SpacingAllowance)
            remarks.Add($"Targets {Text(Math.Round(travel / (targets.Length - 1)))} mm apart in the mean; beyond {Text(LongTravelMm)} mm ISO 230-2 asks for about {Text(LongSpacingMm)} mm.");
        if (targets.Length >= StandardTargets && Even(targets, travel))
            remarks.Add("The targets are evenly spaced: an error that repeats with a part of their distance, of a pinion or a scale, is not seen. ISO 230-2 asks for uneven distances.");
        if (travel <= LongTravelMm && runs < StandardRuns)
            remarks.Add($"{Text(runs)} {(runs == 1 ? "run" : "runs")} in each direction; ISO 230-2 asks for {Text(StandardRuns)} on travels up to {Text(LongTravelMm)} mm.");
        if (travel > LongTravelMm && runs > 1)
            remarks.Add($"Targets over {Text(travel)} mm; beyond {Text(LongTravelMm)} mm ISO 230-2 reports no repeatability and no accuracy except in a window agreed.");
        return remarks.ToImmutable();
    }

    private static bool Even(ImmutableArray<PositioningTarget> targets, double travel)
    {
        var step = travel / (targets.Length - 1);
        return Enumerable.Range(1, targets.Length - 1).All(i => Math.Abs(targets[i].TargetMm - targets[i - 1].TargetMm - step) <= 0.001 * step);
    }

    private static char Sign(Approach approach) => approach == Approach.Forward ? '+' : '−';

    private static string Text(double number) => number.ToString("R", CultureInfo.InvariantCulture);

    private static PositioningResult Without(PositioningDefect defect, string sentence) => new(0, [], null, null, null, [], defect, sentence);
}
