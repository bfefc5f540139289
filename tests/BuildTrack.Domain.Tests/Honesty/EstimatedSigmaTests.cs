using BuildTrack.Domain.Evaluating;
using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Honesty;

/// <summary>The same promise where the standard uncertainty is itself an estimate with four degrees of freedom, drawn anew for every part.</summary>
/// <remarks>The register knows no degrees of freedom; the functions that the verdicts are made of do, and are asked themselves.</remarks>
public sealed class EstimatedSigmaTests
{
    private const int Trials = 2000;
    private const int Freedom = 4;
    private const double NoiseUm = 3;

    private static readonly double Most = (0.05 + (4 * Math.Sqrt(0.05 * 0.95 / Trials))) * Trials;

    public static TheoryData<Form, int, PlaneReference> Beds()
    {
        var data = new TheoryData<Form, int, PlaneReference>();
        foreach (var form in Enum.GetValues<Form>())
        {
            foreach (var size in (ReadOnlySpan<int>)[12, 26, 60, 120])
            {
                foreach (var reference in Enum.GetValues<PlaneReference>())
                {
                    if (Grid.Whole || ((int)form % 2 == (int)reference && size == ((int)form % 3 == 0 ? 26 : 12)))
                        data.Add(form, size, reference);
                }
            }
        }

        return data;
    }

    public static TheoryData<Form, int> Lines()
    {
        var data = new TheoryData<Form, int>();
        foreach (var form in (ReadOnlySpan<Form>)[Form.Crown, Form.Wave, Form.OneHighPad, Form.Alternating, Form.FlatWithNoise])
        {
            foreach (var size in (ReadOnlySpan<int>)[12, 26, 60, 120])
            {
                if (Grid.Whole || size == ((int)form % 2 == 0 ? 12 : 26))
                    data.Add(form, size);
            }
        }

        return data;
    }

    [Theory]
    [MemberData(nameof(Beds))]
    public void A_bed_at_the_limit(Form form, int size, PlaneReference reference)
    {
        var cell = new Cell(Part.Bed, Data.Independent, form, size, NoiseUm, reference == PlaneReference.MinimumZone ? FlatnessEvaluator.MinimumZone : FlatnessEvaluator.LeastSquares);
        var part = new Workpiece(cell);
        double[] x = [.. part.Stations.Select(s => s.XMm)], y = [.. part.Stations.Select(s => s.YMm)];
        Check($"{cell.Name}", cell.Seed, part.Truth, PlaneReach.Of(x, y, 1, 0, reference, degreesOfFreedom: Freedom), heights =>
        {
            var found = FlatnessCalculation.Of(x, y, heights);
            return reference == PlaneReference.MinimumZone
                ? (found.MinimumZone!.FlatnessUm, Spread(size, found.MinimumZone.Contacts.Select(c => (c.Index, c.Weight))))
                : (found.LeastSquares!.FlatnessUm, [.. ContactsAgain.LeastSquaresRangeWeights(x, y, heights)]);
        });
    }

    [Theory]
    [MemberData(nameof(Lines))]
    public void A_line_at_the_limit(Form form, int size)
    {
        // The form of one rail, made as large as the limit by itself.
        var cell = new Cell(Part.Rail, Data.Independent, form, 2 * size, NoiseUm, FlatnessEvaluator.MinimumZone);
        var part = new Workpiece(cell);
        double[] x = [.. part.Stations.Take(size).Select(s => s.XMm)], shape = part.Shape[^size..];
        double Zone(double[] heights) => StraightnessCalculation.Of(x, heights).Values!.MinimumZoneUm;
        var factor = Workpiece.LimitUm / Zone(shape);
        Check($"one line of {cell.Name}", cell.Seed, [.. shape.Select(z => z * factor)], LineReach.Of(x, 1, 0, PlaneReference.MinimumZone, degreesOfFreedom: Freedom), heights =>
        {
            var found = StraightnessCalculation.Of(x, heights).Values!;
            return (found.MinimumZoneUm, Spread(size, found.Contacts.Select(c => (c.Index, c.Weight))));
        });
    }

    private static void Check(string name, ulong seed, double[] truth, ZoneReach ofUnitNoise, Func<double[], (double Value, double[] Weights)> measured)
    {
        var source = new SeededSource(seed);
        var limits = new Conformity.Limits(Workpiece.LimitUm, null);
        int accepted = 0, rejected = 0;
        for (var trial = 0; trial < Trials; trial++)
        {
            var sigma = NoiseUm * Math.Sqrt(source.NextChiSquare(Freedom) / Freedom);
            var (value, weights) = measured(Noisy());
            var verdict = Conformity.Decide(value, limits, ofUnitNoise.AboveUm * sigma, ofUnitNoise.BelowUm * sigma).Verdict;
            if (verdict == Verdict.NotProven)
            {
                var band = ContactsAgain.RejectBandUm(weights, sigma, 0, Freedom);
                if (Conformity.Decide(ContactsAgain.Value(weights, Noisy()), limits, band, band).Verdict == Verdict.Rejected)
                    verdict = Verdict.Rejected;
            }

            accepted += verdict == Verdict.Accepted ? 1 : 0;
            rejected += verdict == Verdict.Rejected ? 1 : 0;
        }

        Assert.True(accepted <= Most && rejected <= Most, FormattableString.Invariant($"{name}, seed {seed}: of {Trials} accepted {accepted}, rejected {rejected}; at most {Most:0} each"));

        double[] Noisy() => [.. truth.Select(t => t + (NoiseUm * source.NextNormal()))];
    }

    private static double[] Spread(int size, IEnumerable<(int Index, double Weight)> contacts)
    {
        var weights = new double[size];
        foreach (var (index, weight) in contacts)
            weights[index] += weight;
        return weights;
    }
}
