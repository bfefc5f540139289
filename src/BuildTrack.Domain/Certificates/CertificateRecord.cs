using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Disclosure;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Nonconformances;

namespace BuildTrack.Domain.Certificates;

/// <summary>Everything a certificate says, frozen in the act that took its number. Its canonical text is embedded in the document.</summary>
/// <param name="Format">"buildtrack-certificate/1"; that of a customer's copy is <see cref="CustomersCopy.Format"/>.</param>
/// <param name="Number">OVC-2026-0031; amendments keep it and raise <paramref name="Issue"/>.</param>
/// <param name="IssuedLocal">Date and time with offset in the plant's time zone, as printed.</param>
/// <param name="Supersedes">The issue this one replaces, with why; null for the first.</param>
/// <param name="Limits">Edition and hash of the checklists, and who approved them.</param>
/// <param name="People">Name and role by sign-in name, for everybody named in the record.</param>
/// <param name="Replaced">Measurements that later ones replaced, with the reason for repeating.</param>
/// <param name="History">The place in the history of acts that this record rests on.</param>
/// <param name="KeyFingerprint">SHA-256 of the plant's sealing certificate.</param>
/// <param name="Concessions">What may be used although it does not conform; absent in records from before there were any.</param>
/// <param name="OpenPunch">Items of the punch list that are still open; absent in records from before there were any.</param>
/// <param name="Components">What the machine carries, component by component; absent in records from before it was printed, and where no point of the scope waits for the as-built list.</param>
/// <param name="Disclosure">What the customer's copy leaves out; absent where no disclosure list was agreed, and in records from before there were any.</param>
/// <param name="Papers">Runs whose readings are from a signed protocol on paper; absent in records from before they were printed, and where no run is.</param>
/// <param name="Witnesses">What came of the customer's visits; absent in records from before there were any, and where the plan asks for none.</param>
public sealed record CertificateRecord(
    string Format, string Number, int Issue, string Scope, string ScopeTitle, Plant Plant, Instant IssuedAt, string IssuedLocal, string? Supersedes,
    CertifiedMachine Machine, ApprovedLimits Limits, ImmutableArray<CertifiedResult> Results, ImmutableArray<CertifiedRelease> Releases,
    ImmutableSortedDictionary<string, CertifiedPerson> People, ImmutableArray<ReplacedMeasurement> Replaced, HistoryCheckpoint History, string KeyFingerprint,
    ImmutableArray<CertifiedConcession>? Concessions = null, ImmutableArray<CertifiedPunchItem>? OpenPunch = null, ImmutableArray<CertifiedWitness>? Witnesses = null,
    ImmutableArray<CertifiedComponent>? Components = null, CertifiedDisclosure? Disclosure = null, ImmutableArray<CertifiedPaper>? Papers = null)
{
    public const string CurrentFormat = "buildtrack-certificate/1";

    /// <summary>The file name of the canonical text inside the document.</summary>
    public const string EmbeddedName = "certificate.json";

    /// <summary>This is the customer's copy, not the certificate itself.</summary>
    [JsonIgnore]
    public bool IsCopy => Format == CustomersCopy.Format;
}

/// <summary>The plant that issues.</summary>
/// <param name="TimeZone">IANA name: Europe/Vienna.</param>
public sealed record Plant(string Name, string Prefix, string TimeZone);

public sealed record CertifiedMachine(string Serial, string Model, string ModelName, string Class, string Customer, double SeatLengthMm, double GaugeMm);

public sealed record ApprovedLimits(string Edition, string Hash, string ApprovedBy, string ApprovedLocal);

/// <summary>One result with everything it was calculated from.</summary>
/// <param name="EvaluationHash">SHA-256 of the canonical text of <paramref name="Evaluation"/>.</param>
/// <param name="Budget">Where the reach comes from; absent without a reach, and in records from before it was printed.</param>
/// <param name="Withheld">True on a customer's copy that does not disclose the readings: the hash is that of the whole calculation, which is not here. Absent everywhere else.</param>
/// <remarks>Runs set aside stand in the evaluation's sources with their reasons.</remarks>
public sealed record CertifiedResult(string Line, string Title, string EvaluationHash, EvaluationRecord Evaluation, ResultBudget? Budget = null, bool? Withheld = null)
{
    /// <summary>The result with its budget worked out.</summary>
    public static CertifiedResult Of(string line, string title, string hash, EvaluationRecord evaluation) => new(line, title, hash, evaluation, ResultBudget.Of(evaluation));
}

/// <summary>The decision of a named person.</summary>
/// <param name="Measured">True where the person had a hand in the measurement: in an emergency, or where the company's rule allows it; absent everywhere else.</param>
/// <param name="Reason">Why it was released in an emergency; absent for any other release.</param>
/// <param name="ConfirmedBy">The second person, who confirmed a release in an emergency; absent for any other.</param>
/// <param name="For">In whose place it was released, where the right was delegated; absent elsewhere.</param>
/// <param name="Delegation">Number of the delegation.</param>
public sealed record CertifiedRelease(
    string Hold, string HoldName, string Person, Instant At, string Local, string Sheet, bool? Measured = null, string? Reason = null, string? ConfirmedBy = null,
    string? For = null, int? Delegation = null);

public sealed record CertifiedPerson(string Name, string Roles);

public sealed record ReplacedMeasurement(string Survey, string SurveyTitle, int No, string BegunLocal, string Because, ImmutableArray<string> MeasuredBy);

/// <summary>A concession or deviation permit by number, with what it permits, who approved it and when.</summary>
/// <param name="Kind">"use under concession" or "deviation permit".</param>
/// <param name="Result">The failed result it was given for; null for something seen.</param>
/// <param name="Text">What is permitted.</param>
/// <param name="Consent">The customer's person and letter; null where no consent was given.</param>
public sealed record CertifiedConcession(
    string Number, string Nonconformance, string Kind, string Required, string Found, FailedResult? Result, string Text, ImmutableArray<CertifiedApproval> Approvals, CertifiedConsent? Consent);

/// <param name="Roles">The roles the person held when approving.</param>
public sealed record CertifiedApproval(string Person, string Roles, string Local);

/// <param name="Person">The customer's person.</param>
public sealed record CertifiedConsent(string Person, string Letter, string RecordedBy, string Local);

/// <param name="Class">A, B or C; an issued certificate has no open A.</param>
/// <param name="Owner">Sign-in name, or the name of an outside party.</param>
/// <param name="Due">yyyy-MM-dd.</param>
public sealed record CertifiedPunchItem(int No, string Class, string Text, string Owner, string Due);

/// <summary>What came of a customer's visit to a witness point.</summary>
/// <param name="Outcome">"present", "accepts", "accepts with punch list", "did not come", "gave the visit up".</param>
/// <param name="Visit">yyyy-MM-dd it was invited for; null where nobody was invited.</param>
/// <param name="Notice">Working days of notice; null where nobody was invited.</param>
/// <param name="Letter">By which the customer agreed to a shorter notice or gave the visit up; null for none.</param>
/// <param name="Remark">The witness's remark, word for word; null for none.</param>
/// <param name="Statement">Code of the statement that was signed on paper; null for none.</param>
/// <param name="FileHash">SHA-256 of its scan; null for none.</param>
/// <param name="AttestedBy">Who recorded it, and attests the signed paper.</param>
public sealed record CertifiedWitness(
    string Hold, string HoldName, string Witness, string Organisation, string Outcome, string? Visit, int? Notice, string? Letter, string? Remark, string? Statement, string? FileHash, string AttestedBy, string Local);

/// <summary>A run whose readings were written on a signed protocol on paper, entered, and found equal to its scan by a second person.</summary>
/// <param name="Measurement">Number of the measurement within its survey.</param>
/// <param name="Run">Number of the run within its measurement.</param>
/// <param name="Feature">What the survey was measured on; null for the whole.</param>
/// <param name="Code">The code that the paper bears.</param>
/// <param name="Scan">Name of the scan's file.</param>
/// <param name="FileHash">SHA-256 of the scan.</param>
/// <param name="MeasuredBy">Who measured and signed the paper.</param>
/// <param name="Remark">Why it is equal although a difference had been found; null where none had been.</param>
/// <param name="Local">When it was found equal, in plant time.</param>
public sealed record CertifiedPaper(
    string Survey, string SurveyTitle, int Measurement, string? Feature, int Run, string Code, string Scan, string FileHash, string MeasuredBy, string EnteredBy, string ConfirmedBy, string Local, string? Remark = null);

/// <summary>A component of the as-built list.</summary>
/// <param name="Place">rail-r1/2.</param>
/// <param name="Name">"Rail R1, segment 2 of 3".</param>
/// <param name="Firmware">Null where none was recorded.</param>
/// <param name="Certificate">Number of its certificate, or heat number; null where none was recorded.</param>
/// <param name="Joints">"A to B", for a segment with lettered joints; null for none.</param>
/// <param name="Replaced">What it was swapped for, the latest first, each with the reason; absent where nothing was.</param>
public sealed record CertifiedComponent(
    string Place, string Name, string Assembly, string Serial, string? Firmware, string? Certificate, string? Joints, string FittedBy, string Local, ImmutableArray<CertifiedSwap>? Replaced = null);

/// <summary>A component that was taken out.</summary>
public sealed record CertifiedSwap(string Serial, string Reason, string SwappedBy, string Local);

/// <summary>The disclosure list as it stood when the certificate's number was taken.</summary>
/// <param name="Point">The hold point at which lists are agreed.</param>
/// <param name="Local">Day and time it was recorded, in plant time.</param>
/// <param name="Salt">Chance digits, on the certificate alone: without them nobody who guesses what is left out could confirm it by the certificate's hash.</param>
/// <param name="FullRecord">SHA-256 of the certificate's record, on the copy alone.</param>
public sealed record CertifiedDisclosure(
    DisclosureList List, int Revision, string Point, string AgreedWith, string? Reason, string RecordedBy, string? ApprovedBy, string Local, string? Salt, string? FullRecord = null);

/// <summary>Sequence and hash of the last act before the certificate's own.</summary>
public sealed record HistoryCheckpoint(long Sequence, string Hash);

/// <summary>Makes the document of a certificate and seals it. Declared here, made in Documents, joined in the hosts.</summary>
public interface ICertificateRenderer
{
    /// <summary>SHA-256 of the sealing certificate, 64 hexadecimal digits.</summary>
    string KeyFingerprint { get; }

    /// <summary>The sealed PDF of a record.</summary>
    /// <param name="recordText">Canonical text of the record: embedded unchanged.</param>
    byte[] Render(string recordText);
}

/// <summary>Certificate numbers: prefix, year in plant time, running number without gaps.</summary>
public static class CertificateNumber
{
    /// <summary>"OVC-2026-0031".</summary>
    public static string Of(string prefix, int year, int running) => FormattableString.Invariant($"{prefix}-{year:0000}-{running:0000}");
}
