using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>A value that must keep a limit: one place, one sample, the mean of a coating.</summary>
/// <param name="Place">Name shown for it.</param>
/// <param name="What">What the value is, in words.</param>
/// <param name="Mean">Mean of the counted passes, calculated unit.</param>
/// <param name="Passes">The value of every counted pass; empty where a single pass says nothing by itself.</param>
/// <param name="Runs">The runs of those passes.</param>
/// <param name="View">U, random and common part of this value.</param>
internal sealed record Candidate(
    string Place, string What, double Mean, ImmutableArray<double> Passes, ImmutableArray<Run> Runs, double Limit, bool Upward, RegisterView View)
{
    /// <summary>What is left to the limit as a part of it (of 1 for a limit of zero): negative beyond the limit.</summary>
    public double Left(double value) => (Upward ? Limit - value : value - Limit) / (Limit == 0 ? 1 : Math.Abs(Limit));
}

/// <summary>The verdict on the value that keeps its limit least: every value counts, the worst decides.</summary>
/// <remarks>Method: docs/method/verdict.md, "Least of several values".</remarks>
internal static class WorstValue
{
    /// <summary>Judges. The first pass chooses a place, further passes test it.</summary>
    /// <param name="signed">False for values without sign, of which both directions of the noise count: a difference, a departure from square.</param>
    /// <param name="noAgain">Why a further pass proves nothing; null where it can.</param>
    /// <param name="among">How many values one candidate was chosen from, where it is the largest of more than the candidates themselves: all differences of two readings.</param>
    /// <param name="rework">What is to be done where the value is rejected, given the place that decides; null: what every rejection asks for.</param>
    public static EvaluationResult Of(
        EvaluationInput input, ImmutableArray<Candidate> candidates, string unit, string survey, ImmutableArray<Figure> figures, bool signed = true, string? noAgain = null,
        Func<string, string>? rework = null, int among = 1)
    {
        var worst = candidates.MinBy(c => c.Left(c.Mean))!;
        var view = worst.View with { Faults = [.. candidates.SelectMany(c => c.View.Faults).Distinct()] };
        var (accept, alone, fromAgain) = ExtremeReach.Of((signed ? 1 : 2) * among * candidates.Length, view.Sigma, view.Common, view.Degrees);
        var first = candidates.Where(c => c.Passes.Length > 1).MinBy(c => c.Left(c.Passes[0]));
        ImmutableArray<AgainValue> again = noAgain is null && first is not null && first.Limit == worst.Limit && first.Upward == worst.Upward
            ? [.. first.Runs.Skip(1).Select((r, i) => new AgainValue(r.Id, r.No, first.Passes[i + 1]))]
            : [];
        var decision = new ZoneDecision(
            worst.Mean, worst.Limit, input.Requirement.Rule, view, accept, alone, [fromAgain], again, worst.Upward, NotProved: null, noAgain, ByFurtherPass: true);
        ImmutableArray<WeightedPlace> places = [new WeightedPlace(worst.Place, 1)];
        var result = decision.Result(
            unit, worst.Place == "whole" ? worst.What : $"{worst.What} at {worst.Place}", figures, places, null,
            [.. candidates.DistinctBy(c => c.Place).Select(c => new Deviation(c.Place, c.Mean))], [new WeightedPlace(first?.Place ?? worst.Place, 1)], survey, input.Characteristic.Hold, everyPlace: false);

        if (rework is not null && result.Verdict == Verdict.Rejected)
        {
            result = result with { Next = new NextAction(NextKind.Rework, rework(worst.Place), []) };
        }

        // Both limits of the requirement are shown, whichever decides.
        return input.Table is null && worst.Upward && input.Requirement.Lower is { } lower && candidates.Any(c => !c.Upward) ? result with { Lower = lower.Calculated }
            : input.Table is null && !worst.Upward && input.Requirement.Upper is { } upper && candidates.Any(c => c.Upward) ? result with { Upper = upper.Calculated }
            : result;
    }

    /// <summary>Register figures of a source for absolute values, σ divided by the passes planned.</summary>
    public static RegisterView View(EvaluationInput input, SurveySource source, double largest)
    {
        // Counts, times and what a plate states are read off: no register speaks of them.
        var view = source.Quantity is "count" or "time"
            ? new RegisterView(0, 2, 0, 0, RegisterView.Conditions(input, source))
            : RegisterView.Of(input, source, source.CountedPasses, "absolute", source.Quantity == "length" ? largest / 1000 : 0);
        return view with { Sigma = view.Sigma / Math.Sqrt(source.PassesPlanned) };
    }
}
