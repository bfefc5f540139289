using System.Collections.Immutable;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Uncertainty;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Records.CheckHistory;

/// <summary>Risks of wrong decisions about a check (JCGM 106:2012, clause 9), from the first results so far. All as shares of the limit, dimensionless.</summary>
/// <param name="Of">The model; null: all models together, each by its own limit.</param>
/// <param name="Count">How many first results.</param>
/// <param name="WhyNot">Why nothing is calculated; null where it is.</param>
/// <param name="Mean">Mean of the results.</param>
/// <param name="ProcessSigma">Standard deviation of the true values: that of the results less what measuring adds.</param>
/// <param name="StandardUncertainty">u of a result: root mean square over the machines.</param>
/// <param name="AcceptUpTo">Up to which result a machine is accepted: the median over the machines.</param>
/// <param name="Risk">Consumer's risk: not conforming and accepted. Producer's risk: conforming and not accepted.</param>
public sealed record RiskLine(string? Of, int Count, string? WhyNot, double? Mean, double? ProcessSigma, double? StandardUncertainty, double? AcceptUpTo, GlobalRisk? Risk);

/// <summary>What the spread of a check over the machines tells, and when it tells nothing.</summary>
/// <remarks>Method: docs/method/statistics.md and docs/method/uncertainty.md.</remarks>
public static class CheckSpread
{
    /// <summary>From how many results on an index of capability is given (common practice: limits of fewer are provisional).</summary>
    public const int FewestForCapability = 20;

    /// <summary>From how many results on their spread stands for a production: s is then known to about a quarter (common practice).</summary>
    public const int FewestForRisk = 10;

    /// <summary>Why the results give no index of capability; null where they do.</summary>
    /// <param name="chart">Their individuals chart; null without one.</param>
    public static string? WhyNotCapability(int count, IndividualsChartResult? chart) =>
        chart is null || count < 2 ? "it needs results that are shares of an upper limit"
        : chart.DefectSentence is { } defect ? defect
        : count < FewestForCapability ? FormattableString.Invariant($"there are {count} results, it needs {FewestForCapability}")
        : chart.Signals.Length + chart.MovingRangeSignals.Length is var noticed and > 0
            ? FormattableString.Invariant($"the chart is not stable: {noticed} {(noticed == 1 ? "place is" : "places are")} noticed in it, find their causes first")
        : null;

    /// <summary>Risks for each model that has results, and for all together.</summary>
    public static ImmutableArray<RiskLine> Risks(IReadOnlyCollection<CheckedMachine> machines)
    {
        ArgumentNullException.ThrowIfNull(machines);
        var models = machines.GroupBy(m => m.Model).OrderBy(g => g.Key, StringComparer.Ordinal).ToList();
        return [.. models.Count > 1 ? models.Select(g => Risk(g.Key, [.. g])) : [], Risk(models.Count == 1 ? models[0].Key : null, machines)];
    }

    private static RiskLine Risk(string? of, IReadOnlyCollection<CheckedMachine> machines)
    {
        var known = machines.Where(m => m is { Share: not null, ShareU: not null, AcceptShare: not null }).ToList();
        RiskLine No(string why) => new(of, machines.Count, why, null, null, null, null, null);
        if (known.Count < machines.Count)
        {
            return No("not every result is a share of an upper limit with its U");
        }

        if (known.Count < FewestForRisk)
        {
            return No(FormattableString.Invariant($"{known.Count} {(known.Count == 1 ? "result" : "results")}, it needs {FewestForRisk}"));
        }

        var mean = known.Average(m => m.Share!.Value);
        var variance = known.Sum(m => (m.Share!.Value - mean) * (m.Share.Value - mean)) / (known.Count - 1);
        var u = Math.Sqrt(known.Average(m => m.ShareU!.Value * m.ShareU.Value));
        if (u <= 0)
        {
            return No("the results have no uncertainty");
        }

        // What is found is what is there and what measuring adds, independent of each other: variances add.
        if (variance <= u * u)
        {
            return No(FormattableString.Invariant($"the results spread by {100 * Math.Sqrt(variance):0.#} % of the limit, no more than their u of {100 * u:0.#} %: how the machines themselves differ cannot be told"));
        }

        double sigma = Math.Sqrt(variance - (u * u)), accept = Median([.. known.Select(m => m.AcceptShare!.Value)]);
        if (u / sigma is not (>= 1 / ConformityRisk.LargestRatio and <= ConformityRisk.LargestRatio))
        {
            return No("u and the spread of the machines are too far apart to be set against each other");
        }

        return new RiskLine(of, known.Count, null, mean, sigma, u, accept, ConformityRisk.Global(mean, sigma, u, new Conformity.Limits(1, null), new Conformity.Limits(accept, null)));
    }

    private static double Median(List<double> values)
    {
        values.Sort();
        return values.Count % 2 == 1 ? values[values.Count / 2] : (values[(values.Count / 2) - 1] + values[values.Count / 2]) / 2;
    }
}
