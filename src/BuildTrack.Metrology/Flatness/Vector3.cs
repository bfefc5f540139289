namespace BuildTrack.Metrology.Flatness;

/// <summary>A direction or a place in space, double precision.</summary>
internal readonly record struct Vector3(double X, double Y, double Z)
{
    public double Length => Math.Sqrt(Dot(this));

    public static Vector3 operator +(Vector3 one, Vector3 other) => new(one.X + other.X, one.Y + other.Y, one.Z + other.Z);

    public static Vector3 operator -(Vector3 one, Vector3 other) => new(one.X - other.X, one.Y - other.Y, one.Z - other.Z);

    public static Vector3 operator *(double factor, Vector3 vector) => new(factor * vector.X, factor * vector.Y, factor * vector.Z);

    public double Dot(Vector3 other) => (X * other.X) + (Y * other.Y) + (Z * other.Z);

    public Vector3 Cross(Vector3 other) =>
        new((Y * other.Z) - (Z * other.Y), (Z * other.X) - (X * other.Z), (X * other.Y) - (Y * other.X));

    public Vector3 Unit() => 1 / Length * this;

    /// <summary>Turned, if need be, so that it points upward: z above zero; where z is zero, y; then x.</summary>
    public Vector3 Upward() => Z < 0 || (Z == 0 && (Y < 0 || (Y == 0 && X < 0))) ? -1 * this : this;

    /// <summary>Two unit vectors across a unit vector, the first as near to the x axis as can be (to the y axis where it lies along x).</summary>
    public (Vector3 First, Vector3 Second) Across()
    {
        var start = Math.Abs(X) < 0.9 ? new Vector3(1, 0, 0) : new Vector3(0, 1, 0);
        var first = (start - (start.Dot(this) * this)).Unit();
        first = (first - (first.Dot(this) * this)).Unit();
        return (first, Cross(first));
    }
}
