using System.Collections.Immutable;
using System.Globalization;

namespace BuildTrack.Metrology.Joints;

/// <summary>Steps at joints of rail segments, and pitch at joints of racks from heights of a roller.</summary>
/// <remarks>Formulas, signs and limits: docs/method/joints.md.</remarks>
public static class JointCalculation
{
    /// <summary>Largest reading that is taken, µm.</summary>
    public const double LargestNumber = 1e6;

    /// <summary>Smallest pressure angle that is taken, degrees.</summary>
    public const double SmallestPressureDegrees = 5;

    /// <summary>Largest pressure angle that is taken, degrees.</summary>
    public const double LargestPressureDegrees = 45;

    /// <summary>Largest helix angle that is taken, degrees.</summary>
    public const double LargestHelixDegrees = 60;

    /// <summary>Steps of rail joints; each joint by its mean and by its worst run.</summary>
    /// <param name="readings">One or more; µm.</param>
    /// <exception cref="ArgumentException">No reading, no name, the same run twice at a joint, or a step that is NaN or infinite.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A run below 1, or a step beyond <see cref="LargestNumber"/>.</exception>
    public static JointSteps Steps(IReadOnlyList<StepReading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        if (readings.Count == 0)
            throw new ArgumentException("There are no steps.", nameof(readings));
        var seen = new HashSet<(string, int)>();
        for (var i = 0; i < readings.Count; i++)
        {
            var place = Place(i);
            Small(readings[i].StepUm, place + ".StepUm");
            ArgumentException.ThrowIfNullOrWhiteSpace(readings[i].Joint, place + ".Joint");
            if (readings[i].Run < 1)
                Guard.ThrowOutOfRange(readings[i].Run, place + ".Run", "1 or more");
            if (!seen.Add((readings[i].Joint, readings[i].Run)))
                throw new ArgumentException(string.Create(CultureInfo.InvariantCulture, $"{place}: run {readings[i].Run} stands twice at joint {readings[i].Joint}."), nameof(readings));
        }

        ImmutableArray<JointStep> joints = [.. readings.GroupBy(r => r.Joint, StringComparer.Ordinal).Select(g => new JointStep(
            g.Key, g.Count(), g.OrderBy(r => r.Run).Average(r => r.StepUm), g.Max(r => Math.Abs(r.StepUm)), g.Max(r => r.StepUm) - g.Min(r => r.StepUm)))];
        var worst = joints.MaxBy(j => j.LargestUm)!;
        return new JointSteps(joints, worst.LargestUm, worst.Joint);
    }

    /// <summary>Pitch over each joint: 2 tan α / cos β times the fall of the roller at the joint against the mean of its neighbours.</summary>
    /// <param name="readings">Heights of one roller, µm.</param>
    /// <param name="pressureDegrees">Pressure angle α, of a helical rack in the normal section, degrees.</param>
    /// <param name="helixDegrees">Helix angle β, degrees; 0 for a straight rack.</param>
    /// <exception cref="ArgumentException">A number that is NaN or infinite, a joint without a name.</exception>
    /// <exception cref="ArgumentOutOfRangeException">An angle or a height out of range.</exception>
    public static RackJoints Racks(IReadOnlyList<RollerReading> readings, double pressureDegrees, double helixDegrees = 0)
    {
        ArgumentNullException.ThrowIfNull(readings);
        if (Guard.Finite(pressureDegrees, nameof(pressureDegrees)) is < SmallestPressureDegrees or > LargestPressureDegrees)
            Guard.ThrowOutOfRange(pressureDegrees, nameof(pressureDegrees), "between 5 and 45");
        if (Math.Abs(Guard.Finite(helixDegrees, nameof(helixDegrees))) > LargestHelixDegrees)
            Guard.ThrowOutOfRange(helixDegrees, nameof(helixDegrees), "within ±60");
        for (var i = 0; i < readings.Count; i++)
        {
            Small(readings[i].HeightUm, Place(i) + ".HeightUm");
            ArgumentException.ThrowIfNullOrWhiteSpace(readings[i].Joint, Place(i) + ".Joint");
        }

        if (readings.Count == 0)
            return Without(RackJointDefect.Empty, "There are no heights of a roller.");
        var factor = 2 * Degrees.Tangent(pressureDegrees) / Degrees.SineAndCosine(helixDegrees).Cosine;
        var joints = ImmutableArray.CreateBuilder<RackJoint>();
        foreach (var joint in readings.GroupBy(r => r.Joint, StringComparer.Ordinal))
        {
            if (Defective(joint.Key, [.. joint]) is { } defective)
                return defective;
            double[] before = [.. joint.Where(r => r.Space < 0).OrderBy(r => r.Space).Select(r => r.HeightUm)], behind = [.. joint.Where(r => r.Space > 0).OrderBy(r => r.Space).Select(r => r.HeightUm)];
            var height = joint.First(r => r.Space == 0).HeightUm - ((before.Average() + behind.Average()) / 2);
            joints.Add(new RackJoint(joint.Key, before.Length, height, -factor * height, behind.Average() - before.Average()));
        }

        var worst = joints.MaxBy(j => Math.Abs(j.PitchErrorUm))!;
        return new RackJoints(joints.ToImmutable(), factor, Math.Abs(worst.PitchErrorUm), worst.Joint, RackJointDefect.None, null);
    }

    private static RackJoints? Defective(string name, RollerReading[] readings)
    {
        int[] spaces = [.. readings.Select(r => r.Space).Order()];
        for (var i = 1; i < spaces.Length; i++)
        {
            if (spaces[i] == spaces[i - 1])
                return Without(RackJointDefect.RepeatedSpace, string.Create(CultureInfo.InvariantCulture, $"Joint {name}: space {spaces[i]} stands twice."));
        }

        if (!spaces.Contains(0))
            return Without(RackJointDefect.NoJointSpace, $"Joint {name}: there is no height in space 0, at the joint itself.");
        return spaces.Length > 1 && spaces.All(s => spaces.Contains(-s))
            ? null
            : Without(RackJointDefect.Lopsided, string.Create(CultureInfo.InvariantCulture,
                $"Joint {name}: spaces {string.Join(", ", spaces.Select(s => s.ToString(CultureInfo.InvariantCulture)))}; the same spaces are needed before and behind the joint, three on each side as a rule."));
    }

    private static string Place(int index) => string.Create(CultureInfo.InvariantCulture, $"readings[{index}]");

    private static void Small(double value, string name)
    {
        if (Math.Abs(Guard.Finite(value, name)) > LargestNumber)
            Guard.ThrowOutOfRange(value, name, "within ±10⁶");
    }

    private static RackJoints Without(RackJointDefect defect, string sentence) => new([], 0, 0, null, defect, sentence);
}
