using System.Globalization;
using BuildTrack.Metrology.Statistics;
using static System.FormattableString;

namespace BuildTrack.Documents.Evaluate;

/// <summary>A table of readings of a crossed gauge study: part,appraiser,trial,value.</summary>
public static class GaugeTable
{
    /// <summary>Reads it; with faults the readings are not complete.</summary>
    /// <param name="fileName">What faults call it.</param>
    public static (IReadOnlyList<GaugeReading> Readings, IReadOnlyList<EvaluationFault> Faults) Read(TextReader csv, string fileName)
    {
        var readings = new List<GaugeReading>();
        var table = new PointTable(csv, fileName);
        if (!table.ReadHeader())
        {
            return (readings, table.Faults);
        }

        var (part, appraiser, trial, value) = (
            table.Need("part", "a column part"), table.Need("appraiser", "a column appraiser"), table.Need("trial", "a column trial"),
            table.Need("value", "a column value"));
        if (table.Faults.Count > 0)
        {
            return (readings, table.Faults);
        }

        var lines = new Dictionary<(string, string, int), long>();
        while (!table.TooManyFaults && table.ReadRow() is { } row)
        {
            if (!table.RightLength(row))
            {
                continue;
            }

            var (ofPart, ofAppraiser) = (PointTable.Text(row, part), PointTable.Text(row, appraiser));
            foreach (var (text, column, what) in new[] { (ofPart, part, "the name of the part"), (ofAppraiser, appraiser, "the name of the appraiser") })
            {
                if (text.Length == 0)
                {
                    table.FaultAt(row, column, what);
                }
            }

            var whole = int.TryParse(PointTable.Text(row, trial), NumberStyles.None, CultureInfo.InvariantCulture, out var number) && number >= 1;
            if (!whole)
            {
                table.FaultAt(row, trial, "the number of the trial, 1 or more");
            }

            var good = table.Number(row, value, "the unit of the values", IndividualsChart.LargestNumber, out var read);
            if (!good || !whole || ofPart.Length == 0 || ofAppraiser.Length == 0)
            {
                continue;
            }

            if (!lines.TryAdd((ofPart, ofAppraiser, number), table.Line))
            {
                table.Fault(
                    row[trial],
                    Invariant($"trial {number} of part '{ofPart}' by '{ofAppraiser}' a second time (first in line {lines[(ofPart, ofAppraiser, number)]})"),
                    "each trial once");
            }
            else if (readings.Count == GaugeStudy.MostReadings)
            {
                table.Fault(row[value], "more than 100000 readings", "at most 100000");
                break;
            }

            readings.Add(new GaugeReading(ofPart, ofAppraiser, number, read));
        }

        return (readings, table.Faults);
    }
}
