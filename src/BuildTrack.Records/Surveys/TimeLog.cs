using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;

namespace BuildTrack.Records.Surveys;

/// <summary>The rows of a log beside the times at which it is asked for; of each time it keeps the nearest row.</summary>
internal sealed class TimeLog
{
    // Seconds are no decimal part of a minute: two rows are told apart from this on.
    private const double SameMin = 1e-9;

    private readonly Station[] stations;
    private readonly double[] minutes;
    private readonly (double Distance, SurveyFileRow? Row)[] nearest;
    private double first = double.NaN;
    private double days;

    /// <param name="stations">All times of the layout, which say how far apart they are.</param>
    /// <param name="expected">Those that are asked for.</param>
    public TimeLog(ImmutableArray<Station> stations, IReadOnlySet<string> expected)
    {
        var all = stations.Where(s => s.Minute is not null).OrderBy(s => s.Minute).ToArray();
        Half = all.Zip(all.Skip(1), (a, b) => b.Minute!.Value - a.Minute!.Value).Append(double.PositiveInfinity).Min() / 2;
        EachMinute = Half == 0.5 && expected.Count == all.Length;
        this.stations = [.. all.Where(s => expected.Contains(s.Id))];
        minutes = [.. this.stations.Select(s => s.Minute!.Value)];
        nearest = [.. this.stations.Select(_ => (double.PositiveInfinity, (SurveyFileRow?)null))];
    }

    /// <summary>Half the distance between two times, in minutes. A row counts for a time that it is nearer to than this, so that none counts for two.</summary>
    public double Half { get; }

    /// <summary>It is asked for every minute from its start.</summary>
    public bool EachMinute { get; }

    /// <summary>The row before.</summary>
    public (double Minute, int Line, string Cell)? Last { get; private set; }

    /// <summary>Each time that a row is near to, with that row.</summary>
    public IEnumerable<(Station Station, SurveyFileRow Row)> Nearest =>
        stations.Zip(nearest).Where(n => n.Second.Row is not null).Select(n => (n.First, n.Second.Row!));

    /// <summary>Minutes since the first row, of a time of day.</summary>
    /// <remarks>A log may pass midnight: a clock that falls by more than half a day has begun a new one.</remarks>
    public double SinceFirst(double ofDay, double day)
    {
        first = double.IsNaN(first) ? ofDay : first;
        days += Last is { } before && ofDay + days - first < before.Minute - (day / 2) ? day : 0;
        return ofDay + days - first;
    }

    /// <summary>Adds a row; of two equally near to a time the earlier one counts.</summary>
    public void Add(double minute, SurveyFileRow row, string cell)
    {
        Last = (minute, row.Line, cell);
        var next = Array.BinarySearch(minutes, minute) is var found && found >= 0 ? found : ~found;
        for (var i = Math.Max(0, next - 1); i <= next && i < minutes.Length; i++)
        {
            var distance = Math.Abs(minutes[i] - minute);
            if (distance < Half - SameMin && distance < nearest[i].Distance - SameMin)
            {
                nearest[i] = (distance, row);
            }
        }
    }
}
