using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.CheckHistory;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Tests.Support;

namespace BuildTrack.Records.Tests.CheckHistory;

/// <summary>What the spread of a check over the machines tells. The formulas of risk: JCGM 106:2012, 9.4 and 9.5, here integrated once more in small steps.</summary>
public sealed class CheckSpreadTests
{
    private static readonly Requirement AtMost20 = new(new Amount(20, "µm"), null, null, null, DecisionRule.Guarded, "company standard", "T", null);

    private static CheckedMachine Machine(int i, double share, string model = "M", double? u = 0.05, double? accept = 0.9) =>
        new($"S-{i}", model, "A", new Instant(i), 20 * share, 20, "µm", AtMost20, Verdict.Accepted, share, "accepted", u, accept);

    /// <summary>Eleven results in even steps about 0.7 of the limit.</summary>
    private static ImmutableArray<CheckedMachine> Eleven { get; } = [.. Enumerable.Range(0, 11).Select(i => Machine(i, 0.7 + (0.06 * (i - 5))))];

    [Fact]
    public void Risks_are_those_of_the_machines_behind_the_results_at_the_line_of_acceptance()
    {
        var line = CheckSpread.Risks(Eleven).Single();
        // Σ(0.06 k)² for k −5 … 5 is 0.0036·110; over 10 and less u² = 0.0025.
        var sigma = Math.Sqrt((0.0036 * 110 / 10) - 0.0025);
        Assert.Equal(("M", 11), (line.Of, line.Count));
        Assert.Equal((0.7, 0.05, 0.9), (Math.Round(line.Mean!.Value, 12), Math.Round(line.StandardUncertainty!.Value, 12), line.AcceptUpTo!.Value));
        Assert.Equal(sigma, line.ProcessSigma!.Value, 1e-12);
        var (consumer, producer) = Twin(0.7, sigma, 0.05, 1, 0.9);
        Assert.Equal(consumer, line.Risk!.ConsumerRisk, 1e-5);
        Assert.Equal(producer, line.Risk.ProducerRisk, 1e-5);
        Assert.InRange(producer, 0.05, 0.2);
    }

    /// <summary>Rectangles over the true value, and the normal distribution by its own sum: slow, and of no other code.</summary>
    private static (double Consumer, double Producer) Twin(double mean, double sigma, double u, double limit, double accept)
    {
        const int steps = 1000;
        static double Density(double x) => Math.Exp(-x * x / 2) / Math.Sqrt(2 * Math.PI);
        static double Below(double z)
        {
            const int pieces = 1500;
            double end = Math.Clamp(z, -8, 8), step = (end + 8) / pieces, sum = 0;
            for (var i = 0; i < pieces; i++)
            {
                sum += Density(-8 + ((i + 0.5) * step)) * step;
            }

            return sum;
        }

        // Each side of the limit by itself: a rectangle across it would belong to both.
        double Over(double from, double to, Func<double, double> part)
        {
            double width = (to - from) / steps, sum = 0;
            for (var i = 0; i < steps; i++)
            {
                var truth = from + ((i + 0.5) * width);
                sum += Density((truth - mean) / sigma) / sigma * part(Below((accept - truth) / u)) * width;
            }

            return sum;
        }

        var consumer = Over(limit, mean + (8 * sigma), accepted => accepted);
        var producer = Over(mean - (8 * sigma), limit, accepted => 1 - accepted);
        return (consumer, producer);
    }

    [Fact]
    public void Too_few_results_none_with_U_and_a_spread_that_is_all_measuring_give_no_risk_and_say_so()
    {
        Assert.Equal("9 results, it needs 10", CheckSpread.Risks([.. Eleven.Take(9)]).Single().WhyNot);
        Assert.Equal("not every result is a share of an upper limit with its U", CheckSpread.Risks([.. Eleven, Machine(12, 0.7, u: null)]).Single().WhyNot);
        Assert.Contains("no more than their u of 50 %", CheckSpread.Risks([.. Eleven.Select(m => m with { ShareU = 0.5 })]).Single().WhyNot, StringComparison.Ordinal);
        Assert.Equal("the results have no uncertainty", CheckSpread.Risks([.. Eleven.Select(m => m with { ShareU = 0 })]).Single().WhyNot);
        Assert.Contains("too far apart", CheckSpread.Risks([.. Eleven.Select(m => m with { ShareU = 1e-9 })]).Single().WhyNot, StringComparison.Ordinal);
    }

    [Fact]
    public void Each_model_is_judged_by_itself_and_all_together()
    {
        var lines = CheckSpread.Risks([.. Eleven, .. Enumerable.Range(20, 3).Select(i => Machine(i, 0.5, "N"))]);
        Assert.Equal([("M", 11, true), ("N", 3, false), (null, 14, true)], lines.Select(l => (l.Of, l.Count, l.Risk is not null)));
    }

    [Fact]
    public void Capability_asks_for_enough_results_that_are_stable()
    {
        double[] steady = [.. Enumerable.Range(0, 20).Select(i => 0.5 + (0.05 * ((i * 7 % 5) - 2)))];
        Assert.Null(CheckSpread.WhyNotCapability(20, IndividualsChart.Of(steady)));
        Assert.Equal("there are 19 results, it needs 20", CheckSpread.WhyNotCapability(19, IndividualsChart.Of(steady[..19])));
        Assert.StartsWith("the chart is not stable", CheckSpread.WhyNotCapability(21, IndividualsChart.Of([.. steady, 3])), StringComparison.Ordinal);
        Assert.StartsWith("it needs results", CheckSpread.WhyNotCapability(0, null), StringComparison.Ordinal);
        Assert.Contains("all equal", CheckSpread.WhyNotCapability(20, IndividualsChart.Of([.. Enumerable.Repeat(0.5, 20)])), StringComparison.Ordinal);
    }

    /// <summary>Changes 1, 2, 3 µm: mean 2, s 1, t of 2 degrees 4.302653 (table of Student's t), half width 4.302653/√3.</summary>
    [Theory, OnBoth]
    public async Task Before_and_after_are_those_of_the_latest_comparison_of_each_machine(Database on)
    {
        await using var plant = await TestPlant.Make(on);
        await using (var db = plant.Get<Store>().Open())
        {
            var id = 90_000L;
            foreach (var (serial, before, after) in new[] { ("B-1", 10.0, 30.0), ("B-1", 10, 11), ("B-2", 8, 10), ("B-3", 9, 12) })
            {
                var record = Evaluators.Evaluate(Comparison(serial, before, after));
                db.Evaluations.Add(new EvaluationRow { Id = ++id, Serial = serial, Line = "120-21", Hash = record.Hash, Text = CanonicalJson.Of(record), AtUs = id, State = (int)record.Result.State, Verdict = (int?)record.Result.Verdict });
            }

            await db.SaveChangesAsync();
        }

        var of = await plant.Get<ChangeHistoryReader>().Of("120-21", default);
        Assert.Equal([("B-1", 10.0, 11.0, 1.0), ("B-2", 8, 10, 2), ("B-3", 9, 12, 3)], of.Machines.Select(m => (m.Serial, m.Before, m.After, m.Change)));
        Assert.Equal((2.0, 1.0, "µm", "100-01", "120-01"), (of.Mean!.Value, of.Spread!.Value, of.Unit, of.BeforeLine, of.AfterLine));
        Assert.Equal(4.302653 / Math.Sqrt(3), of.MeanU!.Value, 1e-5);
        Assert.False(of.Moves);
        await plant.Accepted("B-4");
        await Assert.ThrowsAsync<NotFoundException>(() => plant.Get<ChangeHistoryReader>().Of("100-02", default));
        await Assert.ThrowsAsync<NotFoundException>(() => plant.Get<ChangeHistoryReader>().Of("999-99", default));
    }

    private static EvaluationInput Comparison(string serial, double before, double after)
    {
        static Source Of(string line, double value) => new(null, new ResultSource(line, new string('0', 64), value, "µm", 1, 1), null);
        var from = ImmutableSortedDictionary<string, SourceRef>.Empty.Add("before", new SourceRef(null, null, "a", null)).Add("now", new SourceRef(null, null, "b", null));
        return new EvaluationInput(
            Evaluators.Engine, serial, "M", new Characteristic("change", "120-21", "H2", "Change of the flatness", Domain.Evaluating.Values.ChangeEvaluator.Name, from, null, "change"), null,
            AtMost20, null, null, ImmutableSortedDictionary<string, Source>.Empty.Add("before", Of("100-01", before)).Add("now", Of("120-01", after)));
    }
}
