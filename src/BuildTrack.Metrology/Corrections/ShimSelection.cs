using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Metrology.Flatness;

namespace BuildTrack.Metrology.Corrections;

/// <summary>The fewest pads that have to be shimmed so that all pads lie within a zone.</summary>
/// <param name="Pads">All pads in the order given, with the thickness wanted under each; 0 where none is. Empty where there is no answer.</param>
/// <param name="Shimmed">Names of the pads that get a shim.</param>
/// <param name="TargetUm">Width of the zone asked for, along the height, µm.</param>
/// <param name="ZoneUm">Least width, along the height, that shims of just the right thickness under these pads could reach, µm.</param>
/// <param name="AbsentBecause">Why there is no answer, with numbers; null where there is one.</param>
public sealed record ShimSelectionResult(ImmutableArray<ShimPad> Pads, ImmutableArray<string> Shimmed, double TargetUm, double ZoneUm, string? AbsentBecause);

/// <summary>Chooses the pads to shim: the cheap way beside milling the bed again.</summary>
/// <remarks>Exact: while the pads that hold the zone from below stay as they are no zone is narrower, so one of them must be among those that are shimmed;
/// every one is tried. Method: docs/method/corrections.md.</remarks>
public static class ShimSelection
{
    /// <summary>Pads that are shimmed at most, where nothing else is said.</summary>
    public const int UsualMostPads = 4;

    /// <summary>A pad that is lower than this is not shimmed, µm.</summary>
    public const double LargestShimUm = 300;

    private const int MostTries = 20_000;

    /// <summary>Chooses.</summary>
    /// <param name="pads">Names and places; four or more.</param>
    /// <param name="targetUm">Width of the zone that all pads shall lie in afterwards, along the height, µm, above zero.</param>
    /// <param name="mostPads">Pads that are shimmed at most, 1 to 8.</param>
    /// <exception cref="ArgumentException">A number that is NaN or infinite, a name that is missing or stands twice.</exception>
    /// <exception cref="ArgumentOutOfRangeException">A target not above zero, a number out of range, too many pads.</exception>
    public static ShimSelectionResult Of(IReadOnlyList<(string Name, PadPlace Place)> pads, double targetUm, int mostPads = UsualMostPads)
    {
        ArgumentNullException.ThrowIfNull(pads);
        BedForm.Small(Guard.FinitePositive(targetUm, nameof(targetUm)), nameof(targetUm));
        if (mostPads is < 1 or > 8)
            Guard.ThrowOutOfRange(mostPads, nameof(mostPads), "from 1 to 8");
        RemillPad[] all = [.. pads.Select(p => new RemillPad(p.Name, p.Place.XMm, p.Place.YMm, p.Place.HeightUm))];
        RemillPlane.Check(all);
        double[] x = [.. all.Select(p => p.XMm)], y = [.. all.Select(p => p.YMm)];
        if (FlatnessCalculation.Of(x, y, [.. all.Select(p => p.HeightUm)]).MinimumZone is null || PlanFrame.Of(x, y).Shape != PlanShape.Plane)
            return Without(targetUm, "The pads lie on one line in plan, or are fewer than three: there is no plane to shim to.");

        var programme = new RemillProgramme(all, new RemillRequest(CleanUpUm: 0));
        HashSet<string> seen = [""];
        List<int[]> level = [[]];
        var (tries, nearest) = (0, double.PositiveInfinity);
        for (var count = 0; count <= mostPads; count++)
        {
            (RaisedZone Zone, int[] Freed)? best = null;
            List<int[]> next = [];
            foreach (var freed in level)
            {
                if (++tries > MostTries || programme.Raised(freed) is not { } zone)
                    continue;
                if (best is null || zone.WidthUm < best.Value.Zone.WidthUm - programme.Floor)
                    best = (zone, freed);
                foreach (var low in zone.HeldFromBelow)
                {
                    int[] more = [.. freed.Append(low).Order()];
                    if (seen.Add(string.Join(' ', more.Select(i => i.ToString(CultureInfo.InvariantCulture)))))
                        next.Add(more);
                }
            }

            nearest = Math.Min(nearest, best?.Zone.WidthUm ?? nearest);
            if (best is { } found && found.Zone.WidthUm <= targetUm)
                return Result(all, found.Freed, found.Zone, targetUm);
            level = next;
        }

        return Without(targetUm, string.Create(CultureInfo.InvariantCulture,
            $"With {mostPads} {(mostPads == 1 ? "pad" : "pads")} shimmed the zone is {BedForm.Mm(nearest)} at best, not {BedForm.Mm(targetUm)}: ")
            + "several pads lie low together.");
    }

    private static ShimSelectionResult Result(RemillPad[] pads, int[] freed, RaisedZone zone, double targetUm)
    {
        // To the middle of the wider zone that is asked for, so that a stack that is a little thin still lies in it.
        double[] wanted = [.. pads.Select((p, i) => freed.Contains(i) ? zone.LowPlaneUm[i] + (zone.WidthUm / 2) - p.HeightUm : 0)];
        var deep = Array.FindIndex(wanted, w => w > LargestShimUm);
        return deep >= 0
            ? Without(targetUm,
                $"Pad {pads[deep].Name} would want a shim of {BedForm.Mm(wanted[deep])}; above {BedForm.Mm(LargestShimUm)} a pad is not shimmed.")
            : new ShimSelectionResult(
                [.. pads.Select((p, i) => new ShimPad(p.Name, (long)Math.Round(1000 * wanted[i]), new PadPlace(p.XMm, p.YMm, p.HeightUm)))],
                [.. freed.Select(i => pads[i].Name)], targetUm, zone.WidthUm, null);
    }

    private static ShimSelectionResult Without(double targetUm, string sentence) => new([], [], targetUm, 0, sentence);
}
