using System.Collections.Immutable;

namespace BuildTrack.Documents.Checking;

/// <summary>How one line of a check came out.</summary>
public enum CheckOutcome
{
    Holds,

    /// <summary>Something differs; the sentence says where, what was found, what was expected.</summary>
    DoesNotHold,

    /// <summary>Could not be looked at with what was given; neither for nor against.</summary>
    NotChecked,
}

/// <summary>One line of a check.</summary>
/// <param name="About">seal, signer, record, hashes, results, concessions, text, full.</param>
/// <param name="Sentence">"holds: …" or "does not hold: where, found, expected".</param>
public sealed record CheckLine(string About, CheckOutcome Outcome, string Sentence);

/// <summary>What a certificate file proves about itself, without any database.</summary>
/// <param name="Readable">False when the file is no certificate at all; then the only line says why.</param>
/// <param name="Number">The certificate's number, when the record could be read.</param>
/// <param name="SignerFingerprint">SHA-256 of the certificate that sealed, when there is a seal.</param>
public sealed record CheckReport(bool Readable, string? Number, int? Issue, string? SignerFingerprint, ImmutableArray<CheckLine> Lines)
{
    /// <summary>It is a customer's copy.</summary>
    public bool IsCopy { get; init; }

    /// <summary>Nothing failed. A line that was not checked does not fail.</summary>
    public bool Holds => Readable && Lines.All(l => l.Outcome != CheckOutcome.DoesNotHold);
}

/// <summary>Collects the lines of a check.</summary>
internal sealed class CheckLines
{
    private readonly ImmutableArray<CheckLine>.Builder lines = ImmutableArray.CreateBuilder<CheckLine>();

    public void Holds(string about, string what) => lines.Add(new CheckLine(about, CheckOutcome.Holds, $"holds: {what}"));

    public void Fails(string about, string what) => lines.Add(new CheckLine(about, CheckOutcome.DoesNotHold, $"does not hold: {what}"));

    public void NotChecked(string about, string what) => lines.Add(new CheckLine(about, CheckOutcome.NotChecked, $"not checked: {what}"));

    public ImmutableArray<CheckLine> All() => lines.ToImmutable();
}
