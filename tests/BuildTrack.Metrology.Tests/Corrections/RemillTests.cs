using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.Corrections;

/// <summary>The plane of the mill against the worked examples, the minimum zone and every vertex of its programme.</summary>
public sealed class RemillTests
{
    [Fact]
    public void The_six_pads_of_the_worked_example()
    {
        var file = ReferenceFile.Load("corrections-worked");
        var pads = Pads(Points.From(file.At("remill", "points_m_um"), 1000));
        var request = new RemillRequest(CleanUpUm: file.Number("remill", "clean_up_um"));
        var result = RemillPlane.Of(pads, request);
        file.Reaches(file.Number("remill", "deepest_um"), result.DeepestUm, "exact", "deepest cut");
        Agreement.Near(50, result.Pads.Min(c => c.DepthUm), 1e-9, "every pad is cleaned");
        Agreement.Near(0, result.TiltCostUm, 1e-9, "cost of the tilt");
        Assert.Equal((RemillRefusal.None, null), (result.Refusal, result.RefusalSentence));
        Agreement.Near(0, result.After!.MinimumZoneUm!.Value, 1e-9, "flatness of the milled plane");
        Agreement.Near(24.5, result.Before!.MinimumZoneUm!.Value, 1e-8, "flatness before");

        // Many planes take the least metal here; the worst of them is the one printed.
        var metal = RemillPlane.Of(pads, request with { Goal = RemillGoal.LeastMetal });
        Agreement.Near(375, metal.DepthSumUm, 1e-9, "least metal");
        Agreement.Near(375, result.DepthSumUm, 1e-9, "metal of the smallest deepest cut");
        Agreement.Near(74.5, metal.DeepestUm, 1e-9, "least metal, then smallest deepest cut");
        var worst = RemillPlane.Of(pads, request with { Goal = RemillGoal.LeastMetal, Tilt = new RemillTilt(LargestAlongUmPerM: -10) });
        Agreement.Near(375, worst.DepthSumUm, 1e-9, "least metal at the end of the planes that take it");
        file.Reaches(1000 * file.Number("remill", "deepest_where_metal_is_least_mm"), worst.DeepestUm, "exact", "deepest cut where the metal is least");
        Agreement.Near(worst.DeepestUm - result.DeepestUm, worst.TiltCostUm, 1e-9, "cost of the tilt");

        // The error of the set-up is added to the clean-up, and nothing else moves.
        Agreement.Near(84.5, RemillPlane.Of(pads, request with { SetUpUm = 10 }).DeepestUm, 1e-9, "with set-up error");
    }

    [Fact]
    public void The_bed_of_the_demonstration_needs_0_17_mm_and_keeps_17_23()
    {
        // Trade notes, section 11, row 14: zone 0.121 + 0.05 clean-up = 0.17; 17.40 - 0.17 = 17.23 of 16.0. Rails of 7.0 m, gauge 3.0 m, 29 stations each.
        var pads = DemoBed();
        var result = RemillPlane.Of(pads, new RemillRequest(SlotHours: 28, PadAreaMm2: 5000));
        Assert.Equal(0.121, Math.Round(result.Before!.MinimumZoneUm!.Value / 1000, 3));
        Assert.Equal(0.171, Math.Round(result.DeepestUm / 1000, 3));
        Assert.Equal(("R2-03", 17400.0, 17.23), (result.ThinnestAt!, result.ThinnestUm!.Value, Math.Round(result.ThinnestLessDeepestUm!.Value / 1000, 2)));
        Assert.True(result.LeastMarginUm is > 1200 and < 1400 && result.LargestMarginUm >= result.LeastMarginUm);
        Assert.Equal((RemillRefusal.None, 28.0), (result.Refusal, result.SlotHours!.Value));
        Assert.Equal(result.DepthSumUm * 5, result.MetalMm3!.Value, 6);
        Assert.All(result.Pads, c => Assert.Equal(PadStanding.Allowed, c.Standing));
        Assert.Equal(new FlatnessContacts(DemoZone(pads)).Names, result.HeldBy.Select(h => h.Name).Order());

        // A drawing that asks for 17.30 refuses it, with the pads by name.
        var strict = RemillPlane.Of([.. pads.Select(p => p with { MinimumUm = 17300 })], new RemillRequest(RemillGoal.LargestMargin));
        Assert.Equal(RemillRefusal.PadBelowMinimumAfter, strict.Refusal);
        Assert.Contains(strict.LeastMarginAt!, strict.RefusalSentence, StringComparison.Ordinal);
        Agreement.Near(strict.LargestMarginUm!.Value, strict.LeastMarginUm!.Value, 1e-6, "largest margin");
        var already = RemillPlane.Of([.. pads.Select(p => p with { MinimumUm = 17410 })]);
        Assert.Equal((RemillRefusal.PadBelowMinimumNow, "Below the minimum before any cut: R2-03 17.400 mm of 17.410 mm."),
            (already.Refusal, already.RefusalSentence!));
    }

    [Fact]
    public void Without_bounds_the_deepest_cut_is_the_minimum_zone_and_the_clean_up()
    {
        var source = new SeededSource(5401);
        for (var trial = 0; trial < 200; trial++)
        {
            var points = trial % 4 == 0 ? Points.Grid(source, 5, 2 + source.NextInt(3), 300, 1, 4)
                : Points.Random(source, 3 + source.NextInt(60)).Tilted(source.NextNormal() * 500, source.NextNormal() * 500);
            var result = RemillPlane.Of(Pads(points));
            var zone = points.Flatness().MinimumZone!;
            Agreement.Near(zone.VerticalUm + 50, result.DeepestUm, 1e-7, $"trial {trial}");
            Agreement.Near(50, result.Pads.Min(c => c.DepthUm), 1e-7, $"trial {trial}, clean-up");
            var named = result.HeldBy.Where(h => h.Side == "deepest").Sum(h => h.Weight);
            Agreement.Near(zone.VerticalUm > 1e-9 ? 1 : named, named, 1e-8, "weights of the deepest");
        }
    }

    [Fact]
    public void No_vertex_of_the_programme_is_better_under_any_goal_and_bound()
    {
        var source = new SeededSource(5402);
        var (bound, costly, planes) = (0, 0, 0);
        for (var trial = 0; trial < 90; trial++)
        {
            var points = Points.Random(source, 4 + source.NextInt(2)).Tilted(200 * source.NextNormal(), 200 * source.NextNormal());
            var pads = Pads(points, i => 17000 + (100 * source.NextNormal()), 16000);
            var tilt = source.NextInt(4) switch
            {
                0 => null,
                1 => new RemillTilt(LeastAcrossUmPerM: -20, LargestAcrossUmPerM: 20),
                2 => new RemillTilt(FootTravelMm: 0.05 * (1 + source.NextInt(4)), FeetLengthMm: 3000, FeetWidthMm: 1500),
                _ => new RemillTilt(FootTravelMm: 0.1, LeastAlongUmPerM: -30, LargestAlongUmPerM: 10, LargestAcrossUmPerM: 5),
            };
            var goal = (RemillGoal)(trial % 3);
            var result = RemillPlane.Of(pads, new RemillRequest(goal, 50, 5, tilt));
            var best = Vertices.Best(pads, goal, 55, tilt);
            Assert.Equal(best is null, result.Refusal == RemillRefusal.NoTilt);
            if (best is null)
                continue;
            var reached = goal switch { RemillGoal.SmallestDeepestCut => result.DeepestUm, RemillGoal.LargestMargin => -result.LeastMarginUm!.Value,
                _ => result.DepthSumUm };
            Agreement.Near(best.Value, reached, 1e-6, $"trial {trial}, {goal}, {tilt}");
            Kept(result, tilt);
            planes++;
            bound += result.HeldBy.Any(h => h.Side == "bound") ? 1 : 0;
            costly += result.TiltCostUm > 1 ? 1 : 0;
        }

        Assert.True(planes > 60 && bound > 20 && costly > 20, $"{planes} planes, {bound} held by a bound, {costly} costly");
    }

    [Fact]
    public void The_weights_of_pads_and_bounds_prove_the_aim()
    {
        // With cost + Σ weight · row = 0 the aim is −Σ weight · limit: recomputed here from names alone.
        var pads = DemoBed();
        var result = RemillPlane.Of(pads, new RemillRequest(CleanUpUm: 50));
        var sum = result.HeldBy.Sum(h => h.Weight * (h.Side == "deepest" ? 1 : -1) * pads.First(p => p.Name == h.Name).HeightUm) + 50;
        Agreement.Near(result.DeepestUm, sum, 1e-7, "aim from the weights");
        foreach (var coordinate in new Func<RemillPad, double>[] { p => 1, p => p.XMm, p => p.YMm })
            Agreement.Near(0, result.HeldBy.Sum(h => h.Weight * (h.Side == "deepest" ? 1 : -1) * coordinate(pads.First(p => p.Name == h.Name))), 1e-7,
                "balance");
    }

    [Fact]
    public void Pads_on_one_line_bounds_that_contradict_and_bad_numbers_are_refused()
    {
        Assert.Equal(RemillRefusal.NoPlane, RemillPlane.Of([new("A", 0, 0, 1), new("B", 1, 0, 2)]).Refusal);
        Assert.Equal(RemillRefusal.NoPlane, RemillPlane.Of([new("A", 0, 0, 1), new("B", 1, 0, 2), new("C", 2, 0, 9)]).Refusal);
        RemillPad[] three = [new("A", 0, 0, 1), new("B", 1000, 0, 2), new("C", 0, 1000, 9)];
        var refused = RemillPlane.Of(three, new RemillRequest(Tilt: new RemillTilt(LeastAcrossUmPerM: 5, LargestAcrossUmPerM: -5)));
        Assert.Equal(RemillRefusal.NoTilt, refused.Refusal);
        Assert.Contains("contradict", refused.RefusalSentence, StringComparison.Ordinal);
        Agreement.Near(50, RemillPlane.Of(three).DeepestUm, 1e-9, "three pads are flat");
        Assert.All(RemillPlane.Of(three).Pads, c => Assert.Equal(PadStanding.NotKnown, c.Standing));
        Assert.Throws<ArgumentException>(() => RemillPlane.Of([new("A", 0, 0, double.NaN), .. three[1..]]));
        Assert.Throws<ArgumentException>(() => RemillPlane.Of([new("B", 0, 0, 1), .. three[1..]]));
        Assert.Throws<ArgumentException>(() => RemillPlane.Of(three, new RemillRequest(RemillGoal.LargestMargin)));
        Assert.Throws<ArgumentOutOfRangeException>(() => RemillPlane.Of(three, new RemillRequest(CleanUpUm: -1)));
        Assert.Throws<ArgumentOutOfRangeException>(() => RemillPlane.Of([three[0] with { ThicknessUm = -1 }, .. three[1..]]));
    }

    [Fact]
    public void Order_and_place_of_the_bed_do_not_matter()
    {
        var source = new SeededSource(5403);
        var points = Points.Random(source, 40);
        var pads = Pads(points);
        var (here, there) = (RemillPlane.Of(pads), RemillPlane.Of(Pads(points.Shifted(1e6, -4e5, 700).Tilted(300, -100))));
        var turned = RemillPlane.Of([.. Points.Shuffled(source, 40).Select(i => pads[i])]);
        for (var i = 0; i < 40; i++)
        {
            Agreement.Near(here.Pads[i].DepthUm, there.Pads[i].DepthUm, 1e-5, "shifted and tilted");
            Agreement.Near(here.Pads[i].DepthUm, turned.Pads.First(c => c.Name == pads[i].Name).DepthUm, 1e-7, "shuffled");
        }
    }

    private static void Kept(RemillResult result, RemillTilt? tilt)
    {
        Assert.All(result.Pads, c => Assert.True(c.DepthUm > 55 - 1e-6));
        if (tilt?.FootTravelMm is { } travel)
            Assert.True(result.FootMoveUm <= (1000 * travel) + 1e-6);
        var plane = result.Plane!;
        Assert.True(plane.SlopeYUmPerM <= (tilt?.LargestAcrossUmPerM ?? 1e9) + 1e-6 && plane.SlopeYUmPerM >= (tilt?.LeastAcrossUmPerM ?? -1e9) - 1e-6);
        Assert.True(plane.SlopeXUmPerM <= (tilt?.LargestAlongUmPerM ?? 1e9) + 1e-6 && plane.SlopeXUmPerM >= (tilt?.LeastAlongUmPerM ?? -1e9) - 1e-6);
    }

    private static RemillPad[] Pads(Points points, Func<int, double?>? thickness = null, double? minimum = null) =>
        [.. Enumerable.Range(0, points.Count).Select(i => new RemillPad($"P{i + 1}", points.X[i], points.Y[i], points.Z[i], thickness?.Invoke(i), minimum))];

    private static RemillPad[] DemoBed()
    {
        var file = ReferenceFile.Load("remill-large-bed");
        return [.. file.At("pads").EnumerateArray().Select(p => new RemillPad(
            p[0].GetString()!, p[1].GetDouble(), p[2].GetDouble(), 1000 * p[3].GetDouble(), 1000 * p[4].GetDouble(), 1000 * file.Number("minimum_mm")))];
    }

    private static MinimumZonePlane DemoZone(RemillPad[] pads) =>
        FlatnessCalculation.Of([.. pads.Select(p => p.XMm)], [.. pads.Select(p => p.YMm)], [.. pads.Select(p => p.HeightUm)]).MinimumZone!;

    private sealed class FlatnessContacts(MinimumZonePlane zone)
    {
        public IEnumerable<string> Names => zone.Contacts.Select(c => DemoBed()[c.Index].Name).Order();
    }
}
