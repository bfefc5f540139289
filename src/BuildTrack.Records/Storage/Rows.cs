namespace BuildTrack.Records.Storage;

// One class per table. Instants are microseconds UTC, lengths nanometres; texts that are hashed are stored as they were hashed.
// Rows are written by acts only (Acts/ActRunner.cs), except sessions, the outbox, long works and a certificate's rendered file.

/// <summary>The one row that every act locks first: number of the last act, hash of its row, next free id.</summary>
public sealed class HeadRow
{
    public int Id { get; set; }
    public long Sequence { get; set; }
    public required string Hash { get; set; }
    public long NextId { get; set; }
}

/// <summary>A row of the history of acts.</summary>
public sealed class ActRow
{
    public long Sequence { get; set; }
    public long AtUs { get; set; }
    public required string Person { get; set; }
    public required string Kind { get; set; }
    public required string Subject { get; set; }

    /// <summary>Canonical JSON of what was asked and what it led to.</summary>
    public required string Payload { get; set; }
    public required string PreviousHash { get; set; }
    public required string Hash { get; set; }
    public string? Key { get; set; }
    public required string RequestHash { get; set; }

    /// <summary>The answer, given again when the same key comes again.</summary>
    public required string Outcome { get; set; }
}

public sealed class PersonRow
{
    public required string Person { get; set; }
    public required string Name { get; set; }
    public required string PasswordHash { get; set; }

    /// <summary>Space-separated roles.</summary>
    public required string Roles { get; set; }
    public bool Disabled { get; set; }
    public long AddedUs { get; set; }
}

public sealed class PlantRow
{
    public int Id { get; set; }
    public required string Name { get; set; }
    public required string Prefix { get; set; }
    public int FirstNumber { get; set; }
    public int FirstNonconformance { get; set; }
    public required string TimeZone { get; set; }
    public int DueDays { get; set; }
}

public sealed class ChecklistRow
{
    public required string Hash { get; set; }
    public required string Edition { get; set; }

    /// <summary>The source files as loaded: canonical JSON, path to text.</summary>
    public required string Files { get; set; }
    public long Order { get; set; }
    public long LoadedUs { get; set; }
    public required string LoadedBy { get; set; }
    public long? ApprovedUs { get; set; }
    public string? ApprovedBy { get; set; }
}

public sealed class InstrumentRow
{
    public required string Id { get; set; }
    public int Revision { get; set; }

    /// <summary>Canonical JSON of the register entry.</summary>
    public required string Entry { get; set; }
    public long AtUs { get; set; }
    public required string By { get; set; }
}

public sealed class MachineRow
{
    public required string Serial { get; set; }
    public required string Model { get; set; }
    public required string Customer { get; set; }
    public required string ChecklistHash { get; set; }

    /// <summary>Canonical JSON of the order's terms.</summary>
    public required string Order { get; set; }
    public long OrderedUs { get; set; }
    public long Version { get; set; }
}

public sealed class MeasurementRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Survey { get; set; }
    public string? Feature { get; set; }
    public int No { get; set; }
    public int PassesPlanned { get; set; }
    public string? RepeatedBecause { get; set; }
    public long BegunUs { get; set; }
    public required string BegunBy { get; set; }
}

public sealed class RunRow
{
    public long Id { get; set; }
    public long MeasurementId { get; set; }
    public required string Serial { get; set; }
    public int No { get; set; }
    public int Kind { get; set; }
    public int? Direction { get; set; }
    public int? Arrow { get; set; }
    public required string Person { get; set; }
    public required string Day { get; set; }

    /// <summary>Canonical JSON of helpers, register entries, checks, conditions and frozen weights.</summary>
    public required string Detail { get; set; }
    public string? Proves { get; set; }
    public string? FileHash { get; set; }

    /// <summary>Canonical JSON of which column of that file is what; null where its header is ours.</summary>
    public string? FileColumns { get; set; }
    public long BegunUs { get; set; }
    public long? FinishedUs { get; set; }
    public long? ShownUs { get; set; }
    public long? DiscardedUs { get; set; }
    public string? DiscardedBy { get; set; }
    public string? DiscardedBecause { get; set; }
}

/// <summary>An instrument of a run: what rests on an instrument is found from here, without reading every run.</summary>
public sealed class RunInstrumentRow
{
    public long RunId { get; set; }
    public required string Instrument { get; set; }
    public required string Day { get; set; }
    public required string Serial { get; set; }
}

/// <summary>Which correction was chosen for a result, and why.</summary>
public sealed class CorrectionChoiceRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Line { get; set; }
    public required string EvaluationHash { get; set; }
    public int Kind { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
    public required string Reason { get; set; }

    /// <summary>Canonical JSON of the option as it was shown.</summary>
    public required string Option { get; set; }
}

/// <summary>An instrument found out of its limits.</summary>
public sealed class UnfitFindingRow
{
    public long Id { get; set; }
    public required string Instrument { get; set; }
    public int Revision { get; set; }

    /// <summary>The error as found and the one allowed, as typed, with unit.</summary>
    public required string Found { get; set; }
    public required string Allowed { get; set; }
    public required string LastGood { get; set; }
    public required string FoundOn { get; set; }
    public required string Reference { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>What was decided about one machine of a finding.</summary>
public sealed class AffectedDecisionRow
{
    public long Id { get; set; }
    public long FindingId { get; set; }
    public required string Serial { get; set; }
    public int Kind { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
    public required string Note { get; set; }

    /// <summary>Canonical JSON of the affected results with the error found.</summary>
    public required string Recalculated { get; set; }
}

public sealed class ReadingRow
{
    public long Id { get; set; }
    public long RunId { get; set; }
    public required string Serial { get; set; }
    public required string Place { get; set; }
    public required string Column { get; set; }
    public int ValueKind { get; set; }
    public required string Typed { get; set; }
    public string? Unit { get; set; }
    public long? Nanometres { get; set; }
    public double? Number { get; set; }
    public string? FileHash { get; set; }
    public long AtUs { get; set; }

    /// <summary>By the tablet's clock, when it was typed and when it was sent.</summary>
    public long? TypedUs { get; set; }
    public long? SentUs { get; set; }
    public required string Person { get; set; }
    public int Route { get; set; }
    public long? Supersedes { get; set; }
    public string? Reason { get; set; }

    /// <summary>SHA-256 of the reading's canonical text as it was recorded.</summary>
    public required string Hash { get; set; }
}

public sealed class BedChangeRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Change { get; set; }
    public required string Note { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

/// <summary>A line of a machine's route card.</summary>
public sealed class RouteRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public int? Step { get; set; }
    public int Act { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
    public string? Reason { get; set; }

    /// <summary>Name of the rework trigger in the machine's edition; null where none was named.</summary>
    public string? Trigger { get; set; }

    /// <summary>Number of the step it was found at; null without a trigger.</summary>
    public int? FoundAt { get; set; }
}

public sealed class NonconformanceRow
{
    public long Id { get; set; }
    public int Number { get; set; }
    public required string Serial { get; set; }
    public int? Step { get; set; }

    /// <summary>Canonical JSON of the failed result as the record had it; null for something seen.</summary>
    public string? Result { get; set; }

    /// <summary>Canonical JSON of what was seen; null where there is a result.</summary>
    public string? Seen { get; set; }
    public int Severity { get; set; }
    public string? Note { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

public sealed class NonconformanceEntryRow
{
    public long Id { get; set; }
    public long NonconformanceId { get; set; }
    public int Act { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }

    /// <summary>Canonical JSON of what the entry says.</summary>
    public required string Detail { get; set; }

    /// <summary>Running number of the concession that this entry completed.</summary>
    public int? Concession { get; set; }
}

public sealed class PunchItemRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public int No { get; set; }
    public required string Text { get; set; }
    public int Class { get; set; }
    public required string Owner { get; set; }
    public bool Outside { get; set; }
    public required string Due { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
}

public sealed class PunchEntryRow
{
    public long Id { get; set; }
    public long ItemId { get; set; }
    public int Act { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
    public required string Text { get; set; }
    public int? Class { get; set; }
    public string? FileHash { get; set; }
}

public sealed class EvaluationRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Line { get; set; }
    public required string Hash { get; set; }

    /// <summary>Canonical JSON of input and result: what the hash is of.</summary>
    public required string Text { get; set; }
    public long AtUs { get; set; }
    public int State { get; set; }
    public int? Verdict { get; set; }
}

public sealed class HoldDecisionRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Hold { get; set; }
    public int Kind { get; set; }
    public required string Person { get; set; }
    public long AtUs { get; set; }
    public string? Reason { get; set; }
    public string? ConfirmedBy { get; set; }
    public string? ForPerson { get; set; }
    public int? Delegation { get; set; }
    public required string Sheet { get; set; }

    /// <summary>Canonical JSON: hashes of the evaluations decided on.</summary>
    public required string Evaluations { get; set; }
    public long Act { get; set; }
}

public sealed class CertificateRow
{
    public long Id { get; set; }
    public required string Serial { get; set; }
    public required string Scope { get; set; }
    public required string Number { get; set; }
    public int Issue { get; set; }
    public int Stage { get; set; }
    public long AtUs { get; set; }

    /// <summary>Canonical JSON of the certificate record, frozen when the number was taken.</summary>
    public required string RecordText { get; set; }
    public required string RecordHash { get; set; }
    public string? FileHash { get; set; }

    /// <summary>SHA-256 of the customer's copy; null where the record carries no disclosure list.</summary>
    public string? CopyHash { get; set; }
    public string? VoidReason { get; set; }
    public string? VoidedBy { get; set; }
}

/// <summary>The last running number taken in a year of plant time.</summary>
public sealed class NumberRow
{
    public int Year { get; set; }
    public int Last { get; set; }
}

/// <summary>Work promised in the transaction that made it necessary.</summary>
public sealed class OutboxRow
{
    public long Id { get; set; }
    public required string Kind { get; set; }
    public long Subject { get; set; }
    public long CreatedUs { get; set; }
    public int Attempts { get; set; }
    public long NextUs { get; set; }
    public string? LastError { get; set; }
    public bool Dead { get; set; }
    public long? DoneUs { get; set; }
}

/// <summary>A file kept by its SHA-256.</summary>
public sealed class FileRow
{
    public required string Hash { get; set; }
    public required string Name { get; set; }
    public required string MediaType { get; set; }
    public long Size { get; set; }
    public long AtUs { get; set; }
    public required string By { get; set; }
}
