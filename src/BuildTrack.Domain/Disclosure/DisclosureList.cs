using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BuildTrack.Domain.Canonical;

namespace BuildTrack.Domain.Disclosure;

/// <summary>What the customer's copy of a machine's certificates leaves out. What is not named here is disclosed.</summary>
/// <remarks>Results, limits, uncertainties, verdicts, instruments, concessions, open items of the punch list and the customer's witness are always on the copy.</remarks>
/// <param name="Readings">Lines of the inspection and test plan whose readings are withheld, or <see cref="AllLines"/> alone.</param>
/// <param name="Names">The plant's people are named by role and number.</param>
/// <param name="Replaced">Measurements that later ones replaced are left out.</param>
/// <param name="Reasons">Why runs were set aside is left out; that they were stays.</param>
/// <param name="Serials">Serial numbers, firmware and certificates of the as-built list are left out, and what was taken out again.</param>
public sealed record DisclosureList(ImmutableArray<string> Readings, bool Names, bool Replaced, bool Reasons, bool Serials)
{
    /// <summary>Stands for every line of the plan.</summary>
    public const string AllLines = "all";

    /// <summary>Nothing is left out: the certificate itself is the customer's copy.</summary>
    [JsonIgnore]
    public bool IsEmpty => Readings.IsEmpty && !Names && !Replaced && !Reasons && !Serials;

    [JsonIgnore]
    public bool EveryReading => Readings is [AllLines];

    /// <summary>What is left out, one phrase each: "the readings of lines 100-01, 100-03". Empty where nothing is.</summary>
    [JsonIgnore]
    public ImmutableArray<string> LeftOut =>
    [
        .. new[]
        {
            Readings.IsEmpty ? null : EveryReading ? "the readings of all lines" : $"the readings of line{(Readings.Length == 1 ? "" : "s")} {string.Join(", ", Readings)}, wherever another line rests on them too",
            Names ? "the names of the plant's people, who are named by role and number" : null,
            Replaced ? "earlier measurements that later ones replaced" : null,
            Reasons ? "the reasons why runs were set aside" : null,
            Serials ? "serial numbers, firmware and certificates of the components" : null,
        }.OfType<string>(),
    ];
}

/// <summary>A disclosure list as it was agreed. A later one takes its place; both stay.</summary>
/// <param name="Revision">1 for the first of a machine.</param>
/// <param name="AgreedWith">The customer's person, and where it stands: "Hollis Brandt-Leigh, contract annex 4".</param>
/// <param name="Reason">Why it was changed; null where none was given before the hold point was released.</param>
/// <param name="ApprovedBy">The second person, who approved a change after the hold point was released; null before.</param>
/// <param name="Person">Who recorded it.</param>
public sealed record DisclosureRevision(
    long Id, int Revision, DisclosureList List, string AgreedWith, string? Reason, string? ApprovedBy, string Person, Instant At);
