using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Surveys;

/// <summary>Which line of a file each station has: every one that is to be measured has one.</summary>
/// <param name="expected">The stations that must be there, each once: all, or the places to be measured again.</param>
/// <param name="column">The file's column that tells the place.</param>
internal sealed class SurveyFileStations(SurveyFileFaults faults, ImmutableArray<Station> stations, IReadOnlySet<string> expected, string column)
{
    private const int MostNames = 100;

    private readonly Dictionary<string, Station> known = stations.DistinctBy(s => s.Id).ToDictionary(s => s.Id, StringComparer.Ordinal);
    private readonly Dictionary<string, int> lineOf = new(StringComparer.Ordinal);

    private string Where => $"column {column}";

    /// <summary>The station of that name, which this line now belongs to; null where there is none.</summary>
    public Station? Named(string id, int line)
    {
        if (known.TryGetValue(id, out var station))
        {
            Take(station, line, "");
            return station;
        }

        faults.Add(line, Where, id.Length == 0 ? "no station" : $"unknown station {Quoted.Of(id)}", Quoted.OneOf(known.Keys));
        return null;
    }

    /// <summary>Gives a line to a station, or says that it is not to be measured or has a line already.</summary>
    /// <param name="found">What stands in the cell, where that is not the station's name: "'200.1', ".</param>
    public bool Take(Station station, int line, string found)
    {
        if (!expected.Contains(station.Id))
        {
            faults.Add(line, Where, $"{found}station {station.Id}, which is not to be measured in this run", Quoted.OneOf(expected.Order(StringComparer.Ordinal)));
            return false;
        }

        if (!lineOf.TryAdd(station.Id, line))
        {
            faults.Add(line, Where, FormattableString.Invariant($"{found}station {station.Id} a second time (first in line {lineOf[station.Id]})"), "each station once");
            return false;
        }

        return true;
    }

    /// <summary>Says which stations have no line.</summary>
    /// <param name="last">The last line of the file.</param>
    /// <param name="more">What else is expected of a line.</param>
    public void Missing(int last, string more = "")
    {
        var missing = expected.Where(s => !lineOf.ContainsKey(s)).Order(StringComparer.Ordinal).ToList();
        if (missing.Count > 0)
        {
            var names = string.Join(", ", missing.Take(MostNames)) + (missing.Count > MostNames ? FormattableString.Invariant($" and {missing.Count - MostNames} more") : "");
            faults.Add(last, Where, $"no line for {names}", FormattableString.Invariant($"one line for each of {expected.Count} stations{more}"));
        }
    }
}
