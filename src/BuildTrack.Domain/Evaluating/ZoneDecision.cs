using System.Collections.Immutable;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>The verdict on the extreme of many readings: a zone against an upper limit, a least value against a lower one.</summary>
/// <remarks>
/// Such values are pushed outward by noise, so accepting and rejecting need different bands (docs/method/verdict.md): accept by the reach of one
/// measurement, reject by one measurement alone only far beyond the limit, or by the deciding places measured again.
/// </remarks>
/// <param name="ReachAccept">Reach that acceptance must leave to the limit.</param>
/// <param name="ReachAlone">Reach by which one measurement alone must pass the limit to prove a rejection.</param>
/// <param name="ReachesAgain">The same for the deciding places measured again: once, and for the mean of two; one figure where it is the same for both.</param>
/// <param name="Upward">True for an upper limit.</param>
/// <param name="NoAgain">Why measuring the deciding places again could not prove a rejection; null where it can.</param>
/// <param name="ByFurtherPass">The deciding places are tested by every further pass, not by a run of their own.</param>
/// <param name="NotProved">Why the value itself is not proved; no verdict rests on it then.</param>
internal sealed record ZoneDecision(
    double Value, double Limit, DecisionRule Rule, RegisterView View, double ReachAccept, double ReachAlone, ImmutableArray<double> ReachesAgain,
    ImmutableArray<AgainValue> Again, bool Upward, string? NotProved, string? NoAgain = null, bool ByFurtherPass = false)
{
    public EvaluationResult Result(
        string unit, string what, ImmutableArray<Figure> figures, ImmutableArray<WeightedPlace> contacts, bool? zoneProved,
        ImmutableArray<Deviation> deviations, ImmutableArray<WeightedPlace> proof, string survey, string hold, bool everyPlace)
    {
        var ruleBand = Conformity.RuleBand(Rule, View.Expanded, View.K, View.Degrees);
        double AfterRuns(int runs) => Math.Max(ruleBand, ReachesAgain[Math.Clamp(runs, 1, ReachesAgain.Length) - 1]);
        var (accept, alone, again) = (Math.Max(ruleBand, ReachAccept), Math.Max(ruleBand, ReachAlone), AfterRuns(Again.Length));
        double? mean = Again.Length == 0 ? null : Again.Average(a => a.Value);
        var (verdict, because) = Decide(what, unit, accept, alone, again, mean);
        var next = Next(verdict, unit, proof, survey, hold, everyPlace, accept, AfterRuns(Again.Length + 1), AfterRuns(Again.Length + 2));
        return new EvaluationResult(
            ResultState.Calculated, unit, Value, figures, View.Expanded, View.K, ReachAccept, ReachAlone, accept, alone, again,
            Upward ? Limit : null, Upward ? null : Limit, verdict, [.. because, .. View.Anyway], contacts, zoneProved, deviations, Again, mean, next);
    }

    private bool Beyond(double value) => Upward ? value > Limit : value < Limit;

    private (Verdict Verdict, ImmutableArray<string> Because) Decide(string what, string unit, double accept, double alone, double again, double? mean)
    {
        var limits = Upward ? new Conformity.Limits(Limit, null) : new Conformity.Limits(null, Limit);
        var first = Conformity.Decide(Value, limits, accept, alone).Verdict;
        var line = Upward ? Limit - accept : Limit + accept;
        var sentence = first switch
        {
            Verdict.Accepted => $"{what} {Show(Value, unit)}, {Inside} the acceptance line {Show(line, unit)}: accepted",
            Verdict.Rejected => $"{what} {Show(Value, unit)}, {Outside} {Show(Past(alone), unit)}: rejected by this measurement alone",
            _ => Beyond(Value)
                ? $"{what} {Show(Value, unit)} is {Outside} the limit {Show(Limit, unit)}; one measurement alone proves it only {Outside} {Show(Past(alone), unit)}"
                : $"{what} {Show(Value, unit)} keeps within the limit {Show(Limit, unit)} but not within the acceptance line {Show(line, unit)}",
        };
        var because = ImmutableArray.CreateBuilder<string>();
        because.Add(sentence);
        var verdict = first;
        if (mean is { } m)
        {
            // A proof stands whatever further passes do to the mean.
            var proved = Conformity.Decide(m, limits, accept, again).Verdict == Verdict.Rejected;
            verdict = proved ? Verdict.Rejected : first;
            // Further passes are taken in any case: where they decide nothing, they are not what the result rests on.
            because.Insert(ByFurtherPass && !proved ? 1 : 0, $"the deciding places {(ByFurtherPass ? "of the first pass in the further ones" : "measured again")} give {Show(m, unit)}, {(proved ? Outside : "not " + Outside)} {Show(Past(again), unit)}: {(proved ? "rejected" : "no proof")}");
        }

        var against = View.Faults.ToList();
        if (NotProved is not null)
        {
            against.Add(NotProved);
        }

        if (Rule == DecisionRule.Simple && Conformity.SimpleRuleHasTooLargeUncertainty(View.Expanded, limits))
        {
            against.Add($"the simple rule needs U of at most a quarter of the limit; U is {Show(View.Expanded, unit)} of {Show(Limit, unit)}");
        }

        if (against.Count == 0)
        {
            return (verdict, because.ToImmutable());
        }

        return (Verdict.NotProven, [.. against, .. because]);
    }

    private NextAction Next(
        Verdict verdict, string unit, ImmutableArray<WeightedPlace> proof, string survey, string hold, bool everyPlace, double accept, double again, double afterwards)
    {
        var places = string.Join(", ", proof.Select(p => p.Place));

        // Two are planned: the first proves it where it is far beyond, else both.
        var proves = Again.Length > 0
            ? $"Together with what was measured again before, {Outside} {Show(Past(again), unit)} in the mean proves a rejection."
            : $"{Outside[..1].ToUpperInvariant()}{Outside[1..]} {Show(Past(again), unit)} proves a rejection{(afterwards < again ? $", or the mean with a second time {Outside} {Show(Past(afterwards), unit)}" : "")}.";
        if (View.Faults.Length > 0)
        {
            return new NextAction(NextKind.MendConditions, $"This measurement proves nothing: {View.Faults[0]}. Mend that, then add a pass after an inspector has set this run aside.", []);
        }

        return verdict switch
        {
            Verdict.Accepted => new NextAction(NextKind.Release, $"Ready for release at {hold}.", []),
            Verdict.Rejected => new NextAction(NextKind.Rework, "Proved outside the limit. Call the inspector: rework, repair or a concession; record the work, then measure anew.", []),
            _ when Beyond(Value) && NoAgain is not null => new NextAction(NextKind.MendConditions, $"Beyond the limit, but not proven: {NoAgain}.", []),
            _ when Beyond(Value) && ByFurtherPass => new NextAction(NextKind.AddPass,
                $"Beyond the limit, but not proven. Measure the whole survey {survey} once more: {Outside} {Show(Past(again), unit)} at the deciding places of the first pass ({places}), in the mean of the further passes, proves a rejection.", []),
            _ when Beyond(Value) && everyPlace => new NextAction(NextKind.MeasureAllAgain,
                $"Measure all {proof.Length} stations again, independently: the least-squares plane rests on all of them. Of their weighted sum: {proves[..1].ToLowerInvariant()}{proves[1..]}", proof),
            _ when Beyond(Value) => new NextAction(NextKind.MeasureContactsAgain,
                $"Measure {(proof.Length == 1 ? "this place" : "these places")} again: {places}. {proves}", proof),
            _ when ByFurtherPass && NoAgain is not null => new NextAction(NextKind.AddPass,
                $"Within the limit, but not proven: the band of {Show(accept, unit)} leaves {Show(Upward ? Limit - accept : Limit + accept, unit)}. Measure with a smaller uncertainty; else {NoAgain}.", []),
            _ => new NextAction(NextKind.AddPass,
                $"Within the limit, but not proven. Measure every station of survey {survey} again: the mean counts, the band of {Show(accept, unit)} stays; or plan more passes or a better instrument for the next measurement.", []),
        };
    }

    private string Inside => Upward ? "at or below" : "at or above";

    private string Outside => Upward ? "above" : "below";

    private double Past(double band) => Upward ? Limit + band : Limit - band;

    private static string Show(double value, string unit) => Shown.Text(value, unit);
}
