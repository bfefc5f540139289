using System.Collections.Immutable;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Corrections;

/// <summary>The plane to which the pads of a bed are milled again, and what that leaves of each pad.</summary>
/// <remarks>Definition, programme, accuracy and limits: docs/method/corrections.md. Depths are along the height. Exact to rounding: a linear programme in four
/// unknowns, solved from vertex to vertex and proved by its multipliers. Where several planes are as good, that of
    /// the smallest deepest cut is taken, and among those of the smallest deepest cut that of the least metal.</remarks>
public static class RemillPlane
{
    /// <summary>Depth that cleans a pad, where nothing else is said, µm.</summary>
    public const double UsualCleanUpUm = 50;

    /// <summary>Pads at most.</summary>
    public const int MostPads = 5000;

    private const double UmPerMm = 1000;

    /// <summary>Calculates.</summary>
    /// <param name="pads">All pads; every one is cut.</param>
    /// <param name="request">Null: smallest deepest cut, 0.05 mm, no bounds.</param>
    /// <exception cref="ArgumentException">A number that is NaN or infinite, a name that is missing or stands twice.</exception>
    /// <exception cref="ArgumentOutOfRangeException">Too many pads, a negative depth, thickness or travel, a number beyond 10⁹.</exception>
    public static RemillResult Of(IReadOnlyList<RemillPad> pads, RemillRequest? request = null)
    {
        ArgumentNullException.ThrowIfNull(pads);
        request ??= new RemillRequest();
        Check(pads);
        Check(request);
        double[] x = [.. pads.Select(p => p.XMm)], y = [.. pads.Select(p => p.YMm)], z = [.. pads.Select(p => p.HeightUm)];
        var flatness = FlatnessCalculation.Of(x, y, z);
        if (flatness.MinimumZone is null || PlanFrame.Of(x, y).Shape != PlanShape.Plane)
            return Without(request, RemillRefusal.NoPlane, (flatness.DefectSentence ?? "The pads lie on one line in plan.")
                + " A plane to mill needs pads that are not on one line.");

        var programme = new RemillProgramme(pads, request);
        if (request.Goal == RemillGoal.LargestMargin && !programme.HasMargins)
            throw new ArgumentException("The largest margin needs thickness and minimum of one pad or more.", nameof(request));
        if (new RemillProgramme(pads, request with { Tilt = null }).Solve(RemillGoal.SmallestDeepestCut) is not { } free)
            return Without(request, RemillRefusal.NoPlane, "The pads lie so near one line in plan that they decide no plane.");
        return programme.Solve(request.Goal) is { } found
            ? Result(pads, request, programme, found, free.DeepestUm)
            : Without(request, RemillRefusal.NoTilt, "The bounds of the tilt contradict each other: no plane keeps all of them.");
    }

    private static RemillResult Result(IReadOnlyList<RemillPad> pads, RemillRequest request, RemillProgramme programme, RemillSolution found, double freeUm)
    {
        double[] x = [.. pads.Select(p => p.XMm)], y = [.. pads.Select(p => p.YMm)];
        var deepest = 0;
        for (var i = 1; i < pads.Count; i++)
            deepest = found.DepthsUm[i] > found.DepthsUm[deepest] + programme.Floor ? i : deepest;
        ImmutableArray<PadCut> cuts = [.. pads.Select((p, i) => Cut(p, found.DepthsUm[i], programme.Floor))];
        var thin = pads.Where(p => p.ThicknessUm is not null).MinBy(p => p.ThicknessUm);
        var near = cuts.Where(c => c.MarginUm is not null).MinBy(c => c.MarginUm);
        double[] after = [.. cuts.Select(c => c.HeightAfterUm)];
        var sum = found.DepthsUm.Sum();
        var (refusal, sentence) = Refusal(pads, cuts);
        return new RemillResult(
            request.Goal, found.Plane, cuts, found.DepthsUm[deepest], pads[deepest].Name, Math.Max(0, found.DepthsUm[deepest] - freeUm), sum,
            request.PadAreaMm2 is { } area ? sum / UmPerMm * area : null,
            thin?.Name, thin?.ThicknessUm, thin?.ThicknessUm - found.DepthsUm[deepest],
            near?.MarginUm, near?.Name, near is null ? null : programme.Solve(RemillGoal.LargestMargin)?.LeastMarginUm,
            programme.FootMoveUm(found.Plane), found.HeldBy, BedForm.Of(x, y, [.. pads.Select(p => p.HeightUm)]), BedForm.Of(x, y, after), request.SlotHours,
                refusal, sentence);
    }

    private static PadCut Cut(RemillPad pad, double depth, double floor)
    {
        double? left = pad.ThicknessUm - depth, margin = left - pad.MinimumUm;
        var standing = margin is null ? PadStanding.NotKnown
            : pad.ThicknessUm < pad.MinimumUm ? PadStanding.BelowNow
            : margin < -floor ? PadStanding.BelowAfterCut
            : PadStanding.Allowed;
        return new PadCut(pad.Name, depth, pad.HeightUm - depth, left, margin, standing);
    }

    private static (RemillRefusal, string?) Refusal(IReadOnlyList<RemillPad> pads, ImmutableArray<PadCut> cuts)
    {
        string[] now = [.. pads.Where((_, i) => cuts[i].Standing == PadStanding.BelowNow)
            .Select(p => $"{p.Name} {BedForm.Mm(p.ThicknessUm!.Value)} of {BedForm.Mm(p.MinimumUm!.Value)}")];
        if (now.Length > 0)
            return (RemillRefusal.PadBelowMinimumNow, $"Below the minimum before any cut: {string.Join(", ", now)}.");
        string[] then = [.. pads.Select((p, i) => (p, c: cuts[i])).Where(o => o.c.Standing == PadStanding.BelowAfterCut)
            .Select(o => $"{o.p.Name} {BedForm.Mm(o.p.ThicknessUm!.Value)} less {BedForm.Mm(o.c.DepthUm)} leaves {BedForm.Mm(o.c.LeftUm!.Value)} of "
                + BedForm.Mm(o.p.MinimumUm!.Value))];
        return then.Length > 0 ? (RemillRefusal.PadBelowMinimumAfter, $"Below the minimum after this cut: {string.Join(", ", then)}.")
            : (RemillRefusal.None, null);
    }

    internal static void Check(IReadOnlyList<RemillPad> pads)
    {
        if (pads.Count > MostPads)
            Guard.ThrowOutOfRange(pads.Count, nameof(pads), "5000 pads at most");
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (var pad in pads)
        {
            ArgumentException.ThrowIfNullOrWhiteSpace(pad.Name, nameof(pads));
            if (!seen.Add(pad.Name))
                throw new ArgumentException($"The pad {pad.Name} stands twice.", nameof(pads));
            BedForm.Measurable(pad.XMm, pad.YMm, pad.HeightUm, pad.Name);
            NotNegative(pad.ThicknessUm, pad.Name + ".ThicknessUm");
            NotNegative(pad.MinimumUm, pad.Name + ".MinimumUm");
        }
    }

    private static void Check(RemillRequest request)
    {
        if (!Enum.IsDefined(request.Goal))
            throw new ArgumentOutOfRangeException(nameof(request), request.Goal, "Not a goal.");
        NotNegative(request.CleanUpUm, nameof(request.CleanUpUm));
        NotNegative(request.SetUpUm, nameof(request.SetUpUm));
        NotNegative(request.PadAreaMm2, nameof(request.PadAreaMm2));
        NotNegative(request.SlotHours, nameof(request.SlotHours));
        if (request.Tilt is not { } tilt)
            return;
        NotNegative(tilt.FootTravelMm, nameof(tilt.FootTravelMm));
        NotNegative(tilt.FeetLengthMm, nameof(tilt.FeetLengthMm));
        NotNegative(tilt.FeetWidthMm, nameof(tilt.FeetWidthMm));
        foreach (var slope in new[] { tilt.LeastAcrossUmPerM, tilt.LargestAcrossUmPerM, tilt.LeastAlongUmPerM, tilt.LargestAlongUmPerM })
            BedForm.Small(slope ?? 0, "slope");
    }

    private static void NotNegative(double? value, string name)
    {
        if (value is { } given)
            BedForm.Small(Guard.FiniteNotNegative(given, name), name);
    }

    private static RemillResult Without(RemillRequest request, RemillRefusal refusal, string sentence) =>
        new(request.Goal, null, [], 0, null, 0, 0, null, null, null, null, null, null, null, 0, [], null, null, request.SlotHours, refusal, sentence);
}
