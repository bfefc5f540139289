using System.Collections.Immutable;
using System.Runtime.InteropServices;

namespace BuildTrack.Metrology.Flatness;

/// <summary>The contacts that prove a zone, chosen with the lowest indices and checked again without regard to how they were found.</summary>
/// <param name="Contacts">High contacts first, each side by index.</param>
/// <param name="Contact">"3-1", "2-2", "2-1", or null.</param>
/// <param name="Fault">Null where the proof holds.</param>
internal sealed record ZoneProof(ImmutableArray<ContactPlace> Contacts, string? Contact, string? Fault)
{
    /// <summary>Points within this part of the zone from one of its planes touch it.</summary>
    private const double Touch = 1e-10;

    public static ZoneProof Across(TiltedZone zone, double floor)
    {
        var vertical = new VerticalZone();
        vertical.Solve(zone.Frame.U, zone.Frame.W, zone.Heights);
        return Of(zone.Frame, zone.Heights, vertical, floor);
    }

    /// <summary>Proof of the vertical zone in a frame.</summary>
    /// <param name="frame">Plan positions.</param>
    /// <param name="heights">Heights, µm, any plane taken out.</param>
    /// <param name="solved">The solution for these heights.</param>
    /// <param name="floor">What rounding of the heights can pretend, µm.</param>
    public static ZoneProof Of(PlanFrame frame, double[] heights, VerticalZone solved, double floor)
    {
        var tolerance = Tolerance(solved.Width, floor);
        var touching = new InFrame(frame, heights, solved, tolerance);
        return Of(ref touching, solved.Width, tolerance);
    }

    private struct InFrame(PlanFrame frame, double[] heights, VerticalZone solved, double tolerance) : ITouching
    {
        private int _next;

        public void Take(List<PlacedHeight> taken, int wanted)
        {
            for (; _next < heights.Length && taken.Count < wanted; _next++)
            {
                var rest = Extremes.Rest(frame.U[_next], frame.W[_next], heights[_next], solved.SlopeU, solved.SlopeW);
                if (solved.High - rest <= tolerance || rest - solved.Low <= tolerance)
                    taken.Add(new PlacedHeight(_next, frame.U[_next], frame.W[_next], heights[_next]));
            }
        }
    }

    /// <summary>How near to a plane of the zone a point touches it, µm.</summary>
    public static double Tolerance(double width, double floor) => (Touch * width) + (4 * floor);

    /// <summary>Proof from the points that touch, in the order of the input; no more of them are asked for than are needed.</summary>
    public static ZoneProof Of<T>(ref T touching, double width, double tolerance)
        where T : ITouching, allows ref struct
    {
        var enough = width - (4 * tolerance);

        // Within the tolerance of touching every point touches both planes: the width is rounding, and no contact can be told from another.
        return enough <= 0 ? new ZoneProof([], null, null) : Of(CollectionsMarshal.AsSpan(Lowest(ref touching, enough)), width, tolerance);
    }

    /// <summary>Proof from contacts that are known: high ones first, each side by index.</summary>
    public static ZoneProof Of(ReadOnlySpan<(PlacedHeight At, double Weight)> contacts, double width, double tolerance)
    {
        var highs = 0;
        foreach (var (_, weight) in contacts)
            highs += weight > 0 ? 1 : 0;
        var lows = contacts.Length - highs;
        var contact = (Math.Max(highs, lows), Math.Min(highs, lows)) switch
        {
            (3, 1) => "3-1",
            (2, 2) => "2-2",
            (2, 1) => "2-1",
            _ => null,
        };
        var places = new ContactPlace[contacts.Length];
        for (var k = 0; k < places.Length; k++)
            places[k] = new ContactPlace(contacts[k].At.Index, contacts[k].Weight);
        return new ZoneProof(ImmutableCollectionsMarshal.AsImmutableArray(places), contact, Check(contacts, width, 16 * tolerance));
    }

    /// <summary>Of all sets of touching points that prove the zone, the one whose highest index is lowest, then whose second highest is, and so on.</summary>
    private static List<(PlacedHeight At, double Weight)> Lowest<T>(ref T touching, double enough)
        where T : ITouching, allows ref struct
    {
        const int atFirst = 8;
        var search = new VerticalZone();
        var taken = new List<PlacedHeight>();
        var kept = new List<PlacedHeight>(4);
        var columns = new double[3 * atFirst];

        // As many of the first touching points as carry the zone, doubled until they do.
        for (var wanted = atFirst; ; wanted *= 2)
        {
            var before = taken.Count;
            touching.Take(taken, wanted);
            if (taken.Count == before || Solve(taken, taken.Count, kept, search, ref columns) >= enough)
                break;
        }

        // Four points or fewer that all have a weight: no other set can prove it.
        if (taken.Count <= 4 && search.Contacts() is var all && all.Count == taken.Count)
            return all.ConvertAll(contact => (taken[contact.Index], contact.Weight));

        var open = taken.Count;
        while (kept.Count < 4)
        {
            // Smallest number of the first touching points that carries the zone together with those kept.
            int least = 0, most = open;
            while (least < most)
            {
                var middle = (least + most) / 2;
                if (Solve(taken, middle, kept, search, ref columns) >= enough)
                    most = middle;
                else
                    least = middle + 1;
            }

            if (least == 0)
                break;
            open = least - 1;
            kept.Add(taken[open]);
        }

        kept.Sort(static (one, other) => one.Index.CompareTo(other.Index));
        Solve(kept, kept.Count, [], search, ref columns);
        return [.. search.Contacts().Select(contact => (kept[contact.Index], contact.Weight))];
    }

    private static double Solve(List<PlacedHeight> first, int count, List<PlacedHeight> more, VerticalZone search, ref double[] columns)
    {
        var n = count + more.Count;
        if (n < 2)
            return 0;
        if (columns.Length < 3 * n)
            columns = new double[6 * n];
        Span<double> u = columns.AsSpan(0, n), w = columns.AsSpan(n, n), z = columns.AsSpan(2 * n, n);
        for (var k = 0; k < n; k++)
        {
            var at = k < count ? first[k] : more[k - count];
            (u[k], w[k], z[k]) = (at.U, at.W, at.Z);
        }

        search.Solve(u, w, z);
        return search.Proved;
    }

    /// <summary>The equations of the weights, and that no point lies outside the zone the contacts fix. Any such weights prove: no zone is narrower
    /// than Σc·z.</summary>
    private static string? Check(ReadOnlySpan<(PlacedHeight At, double Weight)> contacts, double width, double tolerance)
    {
        const double Equations = 1e-9;
        double high = 0, low = 0, u = 0, w = 0, z = 0;
        foreach (var (at, weight) in contacts)
        {
            if (weight > 0)
                high += weight;
            else
                low -= weight;
            u += weight * at.U;
            w += weight * at.W;
            z += weight * at.Z;
        }

        if (Math.Abs(high - 1) > Equations || Math.Abs(low - 1) > Equations || Math.Abs(u) > Equations || Math.Abs(w) > Equations)
            return "The weights of the contacts do not satisfy their equations.";
        return Math.Abs(width - z) > tolerance ? "The contacts do not reproduce the zone: rounding hides the last digits." : null;
    }
}

/// <summary>The points that touch a zone, in the order of the input.</summary>
internal interface ITouching
{
    /// <summary>Adds the next ones until so many are there, or there are no more.</summary>
    void Take(List<PlacedHeight> taken, int wanted);
}

/// <summary>A point of the input in a frame of plan positions, with its height in µm.</summary>
internal readonly record struct PlacedHeight(int Index, double U, double W, double Z);
