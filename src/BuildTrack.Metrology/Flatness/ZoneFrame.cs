using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace BuildTrack.Metrology.Flatness;

/// <summary>Plan positions in a frame made for calculation: one axis along the longer spread, the other across it with its part along the first taken out, both about ±1.</summary>
internal readonly struct ZoneFrame
{
    private readonly PlanePlace _base;
    private readonly bool _alongX;
    private readonly double _shear;
    private readonly double _perU;
    private readonly double _perW;

    /// <summary>Four times the spread is about the extent; the scales only have to be of the right size.</summary>
    public ZoneFrame(in PlaneMoments moments, in PlanePlace place)
    {
        _base = place;
        _alongX = moments.XX >= moments.YY;
        var longer = _alongX ? moments.XX : moments.YY;
        _shear = moments.XY / longer;
        _perU = 1 / (4 * Math.Sqrt(longer / moments.Count));
        _perW = _perU / moments.Breadth;
    }

    public (double U, double W) Place(double x, double y)
    {
        var (primary, secondary) = _alongX ? (x - _base.X, y - _base.Y) : (y - _base.Y, x - _base.X);
        return (primary * _perU, (secondary - (_shear * primary)) * _perW);
    }

    /// <summary>Of four places at once.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public (Vector256<double> U, Vector256<double> W) Place(Vector256<double> x, Vector256<double> y)
    {
        Vector256<double> dx = x - Vector256.Create(_base.X), dy = y - Vector256.Create(_base.Y);
        var (primary, secondary) = _alongX ? (dx, dy) : (dy, dx);
        return (primary * Vector256.Create(_perU), (secondary - (Vector256.Create(_shear) * primary)) * Vector256.Create(_perW));
    }

    /// <summary>The base plane tilted by slopes of this frame.</summary>
    public PlanePlace Tilted(double slopeU, double slopeW)
    {
        var across = slopeW * _perW;
        var along = (slopeU * _perU) - (_shear * across);
        return _alongX
            ? _base with { AlongX = _base.AlongX + along, AlongY = _base.AlongY + across }
            : _base with { AlongX = _base.AlongX + across, AlongY = _base.AlongY + along };
    }
}
