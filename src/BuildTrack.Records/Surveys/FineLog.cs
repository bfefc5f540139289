using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Circular;

namespace BuildTrack.Records.Surveys;

/// <summary>The rows of a file that was written far finer than it is asked for, beside the times or angles that are; of each it keeps the nearest row.</summary>
internal sealed class FineLog
{
    // Seconds are no decimal part of a minute: two rows are told apart from this on.
    private const double Same = 1e-9;

    private const double TurnDeg = 360;

    private readonly Station[] stations;
    private readonly double[] wanted;
    private readonly bool turns;
    private readonly (double Distance, SurveyFileRow? Row)[] nearest;
    private double first = double.NaN;
    private double days;

    /// <param name="stations">All times or angles of the layout, which say how far apart they are.</param>
    /// <param name="expected">Those that are asked for.</param>
    public FineLog(ImmutableArray<Station> stations, IReadOnlySet<string> expected)
    {
        turns = stations.Any(s => s.Degrees is not null);
        var all = stations.Where(s => At(s) is not null).OrderBy(At).ToArray();
        Half = all.Zip(all.Skip(1), (a, b) => At(b)!.Value - At(a)!.Value).Append(double.PositiveInfinity).Min() / 2;
        EachMinute = !turns && Half == 0.5 && expected.Count == all.Length;
        this.stations = [.. all.Where(s => expected.Contains(s.Id))];
        wanted = [.. this.stations.Select(s => At(s)!.Value)];
        nearest = [.. this.stations.Select(_ => (double.PositiveInfinity, (SurveyFileRow?)null))];
    }

    /// <summary>Half the distance between two times or angles, in minutes or degrees. A row counts for one that it is nearer to than this, so that none counts for two.</summary>
    public double Half { get; }

    /// <summary>It is asked for every minute from its start.</summary>
    public bool EachMinute { get; }

    /// <summary>The row before, of a log over time.</summary>
    public (double Minute, int Line, string Cell)? Last { get; private set; }

    /// <summary>Each time or angle that a row is near to, with that row.</summary>
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
        Offer(minute, row);
    }

    /// <summary>Adds a row of a circular path, wherever that begins and whichever way it goes round.</summary>
    public void AddAngle(double degrees, SurveyFileRow row)
    {
        var within = CircularCalculation.WithinTurn(degrees);
        Offer(within, row);

        // The last part of a turn is near to its first place, too.
        Offer(within - TurnDeg, row);
    }

    private static double? At(Station station) => station.Degrees ?? station.Minute;

    private void Offer(double at, SurveyFileRow row)
    {
        var next = Array.BinarySearch(wanted, at) is var found && found >= 0 ? found : ~found;
        for (var i = Math.Max(0, next - 1); i <= next && i < wanted.Length; i++)
        {
            var distance = Math.Abs(wanted[i] - at);
            if (distance < Half - Same && distance < nearest[i].Distance - Same)
            {
                nearest[i] = (distance, row);
            }
        }
    }
}
