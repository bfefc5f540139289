using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Evaluating;

/// <summary>Everything a calculation needs, and nothing that it could look up elsewhere: it can be repeated from this text alone.</summary>
/// <param name="Engine">Version of the calculations.</param>
/// <param name="GradientAllowed">The model's allowed top to bottom difference, in K.</param>
/// <param name="BowPerKelvin">Bow of the bed, µm, for each kelvin top to bottom; there only where a run was measured in spite of the gradient.</param>
public sealed record EvaluationInput(
    string Engine, string Serial, string Model, Characteristic Characteristic, string? Reference, Requirement Requirement, LimitTable? Table,
    Amount? GradientAllowed, ImmutableSortedDictionary<string, Source> Sources, Amount? BowPerKelvin = null)
{
    /// <summary>SHA-256 of the canonical text.</summary>
    public string Hash => CanonicalJson.Hash(CanonicalJson.Of(this));
}

/// <summary>One source of a calculation, resolved. Exactly one of the three is there.</summary>
/// <param name="Readings">A survey's measurement, seen through one column.</param>
/// <param name="Result">The result of another characteristic.</param>
/// <param name="Figure">A machine figure.</param>
public sealed record Source(SurveySource? Readings, ResultSource? Result, Amount? Figure);

/// <summary>The runs of a measurement with the layout of its survey; readings of one column, plus the weights of repeated places.</summary>
/// <param name="NeedsGradient">The survey asks for bed temperatures with every run.</param>
/// <param name="Feature">The rail, joint or sample, where the survey has several.</param>
/// <param name="Places">Between stations, or the whole; null: at stations.</param>
/// <param name="Question">The question as it was put, where the column is answered by choice.</param>
public sealed record SurveySource(
    long Measurement, int No, string Survey, string Column, string Quantity, int PassesPlanned, bool NeedsGradient, double? BaseLengthMm,
    ImmutableArray<Station> Stations, ImmutableArray<Run> Runs, string? Feature = null, string? Question = null, PlaceKind? Places = null)
{
    [JsonIgnore]
    public IEnumerable<Run> CountedPasses => Runs.Where(r => r.Kind == RunKind.Pass && r.Counts);

    public IEnumerable<Run> ContactsAgainFor(string line) => Runs.Where(r => r.Kind == RunKind.ContactsAgain && r.Counts && r.Proves == line);
}

/// <summary>Another characteristic's result by the hash of its evaluation.</summary>
public sealed record ResultSource(string Line, string EvaluationHash, double? Value, string Unit, double? ReachAbove, double? ReachBelow);

/// <summary>An evaluation: what went in, what came out, sealed by hash. It is never replaced; a new engine adds one.</summary>
public sealed record EvaluationRecord(EvaluationInput Input, EvaluationResult Result)
{
    /// <summary>SHA-256 of the canonical text of input and result.</summary>
    public string Hash => CanonicalJson.Hash(CanonicalJson.Of(this));
}
