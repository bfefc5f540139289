using BuildTrack.Domain.Evaluating;

namespace BuildTrack.Documents.Drawings;

/// <summary>The chart of a result whose readings are no places of the bed: over the targets of an axis, over the minutes of a log, round a circular path.</summary>
public static class ResultChart
{
    /// <summary>The chart and its caption; null where the evaluation has none, or no value yet.</summary>
    public static (string Caption, Drawing Drawing)? Of(EvaluationRecord evaluation) =>
        PositioningChart.Of(evaluation) is { } axis ? ("Deviations over the targets, and what is judged", axis)
        : PowerLogChart.Of(evaluation) is { } log ? ("Departure of the power from its mean over the minutes", log)
        : CircularChart.Of(evaluation) is { } path ? ("The path round the common centre, and what is judged", path)
        : null;
}
