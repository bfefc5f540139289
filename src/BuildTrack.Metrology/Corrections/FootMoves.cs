using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Corrections;

/// <summary>Moves of levelling feet from the heights of the bed over them.</summary>
/// <remarks>Rules and examples: docs/method/corrections.md. Without learned influence each foot is taken to move the bed over itself alone;
/// <see cref="FootInfluence"/> counts with the neighbours.</remarks>
public static class FootMoves
{
    /// <summary>Feet at most.</summary>
    public const int MostFeet = 64;

    /// <summary>Largest height or move that is taken, µm.</summary>
    public const double LargestUm = 1e6;

    /// <summary>Plans one round.</summary>
    /// <param name="feet">Feet with heights.</param>
    /// <param name="goal">Which way feet move.</param>
    /// <param name="reference">What heights are compared with.</param>
    /// <param name="rules">Null: 0.02 mm, 0.04 mm, three rounds.</param>
    /// <param name="round">Number of the round, from 1.</param>
    /// <exception cref="ArgumentException">A number that is NaN or infinite, a name that is missing or stands twice.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Too many feet, a travel, pitch or rule out of range.</exception>
    public static FootMovesResult Of(
        IReadOnlyList<FootPlace> feet, FootGoal goal = FootGoal.RaiseToHighest, FootReference reference = FootReference.Level, FootRules? rules = null,
        int round = 1)
    {
        rules ??= new FootRules();
        Check(feet, rules, round);
        if (Refused(feet, goal, reference, rules, round) is { } refused)
            return refused;
        var deviations = Deviations(feet, reference, [.. feet.Select(f => f.HeightUm)]);
        var target = goal == FootGoal.RaiseToHighest ? deviations.Max() : deviations.Average();
        double[] wanted = [.. deviations.Select(d => target - d)];
        double[] moves = [.. wanted.Select((w, i) => Math.Clamp(w, -(feet[i].FallLeftUm ?? LargestUm), feet[i].RiseLeftUm ?? LargestUm))
            .Select(m => Math.Abs(m) < rules.SmallestMoveUm ? 0 : m)];
        double[] predicted = [.. feet.Select((f, i) => f.HeightUm + moves[i])];
        return Result(feet, goal, reference, rules, round, wanted, moves, predicted, null);
    }

    internal static FootMovesResult Result(
        IReadOnlyList<FootPlace> feet, FootGoal goal, FootReference reference, FootRules rules, int round, double[] wanted, double[] moves, double[] predicted,
        double[]? sigma)
    {
        double[] before = Deviations(feet, reference, [.. feet.Select(f => f.HeightUm)]), after = Deviations(feet, reference, predicted);
        ImmutableArray<FootMove> each = [.. feet.Select((f, i) => new FootMove(
            f.Name, before[i], wanted[i], moves[i], Passes(moves[i], rules), f.MmPerTurn is { } pitch ? moves[i] / 1000 / pitch * 360 : null, predicted[i],
                sigma?[i],
            Held(f, wanted[i], moves[i], rules)))];
        double[] x = [.. feet.Select(f => f.XMm)], y = [.. feet.Select(f => f.YMm)];
        var (refusal, sentence) = Refusal(feet, each, rules);
        return new FootMovesResult(
            goal, reference, round, each, FootOrder.Of(feet, moves, rules.StepUm), before.Max() - before.Min(), after.Max() - after.Min(),
            BedForm.Of(x, y, [.. feet.Select(f => f.HeightUm)]), BedForm.Of(x, y, predicted), refusal, sentence);
    }

    internal static FootMovesResult? Refused(IReadOnlyList<FootPlace> feet, FootGoal goal, FootReference reference, FootRules rules, int round)
    {
        if (round > rules.MostRounds)
        {
            return Without(goal, reference, round, FootRefusal.RoundsUsedUp, string.Create(CultureInfo.InvariantCulture,
                $"{rules.MostRounds} rounds are done; a further one needs the engineer: a foot may carry nothing, the floor be soft or the bed bend."));
        }

        if (feet.Count < 3)
            return Without(goal, reference, round, FootRefusal.NoPlane,
                string.Create(CultureInfo.InvariantCulture, $"A bed needs three feet or more; there {(feet.Count == 1 ? "is" : "are")} {feet.Count}."));
        return reference == FootReference.Plane && PlanFrame.Of([.. feet.Select(f => f.XMm)], [.. feet.Select(f => f.YMm)]).Shape != PlanShape.Plane
            ? Without(goal, reference, round, FootRefusal.NoPlane, "All feet lie on one line; a plane through them is not decided.")
            : null;
    }

    /// <summary>Heights over the reference: over zero, or over the plane of least squared heights.</summary>
    internal static double[] Deviations(IReadOnlyList<FootPlace> feet, FootReference reference, double[] heights)
    {
        if (reference == FootReference.Level)
            return heights;
        var rest = (double[])heights.Clone();
        PlanFrame.Of([.. feet.Select(f => f.XMm)], [.. feet.Select(f => f.YMm)]).Level(rest);
        return rest;
    }

    internal static void Check(IReadOnlyList<FootPlace> feet, FootRules rules, int round)
    {
        ArgumentNullException.ThrowIfNull(feet);
        if (feet.Count > MostFeet)
            Guard.ThrowOutOfRange(feet.Count, nameof(feet), "64 feet at most");
        if (round < 1)
            Guard.ThrowOutOfRange(round, nameof(round), "1 or more");
        if (rules.MostRounds < 1)
            Guard.ThrowOutOfRange(rules.MostRounds, nameof(rules.MostRounds), "1 or more");
        Within(Guard.FiniteNotNegative(rules.SmallestMoveUm, nameof(rules.SmallestMoveUm)), nameof(rules.SmallestMoveUm));
        if (Within(rules.StepUm, nameof(rules.StepUm)) < 1)
            Guard.ThrowOutOfRange(rules.StepUm, nameof(rules.StepUm), "1 µm or more");
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var foot in feet)
        {
            ArgumentException.ThrowIfNullOrWhiteSpace(foot.Name, nameof(feet));
            if (!seen.Add(foot.Name))
                throw new ArgumentException($"The foot {foot.Name} stands twice.", nameof(feet));
            BedForm.Measurable(foot.XMm, foot.YMm, foot.HeightUm, foot.Name);
            Within(foot.HeightUm, foot.Name + ".HeightUm");
            Within(Guard.FiniteNotNegative(foot.RiseLeftUm ?? 0, foot.Name + ".RiseLeftUm"), foot.Name + ".RiseLeftUm");
            Within(Guard.FiniteNotNegative(foot.FallLeftUm ?? 0, foot.Name + ".FallLeftUm"), foot.Name + ".FallLeftUm");
            if (Guard.FinitePositive(foot.MmPerTurn ?? 1, foot.Name + ".MmPerTurn") is < 0.01 or > 100)
                Guard.ThrowOutOfRange(foot.MmPerTurn!.Value, foot.Name + ".MmPerTurn", "from 0.01 to 100");
        }
    }

    internal static double Within(double value, string name)
    {
        if (Math.Abs(Guard.Finite(value, name)) > LargestUm)
            Guard.ThrowOutOfRange(value, name, "within ±10⁶");
        return value;
    }

    private static FootHeld Held(FootPlace foot, double wanted, double move, FootRules rules)
    {
        const double nothing = 1e-9;
        var beyond = wanted > (foot.RiseLeftUm ?? double.PositiveInfinity) + nothing || wanted < -(foot.FallLeftUm ?? double.PositiveInfinity) - nothing;
        return beyond && Math.Abs(wanted) >= rules.SmallestMoveUm ? FootHeld.TravelUsedUp : move == 0 && Math.Abs(wanted) > nothing ? FootHeld.TooSmall
            : FootHeld.No;
    }

    private static int Passes(double move, FootRules rules) => (int)Math.Ceiling((Math.Abs(move) / rules.StepUm) - 1e-9);

    private static (FootRefusal, string?) Refusal(IReadOnlyList<FootPlace> feet, ImmutableArray<FootMove> moves, FootRules rules)
    {
        string[] held = [.. feet.Select((f, i) => (f, m: moves[i])).Where(o => o.m.Held == FootHeld.TravelUsedUp)
            .Select(o => $"{o.f.Name} wants {BedForm.Mm(o.m.WantedUm)} and has {BedForm.Mm((o.m.WantedUm > 0 ? o.f.RiseLeftUm : -o.f.FallLeftUm) ?? 0)} left")];
        return held.Length > 0 ? (FootRefusal.TravelUsedUp, $"The travel is used up: {string.Join(", ", held)}.")
            : moves.All(m => m.MoveUm == 0) ? (FootRefusal.NothingToMove, $"No foot wants {BedForm.Mm(rules.SmallestMoveUm)} or more; smaller moves are left.")
            : (FootRefusal.None, null);
    }

    private static FootMovesResult Without(FootGoal goal, FootReference reference, int round, FootRefusal refusal, string sentence) =>
        new(goal, reference, round, [], [], 0, 0, null, null, refusal, sentence);
}
