using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Verdicts;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>The distance of a standard's worked example (recalled), and the statistics against sums over pairs.</summary>
public sealed class StoppingTimeTests
{
    [Fact]
    public void The_standards_light_curtain_stands_308_mm_away()
    {
        var worked = ReferenceFile.Load("commissioning-worked").At("guard");
        double[] stops = [.. Enumerable.Repeat(worked.GetProperty("stop_ms").GetDouble(), 10)];
        var intrusion = 8 * (worked.GetProperty("resolution_mm").GetDouble() - 14);
        var place = new GuardPlace(worked.GetProperty("approach_mm_per_s").GetDouble(), worked.GetProperty("response_ms").GetDouble(), intrusion, 308);
        var found = StoppingTime.Of(stops, place);
        Assert.Equal(worked.GetProperty("distance_mm").GetDouble(), found.NeededDistanceMm!.Value, 9);
        Assert.Equal((60, 0, Verdict.Accepted), (found.TimeMs, found.StandardDeviationMs, found.Decision!.Verdict));
        Assert.Equal(Verdict.Rejected, StoppingTime.Of(stops, place with { DistanceMm = 307.9 }).Decision!.Verdict);
        Assert.Equal(308 + (2 * 3), StoppingTime.Of(stops, place, 3).NeededDistanceMm!.Value, 9);
    }

    [Fact]
    public void The_larger_of_the_longest_and_mean_and_three_deviations_counts()
    {
        var random = new SeededSource(17);
        var (longest, spread) = (0, 0);
        for (var trial = 0; trial < 500; trial++)
        {
            double[] stops = [.. Enumerable.Range(0, 10 + (trial % 40)).Select(_ => 80 + (40 * random.NextUniform()))];
            if (trial % 2 == 0)
            {
                stops[0] = 400;
            }

            var found = StoppingTime.Of(stops);

            // s² as half the mean square of the differences of all pairs.
            double pairs = 0;
            foreach (var a in stops)
            {
                pairs += stops.Sum(b => (a - b) * (a - b));
            }

            var s = Math.Sqrt(pairs / (2.0 * stops.Length * (stops.Length - 1)));
            Assert.Equal(s, found.StandardDeviationMs, 1e-9);
            Assert.Equal(Math.Max(stops.Max(), stops.Average() + (3 * s)), found.TimeMs, 1e-9);
            Assert.Equal((stops.Length, stops.Max()), (found.Stops, found.HighestMs));
            (longest, spread) = found.TimeMs == stops.Max() ? (longest + 1, spread) : (longest, spread + 1);
        }

        Assert.True(longest > 20 && spread > 20, $"{longest} by the longest, {spread} by the spread");
    }

    [Fact]
    public void Nine_stops_are_too_few_and_impossible_numbers_are_refused()
    {
        Assert.Contains("9 stops", StoppingTime.Of([.. Enumerable.Repeat(60.0, 9)]).DefectSentence, StringComparison.Ordinal);
        Refused("stopsMs[1] is NaN", () => StoppingTime.Of([1, double.NaN]));
        Refused("from 0 to", () => StoppingTime.Of([-1]));
        Refused("above zero", () => StoppingTime.Of([1], new GuardPlace(0)));
        Refused("zero or more", () => StoppingTime.Of([1], new GuardPlace(2000, 0, 0, -1)));
    }
}
