using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace BuildTrack.Metrology.Flatness;

/// <summary>The vertical zone of some thousand points, for which neither blocks nor lists are worth their making.</summary>
/// <remarks>
/// <para>One pass above a first plane keeps the outermost points of eight stretches of the input in each of four lanes. Their zone is found, and every point is held against it:
/// what stands out joins, until nothing does. That last pass is the proof that the zone holds every point, and it has listed those that touch.</para>
/// <para>Whatever is not plain is left to <see cref="ManyPoints"/>: a slope that is free along an edge, contacts without end, digits that rounding takes.</para>
/// </remarks>
internal static class SomePoints
{
    /// <summary>Beyond, blocks are worth their making.</summary>
    public const int MostPoints = 4096;

    private const int Stretches = 6;
    private const int Lanes = 4;
    private const int Kept = 2 * Stretches * Lanes;
    private const int MostMembers = 112;
    private const int MostNear = 32;
    private const int MostRounds = 16;

    /// <summary>Rounding may pretend at most this part of the zone: a tenth of what counts as touching.</summary>
    private const double LargestFloor = 1e-11;

    /// <summary>What was found.</summary>
    /// <param name="First">Heights above the first plane.</param>
    /// <param name="Plane">The first plane tilted as the zone is.</param>
    /// <param name="Top">Level of the zone's upper plane above that.</param>
    /// <param name="Bottom">Level of the zone's lower plane above that.</param>
    /// <param name="Proof">The contacts; no fault.</param>
    public readonly record struct Found(Heights First, PlanePlace Plane, double Top, double Bottom, ZoneProof Proof);

    /// <summary>Heights above a plane.</summary>
    /// <param name="Top">The largest.</param>
    /// <param name="Bottom">The smallest.</param>
    /// <param name="Squares">Σ of their squares.</param>
    public readonly record struct Heights(double Top, double Bottom, double Squares);

    /// <summary>The zone; null where it must be sought the careful way.</summary>
    /// <param name="x">Positions, mm.</param>
    /// <param name="y">Positions, mm.</param>
    /// <param name="z">Heights, µm.</param>
    /// <param name="moments">Of the points.</param>
    /// <param name="first">A plane near them, through their mean.</param>
    // The room for members is 3 kB: clearing it would take a tenth of the whole time, and nothing is read before it is written.
    [SkipLocalsInit]
    public static Found? Of(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlaneMoments moments, in PlanePlace first)
    {
        Span<int> places = stackalloc int[Kept];
        var kept = Outermost(x, y, z, first, places, out var about);
        var members = new Members(
            x, y, z, first, new ZoneFrame(moments, first),
            stackalloc int[MostMembers], stackalloc double[MostMembers], stackalloc double[MostMembers], stackalloc double[MostMembers]);
        members.JoinFours(places[..kept]);
        for (var at = x.Length & ~((2 * Lanes) - 1); at < x.Length; at++)
            members.Join(at);

        Span<int> near = stackalloc int[MostNear];
        var zone = new VerticalZone();
        members.Solve(zone, again: false);
        for (var round = 0; round < MostRounds && zone.Finished; round++)
        {
            var plane = members.Frame.Tilted(zone.SlopeU, zone.SlopeW);
            var floor = Floor(plane, moments, about);
            if (!(4 * floor <= LargestFloor * zone.Width))
                return null;
            double tolerance = ZoneProof.Tolerance(zone.Width, floor), beyond = (1e-12 * zone.Width) + (4 * floor);
            var count = Near(x, y, z, plane, zone.High - (2 * tolerance), zone.Low + (2 * tolerance), near);
            var before = members.Count;
            double top = double.NegativeInfinity, bottom = double.PositiveInfinity;
            if (count > near.Length)
            {
                // More than the list takes: the contacts and the outermost points of each stretch and lane begin anew.
                kept = Outermost(x, y, z, plane, places, out var outer);
                if (outer.Top <= zone.High + beyond && outer.Bottom >= zone.Low - beyond)
                    return null;
                members.BeginAnew(zone, places[..kept]);
                members.Solve(zone, again: false);
                continue;
            }

            foreach (var at in near[..count])
            {
                var rest = plane.Above(x[at], y[at], z[at]);
                (top, bottom) = (Math.Max(top, rest), Math.Min(bottom, rest));
                if (rest > zone.High + beyond || rest < zone.Low - beyond)
                    members.Join(at);
            }

            if (members.IsFull)
                return null;
            if (members.Count > before)
            {
                members.Solve(zone, again: true);
                continue;
            }

            return IsPlain(zone, moments, top - bottom, plane) && members.Proof(zone, plane, (top, bottom), near[..count], floor) is { Fault: null } proof
                ? new Found(about, plane, top, bottom, proof) : null;
        }

        return null;
    }

    /// <summary>No other direction can be narrower by anything that counts, and the slope is free nowhere.</summary>
    private static bool IsPlain(VerticalZone zone, in PlaneMoments moments, double height, in PlanePlace plane)
    {
        const double UmPerMm = Length.MicrometresPerMillimetre;
        var width = height * ManyPoints.Tilt(plane);
        return zone.IsPinned() && TiltedZone.LargestGain(width, moments.PlanWidth * UmPerMm) <= MinimumZoneFit.Nothing(width);
    }

    /// <summary>What rounding can pretend in a height above a plane, µm; also where the plane's place is not taken off first.</summary>
    private static double Floor(in PlanePlace plane, in PlaneMoments moments, in Heights about)
    {
        // No distance from the mean is larger than the root of the sum of all squares.
        double farX = Math.Sqrt(moments.XX) + (2 * Math.Abs(plane.X)), farY = Math.Sqrt(moments.YY) + (2 * Math.Abs(plane.Y));
        return 8 * Rounding.Unit * ((Math.Abs(plane.AlongX) * farX) + (Math.Abs(plane.AlongY) * farY) + Math.Abs(plane.Z) + Math.Max(about.Top, -about.Bottom));
    }

    /// <summary>The outermost points of each stretch in each lane, tops before bottoms.</summary>
    /// <param name="x">Positions, mm.</param>
    /// <param name="y">Positions, mm.</param>
    /// <param name="z">Heights, µm.</param>
    /// <param name="plane">Heights count from here.</param>
    /// <param name="places">Takes their indices.</param>
    /// <param name="about">Of all points.</param>
    /// <returns>How many were kept.</returns>
    // One loop without a call: everything stays in registers.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static int Outermost(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlanePlace plane, Span<int> places, out Heights about)
    {
        ref var firstX = ref MemoryMarshal.GetReference(x);
        ref var firstY = ref MemoryMarshal.GetReference(y);
        ref var firstZ = ref MemoryMarshal.GetReference(z);
        Vector256<double> atX = Vector256.Create(plane.X), atY = Vector256.Create(plane.Y), atZ = Vector256.Create(plane.Z);
        Vector256<double> byX = Vector256.Create(-plane.AlongX), byY = Vector256.Create(-plane.AlongY);
        Vector256<double> squares = default, highest = Vector256.Create(double.NegativeInfinity), lowest = Vector256.Create(double.PositiveInfinity);
        Vector256<long> tag = Vector256.Create(0L, 1, 2, 3), step = Vector256.Create((long)Lanes), tagged = Vector256.Create(MostPoints - 1L);
        // Two steps a turn: one sum of squares would wait for itself.
        var others = Vector256<double>.Zero;
        var whole = (nuint)(x.Length & ~((2 * Lanes) - 1));
        var stretch = ((((nuint)x.Length / (2 * Lanes)) + Stretches - 1) / Stretches) * (2 * Lanes);
        var kept = 0;
        for (nuint i = 0; i < whole;)
        {
            var end = Math.Min(whole, i + stretch);
            Vector256<double> tops = Vector256.Create(double.NegativeInfinity), bottoms = Vector256.Create(double.PositiveInfinity);
            for (; i < end; i += 2 * Lanes)
            {
                var one = Vector256.FusedMultiplyAdd(byX, Vector256.LoadUnsafe(ref firstX, i) - atX, Vector256.LoadUnsafe(ref firstZ, i) - atZ);
                var two = Vector256.FusedMultiplyAdd(byX, Vector256.LoadUnsafe(ref firstX, i + Lanes) - atX, Vector256.LoadUnsafe(ref firstZ, i + Lanes) - atZ);
                one = Vector256.FusedMultiplyAdd(byY, Vector256.LoadUnsafe(ref firstY, i) - atY, one);
                two = Vector256.FusedMultiplyAdd(byY, Vector256.LoadUnsafe(ref firstY, i + Lanes) - atY, two);
                squares = Vector256.FusedMultiplyAdd(one, one, squares);
                others = Vector256.FusedMultiplyAdd(two, two, others);
                highest = Vector256.MaxNative(Vector256.MaxNative(one, two), highest);
                lowest = Vector256.MinNative(Vector256.MinNative(one, two), lowest);

                // To choose by, the index stands in the last bits of the height itself; forty bits are left.
                one = (Vector256.AndNot(one.AsInt64(), tagged) | tag).AsDouble();
                tag += step;
                two = (Vector256.AndNot(two.AsInt64(), tagged) | tag).AsDouble();
                tag += step;
                tops = Vector256.MaxNative(Vector256.MaxNative(one, two), tops);
                bottoms = Vector256.MinNative(Vector256.MinNative(one, two), bottoms);
            }

            Vector256.Narrow(tops.AsInt64() & tagged, bottoms.AsInt64() & tagged).CopyTo(places[kept..]);
            kept += 2 * Lanes;
        }

        squares += others;
        var top = Math.Max(Math.Max(highest[0], highest[1]), Math.Max(highest[2], highest[3]));
        var bottom = Math.Min(Math.Min(lowest[0], lowest[1]), Math.Min(lowest[2], lowest[3]));
        var sum = squares[0] + squares[1] + (squares[2] + squares[3]);
        for (var k = (int)whole; k < x.Length; k++)
        {
            var rest = plane.Above(x[k], y[k], z[k]);
            (top, bottom, sum) = (Math.Max(top, rest), Math.Min(bottom, rest), sum + (rest * rest));
        }

        about = new Heights(top, bottom, sum);
        return kept;
    }

    /// <summary>The points above one level or below another, in the order of the input, from raw coordinates: what that rounds off is within the tolerance.</summary>
    /// <returns>How many; more than the list takes where it is full.</returns>
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static int Near(ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, in PlanePlace plane, double high, double low, Span<int> near)
    {
        ref var firstX = ref MemoryMarshal.GetReference(x);
        ref var firstY = ref MemoryMarshal.GetReference(y);
        ref var firstZ = ref MemoryMarshal.GetReference(z);
        (high, low) = (high + plane.Level, low + plane.Level);
        Vector256<double> byX = Vector256.Create(-plane.AlongX), byY = Vector256.Create(-plane.AlongY), above = Vector256.Create(high), below = Vector256.Create(low);
        var count = 0;
        nuint i = 0;
        var whole = (nuint)(x.Length & ~((4 * Lanes) - 1));
        for (; i < whole; i += 4 * Lanes)
        {
            Vector256<double> one = Rest(ref firstX, ref firstY, ref firstZ, i, byX, byY), two = Rest(ref firstX, ref firstY, ref firstZ, i + Lanes, byX, byY);
            Vector256<double> three = Rest(ref firstX, ref firstY, ref firstZ, i + (2 * Lanes), byX, byY), four = Rest(ref firstX, ref firstY, ref firstZ, i + (3 * Lanes), byX, byY);
            var highest = Vector256.MaxNative(Vector256.MaxNative(one, two), Vector256.MaxNative(three, four));
            var lowest = Vector256.MinNative(Vector256.MinNative(one, two), Vector256.MinNative(three, four));
            if ((Vector256.GreaterThan(highest, above) | Vector256.LessThan(lowest, below)).ExtractMostSignificantBits() == 0)
                continue;
            var bits = Out(one, above, below) | (Out(two, above, below) << Lanes) | (Out(three, above, below) << (2 * Lanes)) | (Out(four, above, below) << (3 * Lanes));
            for (; bits != 0; bits &= bits - 1)
            {
                if (count == near.Length)
                    return count + 1;
                near[count++] = (int)i + System.Numerics.BitOperations.TrailingZeroCount(bits);
            }
        }

        for (var k = (int)whole; k < x.Length; k++)
        {
            var rest = Math.FusedMultiplyAdd(-plane.AlongY, y[k], Math.FusedMultiplyAdd(-plane.AlongX, x[k], z[k]));
            if (rest <= high && rest >= low)
                continue;
            if (count == near.Length)
                return count + 1;
            near[count++] = k;
        }

        return count;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<double> Rest(ref double x, ref double y, ref double z, nuint at, Vector256<double> byX, Vector256<double> byY) =>
        Vector256.FusedMultiplyAdd(byY, Vector256.LoadUnsafe(ref y, at), Vector256.FusedMultiplyAdd(byX, Vector256.LoadUnsafe(ref x, at), Vector256.LoadUnsafe(ref z, at)));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static uint Out(Vector256<double> rest, Vector256<double> above, Vector256<double> below) =>
        (Vector256.GreaterThan(rest, above) | Vector256.LessThan(rest, below)).ExtractMostSignificantBits();

    /// <summary>The points that can be contacts.</summary>
    private ref struct Members(
        ReadOnlySpan<double> x, ReadOnlySpan<double> y, ReadOnlySpan<double> z, PlanePlace first, ZoneFrame frame, Span<int> places, Span<double> u, Span<double> w, Span<double> heights)
    {
        private readonly ReadOnlySpan<double> _x = x, _y = y, _z = z;
        private readonly Span<int> _places = places;
        private readonly Span<double> _u = u, _w = w, _heights = heights;

        public int Count { get; private set; }

        /// <summary>There was one more than there is room for.</summary>
        public bool IsFull { get; private set; }

        public readonly ZoneFrame Frame => frame;

        public void Join(int at)
        {
            if (Count == _places.Length)
            {
                IsFull = true;
                return;
            }

            (_u[Count], _w[Count]) = frame.Place(_x[at], _y[at]);
            (_heights[Count], _places[Count]) = (first.Above(_x[at], _y[at], _z[at]), at);
            Count++;
        }

        /// <summary>These members, and the contacts of the zone until now.</summary>
        public void BeginAnew(VerticalZone zone, ReadOnlySpan<int> at)
        {
            Span<int> contacts = stackalloc int[Lanes];
            for (var row = 0; row < Lanes; row++)
                contacts[row] = zone.Contact(row).Index is var member and >= 0 ? _places[member] : -1;
            JoinFours(at);
            foreach (var contact in contacts)
            {
                if (contact >= 0)
                    Join(contact);
            }
        }

        /// <summary>The first members, four at a time.</summary>
        public void JoinFours(ReadOnlySpan<int> at)
        {
            for (var k = 0; k < at.Length; k += Lanes)
            {
                int a = at[k], b = at[k + 1], c = at[k + 2], d = at[k + 3];
                Vector256<double> x = Vector256.Create(_x[a], _x[b], _x[c], _x[d]), y = Vector256.Create(_y[a], _y[b], _y[c], _y[d]);
                var (u, w) = frame.Place(x, y);
                u.CopyTo(_u[k..]);
                w.CopyTo(_w[k..]);
                first.Above(x, y, Vector256.Create(_z[a], _z[b], _z[c], _z[d])).CopyTo(_heights[k..]);
                (_places[k], _places[k + 1], _places[k + 2], _places[k + 3]) = (a, b, c, d);
            }

            Count = at.Length;
        }

        public readonly void Solve(VerticalZone zone, bool again)
        {
            if (again)
                zone.SolveAgain(_u[..Count], _w[..Count], _heights[..Count]);
            else
                zone.Solve(_u[..Count], _w[..Count], _heights[..Count]);
        }

        /// <summary>Where the only four points that touch are the contacts, no others can prove the zone; else those with the lowest indices are sought.</summary>
        public readonly ZoneProof Proof(VerticalZone zone, in PlanePlace plane, (double Top, double Bottom) levels, ReadOnlySpan<int> near, double floor)
        {
            var width = levels.Top - levels.Bottom;
            var tolerance = ZoneProof.Tolerance(width, floor);
            Span<int> touching = stackalloc int[near.Length];
            var count = 0;
            foreach (var at in near)
            {
                var rest = plane.Above(_x[at], _y[at], _z[at]);
                if (levels.Top - rest <= tolerance || rest - levels.Bottom <= tolerance)
                    touching[count++] = at;
            }

            if (count != 4)
            {
                var search = new InOrder(this, touching[..count]);
                return ZoneProof.Of(ref search, width, tolerance);
            }

            // High contacts first, each side by index.
            Span<(PlacedHeight At, double Weight)> known = stackalloc (PlacedHeight, double)[4];
            for (var row = 0; row < known.Length; row++)
            {
                var (member, weight) = zone.Contact(row);
                var (contact, k) = (new PlacedHeight(_places[member], _u[member], _w[member], _heights[member]), row);
                for (; k > 0 && (known[k - 1].Weight > 0 == weight > 0 ? known[k - 1].At.Index > contact.Index : weight > 0); k--)
                    known[k] = known[k - 1];
                known[k] = (contact, weight);
            }

            return ZoneProof.Of(known, width, tolerance);
        }

        private ref struct InOrder(Members members, ReadOnlySpan<int> touching) : ITouching
        {
            private readonly Members _members = members;
            private readonly ReadOnlySpan<int> _touching = touching;
            private int _next;

            public void Take(List<PlacedHeight> taken, int wanted)
            {
                for (; _next < _touching.Length && taken.Count < wanted; _next++)
                {
                    var at = _touching[_next];
                    var (u, w) = _members.Frame.Place(_members._x[at], _members._y[at]);
                    taken.Add(new PlacedHeight(at, u, w, _members.First.Above(_members._x[at], _members._y[at], _members._z[at])));
                }
            }
        }

        private readonly PlanePlace First => first;
    }
}
