using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Evaluating;

/// <summary>Verdict and next action, seen through the two calculations that decide on an extreme.</summary>
public sealed class DecisionTests
{
    private static readonly string[] References = [FlatnessEvaluator.LeastSquares, FlatnessEvaluator.MinimumZone];

    public static TheoryData<string, string> FlatnessCases()
    {
        var data = new TheoryData<string, string>();
        foreach (var row in TestFile.Rows("decisions.csv"))
        {
            foreach (var reference in References)
            {
                data.Add(row, reference);
            }
        }

        return data;
    }

    [Theory, MemberData(nameof(FlatnessCases))]
    public void Flatness_is_decided_as_the_table_says(string row, string reference)
    {
        var c = Case.Of(row);
        var instrument = Make.Instrument("small difference", c.U, random: 0.000001, common: 0);
        var first = Evaluate(instrument, c, reference);
        var result = first;
        if (c.Again is { } again)
        {
            Assert.Equal(NextKind.MeasureContactsAgain, first.Next.Kind);
            var places = first.Next.Places;
            // Heights that give c·b = again: the sign of each weight times half of it.
            result = Evaluate(instrument, c, reference, Make.Again(2, 2, instrument, "100-01", places.Select(p => (p, Math.Sign(p.Weight) * again / 2))));
            Assert.Equal(again, result.AgainMean!.Value, 1e-9);
        }

        Assert.True((c.Verdict, c.Next) == (result.Verdict, result.Next.Kind), $"{row}, {reference}: {result.Verdict}, {result.Next.Kind}. {TestFile.Origin("decisions.csv")}");
        Assert.Equal(c.Value, result.Value!.Value, 1e-9);
        Assert.Equal((c.U, 2.0, c.Limit), (result.ExpandedUncertainty!.Value, result.K!.Value, result.Upper!.Value));

        static EvaluationResult Evaluate(RegisterEntry instrument, Case c, string reference, params Run[] again) => Evaluators.Evaluate(Make.Flatness(
            c.Limit, c.Rule, reference, Make.Corners, 1, null, false,
            [Make.Run(1, 1, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(c.Value))), .. again])).Result;
    }

    [Theory, MemberData(nameof(LeastCases))]
    public void The_least_value_is_decided_as_the_table_says(string row)
    {
        var c = Case.Of(row);
        var instrument = Make.Instrument("absolute", c.U, random: 0.000001, common: 0);
        ImmutableArray<(string, double)> values = [("C1", c.Value + 300), ("C2", c.Value), ("C3", c.Value + 5), ("C4", c.Value + 60)];
        var result = Evaluators.Evaluate(Make.Least(c.Limit, c.Rule, Make.Corners, Make.Run(1, 1, instrument, values))).Result;
        if (c.Again is { } again)
        {
            Assert.Equal([new WeightedPlace("C2", 1)], result.Next.Places);
            result = Evaluators.Evaluate(Make.Least(
                c.Limit, c.Rule, Make.Corners, Make.Run(1, 1, instrument, values), Make.Again(2, 2, instrument, "100-09", [(result.Next.Places[0], again)]))).Result;
        }

        Assert.True((c.Verdict, c.Next) == (result.Verdict, result.Next.Kind), $"{row}: {result.Verdict}, {result.Next.Kind}. {TestFile.Origin("least-values.csv")}");
        Assert.Equal((c.Value, c.Limit, (double?)null), (result.Value!.Value, result.Lower!.Value, result.Upper));
        Assert.Equal("C2", result.Contacts.Single().Place);
    }

    public static TheoryData<string> LeastCases() => new(TestFile.Rows("least-values.csv"));

    [Fact]
    public void The_reach_widens_the_band_where_noise_is_more_than_the_rule_asks_for()
    {
        // U 6 µm, all of it random: sigma of a place 6 / 2 / √2 = 2.12 µm. Pure noise on four corners has one residual shape, ±e/4 by sign: the
        // difference of two residuals is (e1 − e2 − e3 + e4) / 2 with standard deviation sigma, so the reach above is 1.6449 sigma = 3.489 µm.
        var instrument = Make.Instrument("small difference", 6, random: 6, common: 0);
        var simple = Corner(30, DecisionRule.OneSided95, instrument, 20);
        Assert.Equal(1.6449 * 6 / 2 / Math.Sqrt(2), simple.ReachAbove!.Value, 1e-3);
        Assert.Equal(1.6449 * 3, simple.AcceptBand!.Value, 1e-3);

        // The same noise under a larger common part: the reach is now the wider one.
        var common = Corner(30, DecisionRule.OneSided95, Make.Instrument("small difference", 6, random: 6, common: 4), 20);
        Assert.Equal((1.6449 * 6 / 2 / Math.Sqrt(2)) + 4, common.AcceptBand!.Value, 1e-3);
        Assert.Equal(common.ReachAbove, common.AcceptBand);
    }

    [Fact]
    public void Two_planned_passes_narrow_the_reach_and_a_third_does_not()
    {
        var instrument = Make.Instrument("small difference", 6, random: 6, common: 0);
        EvaluationResult Passes(int planned, int done) => Evaluators.Evaluate(Make.Flatness(
            30, DecisionRule.Guarded, FlatnessEvaluator.LeastSquares, Make.Corners, planned, null, false,
            Enumerable.Range(1, done).Select(i => Make.Run(i, i, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(20)))))).Result;
        Assert.Equal(Passes(1, 1).ReachAbove!.Value / Math.Sqrt(2), Passes(2, 2).ReachAbove!.Value, 1e-3);
        Assert.Equal(Passes(2, 2).ReachAbove, Passes(2, 3).ReachAbove);
        Assert.Equal(Passes(1, 1).ReachBelow, Passes(1, 3).ReachBelow);
        Assert.Equal(ResultState.Incomplete, Passes(2, 1).State);
        Assert.Null(Passes(2, 1).Verdict);
    }

    [Fact]
    public void Passes_are_averaged_place_by_place()
    {
        var instrument = Make.Instrument("small difference", 2);
        var result = Evaluators.Evaluate(Make.Flatness(
            30, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, Make.Corners, 1, null, false,
            Make.Run(1, 1, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(10))), Make.Run(2, 2, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(16))))).Result;
        Assert.Equal(13, result.Value!.Value, 1e-9);
    }

    [Fact]
    public void A_discarded_run_and_a_superseded_reading_do_not_count()
    {
        var instrument = Make.Instrument("small difference", 2);
        var wrong = Make.Run(1, 1, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(1000))) with { Discarded = new Discarded("ina", Make.Noon, "door") };
        var run = Make.Run(2, 2, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(10)));
        run = run with { Readings = [.. run.Readings.Select(r => r.Place.From == "C2" ? r with { Value = r.Value with { Nanometres = 900_000 } } : r), Make.Reading(990, "C2", -5, supersedes: 201)] };
        var result = Evaluators.Evaluate(Make.Flatness(30, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, Make.Corners, 1, null, false, wrong, run)).Result;
        Assert.Equal(10, result.Value!.Value, 1e-9);
    }

    [Fact]
    public void Every_station_is_measured_again_where_the_contacts_of_the_zone_promise_less_than_the_least_squares_plane()
    {
        // constructed-minimum-zone-3x3.json, triangle: 44/3 = 14.667 by least squares, 14 as minimum zone; limit between them.
        double[] heights = [-4, 2, -6, 1, 9, 3, 0, -5, 1];
        ImmutableArray<Station> grid = [.. Enumerable.Range(0, 9).Select(i => new Station($"P{i + 1}", i % 3 * 200, i / 3 * 200))];
        var instrument = Make.Instrument("small difference", 1, random: 0.000001, common: 0);
        var first = Make.Run(1, 1, instrument, grid.Select(s => s.Id).Zip(heights));
        EvaluationResult With(string reference, double limit, params Run[] again) =>
            Evaluators.Evaluate(Make.Flatness(limit, DecisionRule.Guarded, reference, grid, 1, null, false, [first, .. again])).Result;

        var asked = With(FlatnessEvaluator.LeastSquares, 14.2);
        Assert.Equal((Verdict.NotProven, NextKind.MeasureAllAgain, 9), (asked.Verdict!.Value, asked.Next.Kind, asked.Next.Places.Length));
        Assert.Equal(0, asked.Next.Places.Sum(p => p.Weight), 1e-9);
        Assert.Equal(44.0 / 3, asked.Next.Places.Zip(heights).Sum(p => p.First.Weight * p.Second), 1e-9);
        Assert.Equal(NextKind.AddPass, With(FlatnessEvaluator.MinimumZone, 14.2).Next.Kind);

        // Contacts beyond the limit by 0.1, a tenth of the band, would prove nothing.
        Assert.Equal(NextKind.MeasureAllAgain, With(FlatnessEvaluator.LeastSquares, 13.9).Next.Kind);

        // Measured again 10 % larger: 16.13 µm, beyond 14.2 + 1.
        var proved = With(FlatnessEvaluator.LeastSquares, 14.2, Make.Again(2, 2, instrument, "100-01", asked.Next.Places.Zip(heights.Select(h => 1.1 * h))));
        Assert.Equal((Verdict.Rejected, NextKind.Rework), (proved.Verdict!.Value, proved.Next.Kind));
    }

    [Fact]
    public void The_mean_over_all_repeats_decides_and_a_proof_stands_whatever_later_passes_say()
    {
        var instrument = Make.Instrument("small difference", 6, random: 0.000001, common: 0);
        Run Pass(long id, double value) => Make.Run(id, (int)id, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(value)));
        EvaluationResult With(params Run[] runs) => Evaluators.Evaluate(Make.Flatness(30, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, Make.Corners, 1, null, false, runs)).Result;
        var places = With(Pass(1, 33)).Next.Places;
        Run Again(long id, double value) => Make.Again(id, (int)id, instrument, "100-01", places.Select(p => (p, Math.Sign(p.Weight) * value / 2)));

        var mixed = With(Pass(1, 33), Again(2, 40), Again(3, 31));
        Assert.Equal((35.5, Verdict.NotProven), (Math.Round(mixed.AgainMean!.Value, 9), mixed.Verdict!.Value));
        Assert.Equal([(2L, 2), (3L, 3)], mixed.Again.Select(a => (a.Run, a.RunNo)));
        Assert.Equal(Verdict.Rejected, With(Pass(1, 33), Again(2, 40), Again(3, 33)).Verdict);

        // A later pass far inside the limit: the mean falls to 18, the proof stands.
        var later = With(Pass(1, 33), Again(2, 40), Pass(3, 3));
        Assert.Equal((18.0, Verdict.Rejected), (Math.Round(later.Value!.Value, 9), later.Verdict!.Value));

        // A repeat that belongs to another line does not count here.
        Assert.Empty(With(Pass(1, 33), Again(2, 40) with { Proves = "100-09" }).Again);
    }

    [Fact]
    public void The_first_repeat_proves_what_is_far_beyond_and_the_mean_of_two_what_is_nearer()
    {
        // U 6 µm, all of it random: σ of a place 6 / 2 / √2 = 2.1213 µm. Four contacts of a half each: |c| = 1. First look 30 + 2.79590 σ = 35.931 µm; the mean of
        // two 30 + 1.39795 σ = 32.966 µm, but the rule asks for 1.6449 · 3 = 4.935 µm.
        var instrument = Make.Instrument("small difference", 6, random: 6, common: 0);
        Run Pass(double value) => Make.Run(1, 1, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(value)));
        EvaluationResult With(params Run[] runs) => Evaluators.Evaluate(Make.Flatness(30, DecisionRule.OneSided95, FlatnessEvaluator.MinimumZone, Make.Corners, 1, null, false, runs)).Result;
        var asked = With(Pass(34)).Next;
        Run Again(long id, double value) => Make.Again(id, (int)id, instrument, "100-01", asked.Places.Select(p => (p, Math.Sign(p.Weight) * value / 2)));
        Assert.EndsWith("Above 35.9 µm proves a rejection, or the mean with a second time above 34.9 µm.", asked.Sentence, StringComparison.Ordinal);

        var once = With(Pass(34), Again(2, 35.5));
        Assert.Equal((Verdict.NotProven, NextKind.MeasureContactsAgain), (once.Verdict!.Value, once.Next.Kind));
        Assert.Equal(2.79590 * 6 / 2 / Math.Sqrt(2), once.RejectBandAgain!.Value, 1e-4);
        Assert.EndsWith("Together with what was measured again before, above 34.9 µm in the mean proves a rejection.", once.Next.Sentence, StringComparison.Ordinal);

        var twice = With(Pass(34), Again(2, 35.5), Again(3, 34.5));
        Assert.Equal((Verdict.Rejected, 35.0), (twice.Verdict!.Value, Math.Round(twice.AgainMean!.Value, 9)));
        Assert.Equal(1.6449 * 3, twice.RejectBandAgain!.Value, 1e-9);
        Assert.Equal(Verdict.Rejected, With(Pass(34), Again(2, 36)).Verdict);
    }

    [Theory]
    [InlineData("2026-03-01", false)]
    [InlineData("2026-03-02", true)]
    public void An_instrument_that_expired_before_the_measurement_proves_nothing(string validTo, bool proves)
    {
        var result = Corner(30, DecisionRule.Guarded, Make.Instrument("small difference", 2, validTo: validTo), 10);
        Assert.Equal(proves ? (Verdict.Accepted, NextKind.Release) : (Verdict.NotProven, NextKind.MendConditions), (result.Verdict!.Value, result.Next.Kind));
        Assert.Equal(10, result.Value!.Value, 1e-9);

        // Nor does it reject.
        Assert.Equal(proves ? Verdict.Rejected : Verdict.NotProven, Corner(30, DecisionRule.Guarded, Make.Instrument("small difference", 2, validTo: validTo), 300).Verdict);
    }

    [Fact]
    public void Without_an_instrument_or_a_figure_for_the_use_nothing_is_proved()
    {
        Assert.Equal(["run 1 names no instrument for height"], Corner(30, DecisionRule.Guarded, null, 10).Because.Take(1));
        Assert.Equal(["the register has no uncertainty of HGT-1 for 'small difference' over 1 m"], Corner(30, DecisionRule.Guarded, Make.Instrument("absolute", 2), 10).Because.Take(1));
        Assert.Equal(NextKind.MendConditions, Corner(30, DecisionRule.Guarded, Make.Instrument("absolute", 2), 10).Next.Kind);
    }

    [Fact]
    public void A_check_before_use_that_was_not_in_order_proves_nothing()
    {
        var run = Make.GoodPass(1) with { Checks = [new UseCheck("HGT-1", "drift 20 µm", false)] };
        var result = Evaluators.Evaluate(Make.Flatness(30, DecisionRule.Guarded, FlatnessEvaluator.LeastSquares, Make.Corners, 1, null, false, run)).Result;
        Assert.Equal((Verdict.NotProven, "check before use of HGT-1 was not in order: drift 20 µm"), (result.Verdict!.Value, result.Because[0]));
    }

    /// <summary>Class B allows 0.48 K top to bottom (trade notes, figures of the demo plant).</summary>
    [Theory]
    [InlineData("20.48", "20.00", true)]
    [InlineData("20.49", "20.00", false)]
    [InlineData("20.00", "20.49", false)]
    [InlineData(null, null, false)]
    public void A_gradient_beyond_the_allowed_one_or_none_recorded_proves_nothing(string? top, string? bottom, bool proves)
    {
        decimal D(string text) => decimal.Parse(text, CultureInfo.InvariantCulture);
        var run = Make.GoodPass(1) with { Conditions = top is null ? null : new Conditions(20, [20, D(top)], [20, D(bottom!)], null) };
        var result = Evaluators.Evaluate(Make.Flatness(30, DecisionRule.Guarded, FlatnessEvaluator.LeastSquares, Make.Corners, 1, new Amount(0.48m, "K"), true, run)).Result;
        Assert.Equal(proves ? Verdict.Accepted : Verdict.NotProven, result.Verdict);
        Assert.Equal(proves, result.Next.Kind == NextKind.Release);
    }

    [Fact]
    public void Three_stations_give_no_verdict()
    {
        var three = Make.Corners[..3];
        var result = Evaluators.Evaluate(Make.Flatness(
            30, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, three, 1, null, false,
            Make.Run(1, 1, Make.Instrument("small difference", 2), [("C1", 0), ("C2", 50), ("C3", -90)]))).Result;
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
        Assert.Null(result.Margin);
    }

    [Fact]
    public void Stations_on_one_line_give_no_verdict()
    {
        ImmutableArray<Station> line = [.. Enumerable.Range(0, 6).Select(i => new Station($"L{i}", i * 100, i * 50))];
        var result = Evaluators.Evaluate(Make.Flatness(
            30, DecisionRule.Guarded, FlatnessEvaluator.LeastSquares, line, 1, null, false,
            Make.Run(1, 1, Make.Instrument("small difference", 2), line.Select((s, i) => (s.Id, i % 2 * 5.0))))).Result;
        Assert.Equal((ResultState.Incomplete, (Verdict?)null), (result.State, result.Verdict));
        Assert.NotEmpty(result.Because[0]);
    }

    [Fact]
    public void A_missing_station_is_named_and_gives_no_verdict()
    {
        var result = Evaluators.Evaluate(Make.Flatness(
            30, DecisionRule.Guarded, FlatnessEvaluator.LeastSquares, Make.Corners, 1, null, false,
            Make.Run(1, 1, Make.Instrument("small difference", 2), [("C1", 1), ("C3", 2), ("C4", 3)]))).Result;
        Assert.Equal((ResultState.Incomplete, (Verdict?)null, NextKind.Record), (result.State, result.Verdict, result.Next.Kind));
        Assert.Equal(["C2"], result.Next.Places.Select(p => p.Place));
        Assert.Equal("1 of 4 stations have no reading (C2)", result.Because[0]);
    }

    [Fact]
    public void Without_any_reading_it_is_not_measured()
    {
        var input = Make.Flatness(30, DecisionRule.Guarded, FlatnessEvaluator.LeastSquares, Make.Corners, 1, null, false);
        Assert.Equal(ResultState.NotMeasured, Evaluators.Evaluate(input).Result.State);
        Assert.Equal(ResultState.NotMeasured, Evaluators.Evaluate(Make.Least(16000, DecisionRule.Guarded, Make.Corners)).Result.State);
    }

    [Fact]
    public void The_same_input_gives_the_same_text_and_reads_back()
    {
        var input = Make.Flatness(30, DecisionRule.Guarded, FlatnessEvaluator.MinimumZone, Make.Corners, 1, null, false, Make.GoodPass(1));
        var record = Evaluators.Evaluate(input);
        var text = Domain.Canonical.CanonicalJson.Of(record);
        Assert.Equal(text, Domain.Canonical.CanonicalJson.Of(Evaluators.Evaluate(Domain.Canonical.CanonicalJson.Read<EvaluationRecord>(text).Input)));
        Assert.Equal(record.Hash, Domain.Canonical.CanonicalJson.Read<EvaluationRecord>(text).Hash);
        Assert.Equal("6", record.Input.Engine);
    }

    [Fact]
    public void Which_run_was_shown_and_other_columns_do_not_touch_the_input()
    {
        var machine = Make.Machine(Make.Measurement(1, 1, Make.GoodPass(2)));
        var run = machine.Measurements[0].Runs[0];
        var shown = machine with
        {
            Measurements = [machine.Measurements[0] with { Runs = [run with { Shown = Make.Noon, Readings = [.. run.Readings, Make.Reading(998, "C1", 7, column: "other")] }] }],
        };
        Assert.Equal(EvaluationInputs.For(machine, machine.Agreed().Single()).Hash, EvaluationInputs.For(shown, shown.Agreed().Single()).Hash);
    }

    private static EvaluationResult Corner(double limit, DecisionRule rule, RegisterEntry? instrument, double value) => Evaluators.Evaluate(Make.Flatness(
        limit, rule, FlatnessEvaluator.LeastSquares, Make.Corners, 1, null, false, Make.Run(1, 1, instrument, Make.Corners.Select(s => s.Id).Zip(Make.Saddle(value))))).Result;

    private sealed record Case(double Limit, double U, DecisionRule Rule, double Value, double? Again, Verdict Verdict, NextKind Next)
    {
        public static Case Of(string row)
        {
            var cells = row.Split(',');
            double D(string text) => double.Parse(text, CultureInfo.InvariantCulture);
            return new Case(
                D(cells[0]), D(cells[1]), Enum.Parse<DecisionRule>(cells[2], ignoreCase: true), D(cells[3]), cells[4].Length == 0 ? null : D(cells[4]),
                Enum.Parse<Verdict>(cells[5], ignoreCase: true), Enum.Parse<NextKind>(cells[6], ignoreCase: true));
        }
    }
}
