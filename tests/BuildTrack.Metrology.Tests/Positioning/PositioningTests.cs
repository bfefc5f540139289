using System.Text.Json;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Positioning;

public sealed class PositioningTests
{
    [Fact]
    public void The_published_axis_has_the_figures_of_the_definitions_also_where_the_report_slipped()
    {
        var file = ReferenceFile.Load("acc-iso230-2-slit-axis");
        var targets = Row(file.At("targets"));
        var readings = Readings(targets, Deviations("forward_positions"), Deviations("backward_positions"));
        var result = PositioningCalculation.Of(readings);
        Assert.Equal(PositioningDefect.None, result.Defect);

        // Positions are printed to 10 nm; their difference from the target keeps 10⁻⁹ µm.
        foreach (var (name, value) in Named(result.Figures!))
        {
            file.Reaches(file.Number("recomputed_um", name == "B" ? "B_axis" : name), value, "recomputed", name);
            var published = file.Number("report_axis_results_um", name.Replace("_up", "_fwd", StringComparison.Ordinal).Replace("_dn", "_bwd", StringComparison.Ordinal));

            // The report worked with more digits than it prints: positions to 10 nm.
            if (name is "R" or "E")
                Assert.True(value - published > 0.8, $"{name}: the report takes a figure of one direction; the definition gives more than {published}.");
            else
                Agreement.Near(published, value, 0.011, $"report, {name}");
        }

        for (var i = 0; i < targets.Length; i++)
        {
            var target = result.Targets[i];
            foreach (var (name, value) in new[]
            {
                ("mu", target.MeanForwardUm), ("md", target.MeanBackwardUm), ("mean", target.MeanUm), ("B", target.ReversalUm),
                ("su", target.StandardDeviationForwardUm), ("sd", target.StandardDeviationBackwardUm),
                ("Ru", target.RepeatabilityForwardUm), ("Rd", target.RepeatabilityBackwardUm), ("Ri", target.RepeatabilityUm),
            })
            {
                file.Reaches(file.At("recomputed_um", name)[i].GetDouble(), value!.Value, "recomputed", $"{name}[{i}]");
            }

            Agreement.Near(file.At("report_R_i_um")[i].GetDouble(), target.RepeatabilityUm!.Value, 0.011, $"report, R of target {i}");
        }

        // The deviation is written here as the difference of decimals: 15.00335 − 15 as doubles would already lose digits.
        double[][] Deviations(string name) => [.. file.At(name).EnumerateArray().Select((row, i) => row.EnumerateArray().Select(p => (double)(1000 * (p.GetDecimal() - (decimal)targets[i]))).ToArray())];
    }

    [Fact]
    public void The_worked_set_of_five_targets_comes_out_to_every_printed_digit()
    {
        var file = ReferenceFile.Load("positioning-five-targets");
        var result = PositioningCalculation.Of(Readings(Row(file.At("targets")), Rows(file.At("forward")), Rows(file.At("backward"))));
        foreach (var (name, value) in Named(result.Figures!))
            Assert.Equal(file.Number("printed", name), Math.Round(value, file.At("printed_decimals", name).GetInt32()));
        Assert.Equal(Row(file.At("printed", "B_i")), result.Targets.Select(t => Math.Round(t.ReversalUm!.Value, 1)));
        Assert.Contains(result.Remarks, r => r.Contains("beyond 2000 mm", StringComparison.Ordinal));
    }

    [Fact]
    public void One_run_each_way_leaves_reversal_and_systematic_deviation_and_says_why_not_the_rest()
    {
        var file = ReferenceFile.Load("positioning-five-targets");
        double[][] first = [.. Rows(file.At("forward")).Select(r => r[..1])], back = [.. Rows(file.At("backward")).Select(r => r[..1])];
        var result = PositioningCalculation.Of(Readings(Row(file.At("targets")), first, back));
        var figures = result.Figures!;
        Assert.Equal(1, result.Runs);

        foreach (var (name, value) in new[]
        {
            ("B", figures.ReversalUm), ("Bbar", figures.MeanReversalUm), ("E_up", figures.SystematicForwardUm),
            ("E_dn", figures.SystematicBackwardUm), ("E", figures.SystematicUm), ("M", figures.MeanRangeUm),
        })
        {
            Agreement.Near(file.Number("first_run_alone", name), value!.Value, 1e-12, name);
        }

        Assert.All(
            new[] { figures.RepeatabilityForwardUm, figures.RepeatabilityBackwardUm, figures.RepeatabilityUm, figures.AccuracyForwardUm, figures.AccuracyBackwardUm, figures.AccuracyUm },
            f => Assert.Null(f));
        Assert.All(result.Targets, t => Assert.True(t.StandardDeviationForwardUm is null && t.RepeatabilityUm is null && t.ReversalUm is not null));
        Assert.Contains("no repeatability and no accuracy", result.SpreadAbsentBecause, StringComparison.Ordinal);
        Assert.DoesNotContain(result.Remarks, r => r.Contains("run", StringComparison.Ordinal));
    }

    [Fact]
    public void One_direction_leaves_its_own_figures()
    {
        var file = ReferenceFile.Load("positioning-five-targets");
        var result = PositioningCalculation.Of(Readings(Row(file.At("targets")), Rows(file.At("forward")), []));
        var figures = result.Figures!;
        Assert.Equal(Approach.Backward, result.MissingApproach);
        Assert.Equal((16.8, 22.62), (Math.Round(figures.SystematicForwardUm!.Value, 9), Math.Round(figures.AccuracyForwardUm!.Value, 2)));
        Assert.True(figures is { ReversalUm: null, MeanReversalUm: null, SystematicBackwardUm: null, SystematicUm: null, MeanRangeUm: null, RepeatabilityUm: null, AccuracyBackwardUm: null, AccuracyUm: null });
    }

    [Theory]
    [InlineData("0 420 790 1230 1600 1990 2000 1111 555 99", 5, "")]
    [InlineData("0 500 1000 1500 2000", 5, "in each metre|evenly spaced")]
    [InlineData("0 510 1000 1490 2000", 5, "in each metre")]
    [InlineData("0 100 200 300", 5, "at least 5")]
    [InlineData("0 100 210 300 400", 3, "asks for 5 on travels")]
    [InlineData("0 1000 1990 3010 4000", 1, "about 250 mm")]
    [InlineData("0 260 510 740 1000 1260 1500 1740 2010 2250", 1, "")]
    [InlineData("0 260 510 740 1000 1260 1500 1740 2010 2250", 5, "except in a window agreed")]
    public void Layouts_that_are_not_those_of_the_standard_are_remarked(string positions, int runs, string expected)
    {
        double[] targets = [.. positions.Split(' ').Select(p => double.Parse(p, System.Globalization.CultureInfo.InvariantCulture))];
        double[][] rows = [.. targets.Select(_ => new double[runs])];
        var remarks = PositioningCalculation.Of(Readings(targets, rows, rows)).Remarks;
        var words = expected.Split('|', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(words.Length, remarks.Length);
        Assert.All(words.Zip(remarks), pair => Assert.Contains(pair.First, pair.Second, StringComparison.Ordinal));
        Assert.Equal("ISO 230-2:2014 with Amendment 1:2016", PositioningCalculation.Standard);
    }

    [Fact]
    public void Random_axes_agree_with_the_slow_twin_and_keep_their_invariants()
    {
        const ulong seed = 2301;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 200; trial++)
        {
            int count = 2 + source.NextInt(9), runs = 2 + source.NextInt(5);
            double[] targets = [.. Enumerable.Range(0, count).Select(i => (i * 250) + (50 * source.NextUniform()))];
            var (forward, backward) = (Random(10 * source.NextNormal()), Random(10 * source.NextNormal()));
            var readings = Readings(targets, forward, backward);
            var figures = Named(PositioningCalculation.Of(readings).Figures!);
            var twin = Twin(forward, backward);
            foreach (var (name, value) in figures)
                Agreement.Near(twin[name], value, 1e-10 * (1 + Math.Abs(twin[name])), $"seed {seed}, trial {trial}, {name}");

            // Order does not matter, not in the last bit.
            var order = Points.Shuffled(source, readings.Length);
            Assert.Equal(figures, Named(PositioningCalculation.Of([.. order.Select(i => readings[i])]).Figures!));

            // An offset changes nothing; a scale scales; the axis seen from its other end exchanges the directions and turns the sign of the reversal.
            Same(figures, Named(Of(r => r with { DeviationUm = r.DeviationUm + 12345.6 })), 1, 1e-8);
            Same(figures, Named(Of(r => r with { DeviationUm = 8 * r.DeviationUm })), 8, 1e-12);
            var mirrored = Of(r => new PositioningReading(-r.TargetMm, r.Run, r.Approach == Approach.Forward ? Approach.Backward : Approach.Forward, -r.DeviationUm));
            var turned = Named(mirrored).ToDictionary(p => p.Name, p => p.Value);
            foreach (var (name, value) in figures)
                Agreement.Near(value, turned[Other(name)], 1e-10 * (1 + Math.Abs(value)), $"seed {seed}, trial {trial}, mirrored {name}");
            Assert.True(Figure("R") >= Math.Max(Figure("R_up"), Figure("R_dn")) && Figure("E") >= Math.Max(Figure("E_up"), Figure("E_dn")) && Figure("A") >= Figure("E") && Figure("B") >= Math.Abs(Figure("Bbar")));

            double Figure(string name) => figures.First(f => f.Name == name).Value;
            PositioningFigures Of(Func<PositioningReading, PositioningReading> change) => PositioningCalculation.Of([.. readings.Select(change)]).Figures!;
            double[][] Random(double offset) => [.. targets.Select(_ => Enumerable.Range(0, runs).Select(_ => offset + (5 * source.NextNormal())).ToArray())];
        }
    }

    [Fact]
    public void A_large_common_offset_costs_no_digits_of_the_spread()
    {
        // NumAcc4 as deviations: 10⁷ with a spread of 0.1; the certified standard deviation keeps eight digits in doubles.
        var file = ReferenceFile.Load("nist-strd-numacc4");
        var values = Row(file.At("points"));
        var result = PositioningCalculation.Of(Readings([0, 100], [values, values], [values, values]));
        Assert.InRange(Agreement.Digits(0.1, result.Targets[0].StandardDeviationForwardUm!.Value), file.Digits("standard_deviation"), 16);
        Assert.Equal(10000000.2, result.Targets[1].MeanBackwardUm!.Value, 7);
    }

    [Theory]
    [InlineData("", PositioningDefect.TooFewTargets)]
    [InlineData("0 1 + 1; 0 1 - 2", PositioningDefect.TooFewTargets)]
    [InlineData("0 1 + 1; 0 1 + 2; 9 1 + 1", PositioningDefect.RepeatedReading)]
    [InlineData("0 1 + 1; 0 1 - 1; 9 1 + 1", PositioningDefect.MissingReading)]
    [InlineData("0 1 + 1; 0 2 + 1; 9 1 + 1", PositioningDefect.MissingReading)]
    [InlineData("0 1 + 1; 9 2 + 1", PositioningDefect.MissingReading)]
    [InlineData("0 1 + 1; 0 2 + 1; 0 1 - 1; 9 1 + 1; 9 2 + 1; 9 1 - 1", PositioningDefect.UnequalRuns)]
    public void Readings_that_leave_no_figures_are_a_named_defect(string text, PositioningDefect defect)
    {
        var readings = text.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(r => r.Split(' ')).Select(r => new PositioningReading(
            int.Parse(r[0], System.Globalization.CultureInfo.InvariantCulture), int.Parse(r[1], System.Globalization.CultureInfo.InvariantCulture),
            r[2] == "+" ? Approach.Forward : Approach.Backward, int.Parse(r[3], System.Globalization.CultureInfo.InvariantCulture)));
        var result = PositioningCalculation.Of([.. readings]);
        Assert.Equal(defect, result.Defect);
        Assert.NotNull(result.DefectSentence);
        Assert.True(result.Figures is null && result.Targets.IsEmpty);
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_at_the_door()
    {
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, 1e300 })
        {
            Assert.ThrowsAny<ArgumentException>(() => PositioningCalculation.Of([new(bad, 1, Approach.Forward, 0)]));
            Assert.ThrowsAny<ArgumentException>(() => PositioningCalculation.Of([new(0, 1, Approach.Forward, bad)]));
        }

        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningCalculation.Of([new(0, 0, Approach.Forward, 0)]));
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningCalculation.Of([new(0, 1, (Approach)7, 0)]));
    }

    private static string Other(string name) => name.EndsWith("_up", StringComparison.Ordinal) ? name[..^3] + "_dn" : name.EndsWith("_dn", StringComparison.Ordinal) ? name[..^3] + "_up" : name;

    private static void Same((string Name, double Value)[] one, (string Name, double Value)[] other, double scale, double within)
    {
        foreach (var (first, second) in one.Zip(other))
            Agreement.Near(scale * first.Value, second.Value, within * (1 + Math.Abs(first.Value)), first.Name);
    }

    /// <summary>Again from the definitions, every range as the largest difference of pairs and s from the differences of pairs.</summary>
    private static Dictionary<string, double> Twin(double[][] forward, double[][] backward)
    {
        var up = forward.Select(Figures).ToArray();
        var down = backward.Select(Figures).ToArray();
        double[] reversal = [.. up.Zip(down, (u, d) => u.Mean - d.Mean)];
        return new()
        {
            ["B"] = reversal.Max(Math.Abs), ["Bbar"] = reversal.Sum() / reversal.Length,
            ["R_up"] = up.Max(f => 4 * f.S), ["R_dn"] = down.Max(f => 4 * f.S),
            ["R"] = up.Zip(down, (u, d) => new[] { (2 * u.S) + (2 * d.S) + Math.Abs(u.Mean - d.Mean), 4 * u.S, 4 * d.S }.Max()).Max(),
            ["E_up"] = Range(up, 0), ["E_dn"] = Range(down, 0), ["E"] = Range([.. up, .. down], 0),
            ["M"] = Range([.. up.Zip(down, (u, d) => ((u.Mean + d.Mean) / 2, 0.0))], 0),
            ["A_up"] = Range(up, 2), ["A_dn"] = Range(down, 2), ["A"] = Range([.. up, .. down], 2),
        };

        static (double Mean, double S) Figures(double[] x) => (x.Sum() / x.Length, Math.Sqrt(x.SelectMany(_ => x, (a, b) => (a - b) * (a - b)).Sum() / (2.0 * x.Length * (x.Length - 1))));
        static double Range((double Mean, double S)[] all, double k) => all.SelectMany(_ => all, (a, b) => a.Mean + (k * a.S) - b.Mean + (k * b.S)).Max();
    }

    private static (string Name, double Value)[] Named(PositioningFigures f) =>
    [
        ("B", f.ReversalUm!.Value), ("Bbar", f.MeanReversalUm!.Value),
        ("R_up", f.RepeatabilityForwardUm!.Value), ("R_dn", f.RepeatabilityBackwardUm!.Value), ("R", f.RepeatabilityUm!.Value),
        ("E_up", f.SystematicForwardUm!.Value), ("E_dn", f.SystematicBackwardUm!.Value), ("E", f.SystematicUm!.Value), ("M", f.MeanRangeUm!.Value),
        ("A_up", f.AccuracyForwardUm!.Value), ("A_dn", f.AccuracyBackwardUm!.Value), ("A", f.AccuracyUm!.Value),
    ];

    private static PositioningReading[] Readings(double[] targets, double[][] forward, double[][] backward) =>
    [
        .. forward.SelectMany((row, i) => row.Select((d, j) => new PositioningReading(targets[i], j + 1, Approach.Forward, d))),
        .. backward.SelectMany((row, i) => row.Select((d, j) => new PositioningReading(targets[i], j + 1, Approach.Backward, d))),
    ];

    private static double[] Row(JsonElement row) => [.. row.EnumerateArray().Select(v => v.GetDouble())];

    private static double[][] Rows(JsonElement rows) => [.. rows.EnumerateArray().Select(Row)];
}
