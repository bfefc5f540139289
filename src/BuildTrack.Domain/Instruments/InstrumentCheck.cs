using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Domain.Instruments;

/// <summary>A check before use against something known: block, master, nest.</summary>
/// <param name="Revision">State of the register that stood.</param>
/// <param name="Day">yyyy-MM-dd in plant time.</param>
/// <param name="Reference">What it was checked against: "step block 10.00 mm, no. 4".</param>
/// <param name="Found">The departure found, with sign.</param>
/// <param name="Limit">Largest departure allowed, without sign.</param>
public sealed record InstrumentCheck(long Id, string Instrument, int Revision, string Day, string Person, Instant At, string Reference, Amount Found, Amount Limit)
{
    /// <summary>The departure keeps within its limit; one on the limit does.</summary>
    public bool Good => Math.Abs(Found.Calculated) <= Limit.Calculated * (1 + 1e-12);

    /// <summary>"check of LVL-02 on 2026-11-27 failed: found 3 µm/m, allowed 2 µm/m, against the granite plate".</summary>
    public string Sentence => $"check of {Instrument} on {Day} {(Good ? "was good" : "failed")}: found {Found}, allowed {Limit}, against {Reference}";
}

/// <summary>A level read twice at one place, the second time end for end: its zero and the true slope (docs/method/reversal.md).</summary>
/// <param name="Place">Where it stood.</param>
/// <param name="First">First reading, as typed.</param>
/// <param name="Second">Reading end for end, in the level's own sense.</param>
/// <param name="ZeroUmPerM">Zero error (A + B)/2, µm/m.</param>
/// <param name="SlopeUmPerM">Slope (A − B)/2 in the sense of the first reading, µm/m.</param>
public sealed record LevelReversal(
    long Id, string Instrument, int Revision, string Day, string Person, Instant At, string Place, Amount First, Amount Second, double ZeroUmPerM, double SlopeUmPerM)
{
    /// <summary>Works the reversal out.</summary>
    /// <param name="entry">The level; a division is worth what it says.</param>
    /// <exception cref="ArgumentOutOfRangeException">A reading that no level shows.</exception>
    public static LevelReversal Of(long id, RegisterEntry entry, string day, string person, Instant at, string place, Amount first, Amount second)
    {
        ArgumentNullException.ThrowIfNull(entry);
        double Slope(Amount a) => a.Unit == "div" ? (double)a.Value * (entry.Division?.Calculated ?? 1) : a.Calculated;
        var zero = Reversals.OfLevel(Slope(first), Slope(second));
        return new LevelReversal(id, entry.Id, entry.Revision, day, person, at, place, first, second, zero.ZeroErrorUmPerM, zero.SlopeUmPerM);
    }
}
