using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps series.yaml: results that find the same thing one after the other.</summary>
internal static class SeriesLoader
{
    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var item in file.Items("series", true, "a series", "id", "title", "results"))
        {
            var id = item.Id("id");
            draft.Series.Add(id, new SeriesPlan(id, item.Text("title"), item.Ids("results")), item);
        }
    }

    /// <summary>The results are there, of one calculation, and in the order of their steps; none is in two series.</summary>
    public static void Check(LoaderDraft draft)
    {
        var seen = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var series in draft.Series)
        {
            Characteristic? before = null;
            foreach (var listed in series.Fields.Listed("results"))
            {
                void Fault(string found, string expected) => series.Fields.Fault(listed, found, expected);
                if (!seen.TryAdd(listed.Value, series.Id))
                {
                    // Twice in one list is told where the list is read.
                    if (seen[listed.Value] != series.Id)
                    {
                        Fault($"result {Quoted.Of(listed.Value)} a second time (first in series {seen[listed.Value]})", "each result in one series");
                    }

                    continue;
                }

                if (draft.Characteristics.Need(listed.Value, Fault)?.Value is not { } result)
                {
                    continue;
                }

                if (before is not null && (before.Evaluator != result.Evaluator || before.Reference != result.Reference))
                {
                    Fault($"{result.Evaluator} {result.Reference}".TrimEnd() + $" after {before.Evaluator} {before.Reference}".TrimEnd(), "one calculation with one reference in all results");
                }

                if (before is not null && before.Place.Step >= result.Place.Step)
                {
                    Fault($"line {result.Line} after line {before.Line}", "results in the order of their steps");
                }

                before = result;
            }

            if (series.Value.Results.Length < 2)
            {
                series.Fields.Fault("results", $"series {series.Id} with {series.Value.Results.Length} results", "at least two results");
            }
        }
    }
}
