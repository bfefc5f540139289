using System.Collections.Immutable;
using System.Text.Json.Nodes;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>Something in the input that cannot be used.</summary>
/// <param name="Where">File name, or the option.</param>
/// <param name="Line">Line from 1; null where the whole file or an option is meant.</param>
/// <param name="Column">Character in the line from 1, where the faulty field begins.</param>
public sealed record EvaluationFault(string Where, long? Line, int? Column, string Found, string Expected)
{
    /// <summary>"bed.csv:3:5: found 'abc', expected a number".</summary>
    public override string ToString() =>
        Line is null ? $"{Where}: found {Found}, expected {Expected}" : Invariant($"{Where}:{Line}:{Column ?? 1}: found {Found}, expected {Expected}");
}

/// <summary>What came of an evaluation: a JSON object, or faults of the input, or a defect of the data that leaves no answer.</summary>
/// <param name="Defect">A sentence; the input was well formed, but gives no answer.</param>
public sealed record EvaluationOutcome(JsonObject? Result, ImmutableArray<EvaluationFault> Faults, string? Defect)
{
    public static EvaluationOutcome Of(JsonObject result) => new(result, [], null);

    public static EvaluationOutcome Bad(IEnumerable<EvaluationFault> faults) => new(null, [.. faults], null);

    public static EvaluationOutcome NoAnswer(string defect) => new(null, [], defect);
}

/// <summary>A kind of evaluation that programs and people can ask for.</summary>
/// <param name="Name">The word in the command and in the address.</param>
/// <param name="Summary">One line for the list of kinds.</param>
/// <param name="Columns">Columns of its file; empty where it takes options only.</param>
/// <param name="Options">Names and meanings of its options.</param>
public sealed record EvaluationKind(string Name, string Summary, string Columns, ImmutableArray<(string Name, string Meaning)> Options)
{
    /// <summary>It reads a file.</summary>
    public bool TakesFile => Columns.Length > 0;

    /// <summary>Options that may be given more than once; their values then come each on a line of its own.</summary>
    public ImmutableArray<string> Repeated { get; init; } = [];
}
