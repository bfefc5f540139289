using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Domain.Evaluating;

/// <summary>A calculation: input in, answer out; the same input always gives the same answer.</summary>
public interface IEvaluator
{
    /// <summary>The word in a checklist's <c>evaluator:</c>.</summary>
    string Kind { get; }

    /// <summary>The sources it needs, and of which quantities each may be; empty where every source is a question with yes and no.</summary>
    ImmutableArray<EvaluatorSource> Sources { get; }

    /// <summary>The references it knows; empty where there is no choice.</summary>
    ImmutableArray<string> References { get; }

    EvaluationResult Evaluate(EvaluationInput input);
}

/// <summary>A source a calculation needs.</summary>
/// <param name="Quantities">Quantities the column may have; empty for any.</param>
public sealed record EvaluatorSource(string Name, ImmutableArray<string> Quantities);

/// <summary>All calculations by name. A new kind is one class more in this list.</summary>
public static class Evaluators
{
    /// <summary>Version of the calculations; it stands in every evaluation.</summary>
    public const string Engine = "1";

    private static readonly ImmutableArray<IEvaluator> All = [new FlatnessEvaluator(), new LeastValueEvaluator(), new AnswersEvaluator()];

    public static ImmutableArray<string> Kinds { get; } = [.. All.Select(e => e.Kind).Order(StringComparer.Ordinal)];

    /// <summary>The calculation of this name, or null.</summary>
    public static IEvaluator? Find(string kind) => All.SingleOrDefault(e => e.Kind == kind);

    /// <summary>Calculates the answer for an input.</summary>
    /// <exception cref="ArgumentException">There is no such calculation.</exception>
    public static EvaluationRecord Evaluate(EvaluationInput input)
    {
        var evaluator = Find(input.Characteristic.Evaluator)
            ?? throw new ArgumentException($"There is no calculation '{input.Characteristic.Evaluator}'; known: {string.Join(", ", Kinds)}.");
        return new EvaluationRecord(input, evaluator.Evaluate(input));
    }
}
