using System.Collections.Immutable;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Surveys;

/// <summary>Begins a run: who, with what, under which conditions. The measurement is opened with its first run.</summary>
/// <param name="Proves">Line of the characteristic whose deciding places are measured again; only for <see cref="RunKind.ContactsAgain"/>.</param>
/// <param name="Instruments">Register ids.</param>
/// <param name="Helpers">Sign-in names of those who help.</param>
/// <param name="HandOver">Another person's open run that this one takes over from: it is set aside in the same act.</param>
/// <param name="Places">The places an inspector looks at himself; only for <see cref="RunKind.SpotCheck"/>.</param>
/// <param name="BegunUs">When it was begun without network, by the tablet's clock, µs UTC; null where it is begun on line.</param>
/// <param name="By">Sign-in name of who began it there; null where it is begun on line.</param>
public sealed record BeginRunRequest(
    string Serial, string Survey, string? Feature, RunKind Kind, string? Proves, Direction? Direction, LevelArrow? Arrow,
    ImmutableArray<string> Instruments, ImmutableArray<UseCheck> Checks, Conditions? Conditions, ImmutableArray<string> Helpers,
    ImmutableArray<string>? Places = null, long? HandOver = null, long? BegunUs = null, string? By = null)
{
    internal ImmutableArray<string> Chosen => Places ?? [];

    /// <summary>A pass that begins as it was typed.</summary>
    /// <param name="conditions">As understood (<see cref="TypedBegin.Understand"/>).</param>
    public static BeginRunRequest Of(string serial, TypedBegin typed, Conditions? conditions)
    {
        ArgumentNullException.ThrowIfNull(typed);
        var uses = typed.Uses;
        return new BeginRunRequest(
            serial, typed.Survey, string.IsNullOrEmpty(typed.Feature) ? null : typed.Feature, RunKind.Pass, null, typed.Direction, typed.Arrow, [.. uses.Select(u => u.Instrument)], uses, conditions, typed.Helpers ?? []);
    }
}

public sealed record BegunRun(long Sequence, long Measurement, int MeasurementNo, long Run, int RunNo);

/// <summary>A value for one place and column, as typed.</summary>
/// <param name="Place">A station, "from→to", or "whole".</param>
/// <param name="Unit">Null: the unit of the instrument.</param>
public sealed record TypedReading(string Place, string Column, string Typed, string? Unit);

/// <summary>Records readings in an open run, all or none.</summary>
/// <param name="TypedUs">When it was typed, by the tablet's clock, µs UTC; null where none says so.</param>
/// <param name="Confirmed">False: a doubtful value is asked about before it is recorded. True: it was asked about and confirmed, which is recorded with it. Null: nobody is there to ask.</param>
public sealed record RecordRequest(string Serial, long Run, EntryRoute Route, ImmutableArray<TypedReading> Readings, bool? Confirmed = null, long? TypedUs = null);

/// <summary>Takes back the last entry of an open run.</summary>
/// <param name="Reading">A reading of that entry: what came in with it at the same place goes with it.</param>
public sealed record TakeBackRequest(string Serial, long Reading);

/// <summary>Records the readings of a survey file that was previewed (or is sent with the request), all or none.</summary>
/// <param name="FileHash">SHA-256 of the stored file.</param>
/// <param name="Mapping">Which column is what, where the file has a header of its own.</param>
public sealed record RecordFileRequest(string Serial, long Run, string FileHash, string FileName, ColumnMapping? Mapping = null);

public sealed record RecordedReadings(long Sequence, long Run, int Count, ImmutableArray<long> Ids);

/// <summary>Corrects one reading by a further one.</summary>
/// <param name="Unit">Null: the unit of that reading.</param>
public sealed record CorrectRequest(string Serial, long Reading, string Typed, string? Unit, string Reason);

public sealed record DiscardRequest(string Serial, long Run, string Reason);

public sealed record FinishRequest(string Serial, long Run);

/// <summary>A finished run with the results it led to.</summary>
/// <param name="Spot">A spot check: the results are as they were.</param>
public sealed record FinishedRun(long Sequence, long Run, ImmutableArray<FinishedResult> Results, bool Spot = false);

public sealed record FinishedResult(string Line, string Title, string EvaluationHash, EvaluationResult Result);

/// <summary>What a survey file was understood to say, before anything is recorded.</summary>
/// <param name="Dialect">"semicolon, decimal comma, z in mm".</param>
/// <param name="Mapping">What was said of its columns, where they are its own.</param>
public sealed record SurveyPreview(string FileHash, string FileName, string Dialect, ImmutableArray<PreviewRow> Rows, ColumnMapping? Mapping = null);

/// <param name="Line">Line in the file, from 1.</param>
/// <param name="Nanometres">What was understood.</param>
public sealed record PreviewRow(int Line, string Place, string Column, string Typed, string Unit, long? Nanometres, double? Number);
