using System.Collections.Immutable;

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
    public static ZoneProof Of(PlanFrame frame, ReadOnlySpan<double> heights, VerticalZone solved, double floor)
    {
        var tolerance = (Touch * solved.Width) + (4 * floor);
        var touching = new List<int>();
        for (var i = 0; i < heights.Length; i++)
        {
            var rest = heights[i] - (solved.SlopeU * frame.U[i]) - (solved.SlopeW * frame.W[i]);
            if (solved.High - rest <= tolerance || rest - solved.Low <= tolerance)
                touching.Add(i);
        }

        var contacts = Lowest(frame, heights, touching, solved.Width - (4 * tolerance));
        int highs = contacts.Count(static contact => contact.Weight > 0), lows = contacts.Count - highs;
        var contact = (Math.Max(highs, lows), Math.Min(highs, lows)) switch
        {
            (3, 1) => "3-1",
            (2, 2) => "2-2",
            (2, 1) => "2-1",
            _ => null,
        };
        return new ZoneProof([.. contacts], contact, Check(frame, heights, contacts, solved.Width, 16 * tolerance));
    }

    /// <summary>Of all sets of touching points that prove the zone, the one whose highest index is lowest, then whose second highest is, and so on.</summary>
    private static List<ContactPlace> Lowest(PlanFrame frame, ReadOnlySpan<double> heights, List<int> touching, double enough)
    {
        var search = new VerticalZone();
        var kept = new List<int>(4);
        var open = touching.Count;
        double[] u = new double[touching.Count + 4], w = new double[touching.Count + 4], z = new double[touching.Count + 4];
        while (kept.Count < 4)
        {
            // Smallest number of the first touching points that carries the zone together with those kept.
            int least = 0, most = open;
            while (least < most)
            {
                var middle = (least + most) / 2;
                if (Solve(frame, heights, touching, middle, kept, search, u, w, z) >= enough)
                    most = middle;
                else
                    least = middle + 1;
            }

            if (least == 0)
                break;
            open = least - 1;
            kept.Add(touching[open]);
        }

        kept.Sort();
        Solve(frame, heights, kept, kept.Count, [], search, u, w, z);
        return [.. search.Contacts().Select(contact => contact with { Index = kept[contact.Index] })];
    }

    private static double Solve(
        PlanFrame frame, ReadOnlySpan<double> heights, List<int> first, int count, List<int> more, VerticalZone search, double[] u, double[] w, double[] z)
    {
        var n = 0;
        for (var k = 0; k < count + more.Count; k++, n++)
        {
            var i = k < count ? first[k] : more[k - count];
            (u[n], w[n], z[n]) = (frame.U[i], frame.W[i], heights[i]);
        }

        if (n < 2)
            return 0;
        search.Solve(u.AsSpan(0, n), w.AsSpan(0, n), z.AsSpan(0, n));
        return search.Width;
    }

    /// <summary>The equations of the weights, and that no point lies outside the zone the contacts fix. Any such weights prove: no zone is narrower
    /// than Σc·z.</summary>
    private static string? Check(PlanFrame frame, ReadOnlySpan<double> heights, List<ContactPlace> contacts, double width, double tolerance)
    {
        const double Equations = 1e-9;
        double high = 0, low = 0, u = 0, w = 0, z = 0;
        foreach (var (index, weight) in contacts)
        {
            if (weight > 0)
                high += weight;
            else
                low -= weight;
            u += weight * frame.U[index];
            w += weight * frame.W[index];
            z += weight * heights[index];
        }

        if (Math.Abs(high - 1) > Equations || Math.Abs(low - 1) > Equations || Math.Abs(u) > Equations || Math.Abs(w) > Equations)
            return "The weights of the contacts do not satisfy their equations.";
        return Math.Abs(width - z) > tolerance ? "The contacts do not reproduce the zone: rounding hides the last digits." : null;
    }
}
