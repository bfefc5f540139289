namespace BuildTrack.Metrology.Verdicts;

/// <summary>The one verdict function of the product.</summary>
public static class Conformity
{
    /// <summary>The limits of a requirement, in the unit of the value; one of them may be missing.</summary>
    public sealed record Limits(double? Upper, double? Lower);

    /// <summary>A verdict with the figures it rests on, in the unit of the value.</summary>
    public sealed record Decision(
        Verdict Verdict,
        double? AcceptUpTo,
        double? RejectAbove,
        double? AcceptFrom,
        double? RejectBelow,
        double? ProbabilityOfConformity,
        string? Because);

    public static Decision Decide(double value, Limits limits, double acceptBand, double rejectBand) => throw new NotImplementedException();

    public static double RuleBand(DecisionRule rule, double expandedUncertainty, double k) => throw new NotImplementedException();

    public static Decision ByRule(double value, Limits limits, DecisionRule rule, double expandedUncertainty, double k) =>
        throw new NotImplementedException();

    public static bool SimpleRuleHasTooLargeUncertainty(double expandedUncertainty, Limits limits) => throw new NotImplementedException();
}
