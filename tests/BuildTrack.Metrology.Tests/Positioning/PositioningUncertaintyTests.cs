using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Positioning;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Positioning;

/// <summary>ISO/TR 230-9:2005, Annex C, from memory; its numeric example was not at hand, so closed forms.</summary>
public sealed class PositioningUncertaintyTests
{
    private static readonly PositioningConditions Worked = new(2000, 2, 1, 1, 0, 11.5, 1, Temperature.FromDegreesCelsius(25), 1.7);

    [Fact]
    public void The_worked_axis_of_two_metres_has_its_parts_and_their_sum()
    {
        var parts = PositioningUncertainty.Of(Worked);
        foreach (var (expected, value) in new[]
        {
            (2, parts.InstrumentUm), (0.15, parts.MisalignmentUm), (13.8, parts.TemperatureUm), (0, parts.InstrumentTemperatureUm), (6, parts.ExpansionUm), (1.02, parts.DriftUm),
            (Math.Sqrt(4 + 0.0225 + 190.44 + 36 + 1.0404), parts.AccuracyUm),
        })
        {
            Agreement.Near(expected, value, 1e-12, "part");
        }

        Assert.Equal(15.2, Math.Round(parts.AccuracyUm, 1));
    }

    [Fact]
    public void Only_the_distance_from_twenty_degrees_counts_and_a_scale_adds_its_own_temperature()
    {
        var cold = PositioningUncertainty.Of(Worked with { Temperature = Temperature.FromDegreesCelsius(15), InstrumentTemperatureRangeK = 2 });
        Agreement.Near(6, cold.ExpansionUm, 1e-12, "expansion");
        Agreement.Near(27.6, cold.InstrumentTemperatureUm, 1e-12, "scale");
        Assert.Equal(0, PositioningUncertainty.Of(Worked with { Temperature = Temperature.Reference }).ExpansionUm);
    }

    [Fact]
    public void The_factor_of_a_rectangular_range_is_that_of_its_standard_deviation_rounded_up() =>
        Assert.InRange(PositioningUncertainty.Rectangular - (2 / Math.Sqrt(12)), 0, 0.025);

    [Theory]
    [InlineData(1)]
    [InlineData(5)]
    [InlineData(20)]
    public void Figures_of_the_worked_axis_are_those_of_the_derivation(int runs)
    {
        var parts = PositioningUncertainty.Of(Worked);
        var figures = parts.OfFigures(runs);
        double along = 4 + 0.0225 + 190.44 + 36, drift = 1.02 * 1.02;
        Agreement.Near(1.02 * Math.Sqrt(2.0 / runs), figures.ReversalUm, 1e-12, "B");
        Agreement.Near(Math.Sqrt(along + (2 * drift / runs)), figures.SystematicUm, 1e-12, "E");
        Agreement.Near(Math.Sqrt(along + (drift / runs)), figures.MeanRangeUm, 1e-12, "M");
        Assert.Equal((runs == 1, runs == 1), (figures.RepeatabilityUnidirectionalUm is null, figures.RepeatabilityUm is null));
        if (runs > 1)
        {
            Agreement.Near(2.04, figures.RepeatabilityUnidirectionalUm!.Value, 1e-12, "R in one direction");
            Agreement.Near(Math.Sqrt((4 * drift) + (2 * drift / runs)), figures.RepeatabilityUm!.Value, 1e-12, "R");
        }
    }

    [Fact]
    public void Figures_of_simulated_tests_scatter_as_derived()
    {
        // A machine with known figures, measured with an error in proportion to the length and with drift anew at each reading, both normal; the figures come from the evaluation itself.
        const ulong seed = 5401;
        const int runs = 5, trials = 4000;
        var source = new SeededSource(seed);
        var parts = new AccuracyUncertainty(3, 0, 0, 0, 0, 1.2);
        var derived = parts.OfFigures(runs);
        double[] targets = [0, 510, 980, 1530, 2000], forward = [0, 20, 40, 60, 100], backward = [0, 20, 10, 60, 100];
        double reversal = 0, systematic = 0, range = 0, oneWay = 0, both = 0;
        for (var trial = 0; trial < trials; trial++)
        {
            var along = parts.InstrumentUm / 2 * source.NextNormal() / 2000;
            var readings = new List<PositioningReading>();
            for (var i = 0; i < targets.Length; i++)
            {
                for (var run = 1; run <= runs; run++)
                {
                    foreach (var (approach, deviations) in new[] { (Approach.Forward, forward), (Approach.Backward, backward) })
                        readings.Add(new PositioningReading(targets[i], run, approach, deviations[i] + (along * targets[i]) + (parts.DriftUm / 2 * source.NextNormal())));
                }
            }

            var result = PositioningCalculation.Of(readings);
            var figures = result.Figures!;

            // True figures: B = 30 at the third target, E = M = 100 from the first to the last; the machine itself repeats without any spread.
            reversal += Square(figures.ReversalUm!.Value - 30);
            systematic += Square(figures.SystematicForwardUm!.Value - 100);
            range += Square(figures.MeanRangeUm!.Value - 100);
            oneWay += Square(result.Targets[0].RepeatabilityForwardUm!.Value);
            both += Square(result.Targets[2].RepeatabilityUm!.Value - 30);
        }

        // The spread of the root mean square of 4000 is 1.2 %; five runs are rounds of their own.
        foreach (var (expected, squares, what) in new[]
        {
            (derived.ReversalUm, reversal, "B"), (derived.SystematicUm, systematic, "E"), (derived.MeanRangeUm, range, "M"),
        })
        {
            Agreement.Near(expected, 2 * Math.Sqrt(squares / trials), 0.05 * expected, $"seed {seed}, {what}");
        }

        // What drift adds to R is an error to one side: its root mean square is the bound itself, which already counts as U.
        Agreement.Near(derived.RepeatabilityUnidirectionalUm!.Value, Math.Sqrt(oneWay / trials), 0.05 * derived.RepeatabilityUnidirectionalUm.Value, $"seed {seed}, R in one direction");
        Assert.InRange(Math.Sqrt(both / trials), 0.8 * derived.RepeatabilityUm!.Value, derived.RepeatabilityUm.Value);

        static double Square(double value) => value * value;
    }

    [Fact]
    public void Runs_that_are_none_are_refused()
    {
        foreach (var runs in new[] { 0, -5, PositioningUncertainty.MostRuns + 1 })
            Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked).OfFigures(runs));
    }

    [Fact]
    public void Numbers_that_are_none_are_refused_by_name()
    {
        var refused = Assert.Throws<ArgumentException>(() => PositioningUncertainty.Of(Worked with { DriftUm = double.NaN }));
        Assert.Contains("DriftUm is NaN", refused.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { LengthMm = 0 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { LengthMm = 1e-9 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { TemperatureRangeK = -1 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => PositioningUncertainty.Of(Worked with { MisalignmentMm = 1e7 }));
    }
}
