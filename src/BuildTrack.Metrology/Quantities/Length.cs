using System.Globalization;

namespace BuildTrack.Metrology;

/// <summary>A length or a height, kept in micrometres as a double.</summary>
/// <remarks>
/// <para>Double, not integer nanometres: a calculated flatness has digits below a nanometre, and rounding happens once, where a
/// length is stored (<see cref="Nanometres"/>). Every whole number of nanometres up to 4·10¹⁵ (4 km) comes back unchanged.</para>
/// <para>Never NaN or infinite: the factories refuse both. The default is zero.</para>
/// </remarks>
public readonly record struct Length : IComparable<Length>
{
    /// <summary>1 mm = 1000 µm.</summary>
    public const double MicrometresPerMillimetre = 1000.0;

    /// <summary>1 µm = 1000 nm.</summary>
    public const double NanometresPerMicrometre = 1000.0;

    private Length(double micrometres) => Micrometres = micrometres;

    /// <summary>No length.</summary>
    public static Length Zero => default;

    /// <summary>The length in micrometres; finite.</summary>
    public double Micrometres { get; }

    /// <summary>The length in millimetres; finite, rounded once.</summary>
    public double Millimetres => Micrometres / MicrometresPerMillimetre;

    /// <summary>The length in whole nanometres, halves to the even neighbour: the form that is stored.</summary>
    /// <exception cref="OverflowException">The length lies beyond the range of a 64-bit integer (9·10⁹ m).</exception>
    public long Nanometres => checked((long)Math.Round(Micrometres * NanometresPerMicrometre, MidpointRounding.ToEven));

    /// <summary>From micrometres.</summary>
    /// <exception cref="ArgumentException">NaN or infinite.</exception>
    public static Length FromMicrometres(double micrometres) => new(Guard.Finite(micrometres, nameof(micrometres)));

    /// <summary>From millimetres.</summary>
    /// <exception cref="ArgumentException">NaN or infinite, also after the conversion.</exception>
    public static Length FromMillimetres(double millimetres) =>
        new(Guard.Finite(Guard.Finite(millimetres, nameof(millimetres)) * MicrometresPerMillimetre, nameof(millimetres)));

    /// <summary>From whole nanometres, the stored form.</summary>
    public static Length FromNanometres(long nanometres) => new(nanometres / NanometresPerMicrometre);

    public static Length operator +(Length left, Length right) => FromMicrometres(left.Micrometres + right.Micrometres);

    public static Length operator -(Length left, Length right) => FromMicrometres(left.Micrometres - right.Micrometres);

    public static Length operator -(Length length) => new(-length.Micrometres);

    public static bool operator <(Length left, Length right) => left.Micrometres < right.Micrometres;

    public static bool operator >(Length left, Length right) => left.Micrometres > right.Micrometres;

    public static bool operator <=(Length left, Length right) => left.Micrometres <= right.Micrometres;

    public static bool operator >=(Length left, Length right) => left.Micrometres >= right.Micrometres;

    public static Length Add(Length left, Length right) => left + right;

    public static Length Subtract(Length left, Length right) => left - right;

    public static Length Negate(Length length) => -length;

    public int CompareTo(Length other) => Micrometres.CompareTo(other.Micrometres);

    /// <summary>"11.6 µm", the shortest digits that come back the same, invariant culture: for messages and logs, not for pages.</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Micrometres:R} µm");
}
