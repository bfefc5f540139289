using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.SpotChecks;

/// <summary>One place of a spot check beside what the passes gave there. It decides nothing by itself.</summary>
/// <param name="Unit">Calculated unit of the three values: µm for lengths, µm/m for slopes.</param>
/// <param name="Mean">Mean of the passes that count; a slope as with the arrow to +X.</param>
/// <param name="Spot">What the spot check gave, in the same sense.</param>
/// <param name="Expanded">U of the difference of two readings, k = 2; null where the register has no figure.</param>
public sealed record SpotDifference(string Place, Column Column, string Unit, double Mean, double Spot, double? Expanded)
{
    public double Difference => Spot - Mean;

    /// <summary>The difference is larger than two readings of the same place may differ.</summary>
    public bool Beyond => Expanded is { } u && Math.Abs(Difference) > u;

    /// <summary>"differs by 9.0 µm, more than U = 6.0 µm: measure again before release".</summary>
    public string Sentence =>
        Expanded is not { } u ? "the register has no uncertainty for this use; nothing to compare with"
        : Beyond ? $"differs by {Shown.Text(Math.Abs(Difference), Unit)}, more than U = {Shown.Text(u, Unit)}: measure again before release"
        : $"agrees within U = {Shown.Text(u, Unit)}";

    /// <summary>Every place and column that a spot check and the passes both have, in the order of the chosen places.</summary>
    public static ImmutableArray<SpotDifference> Of(MachineRecord machine, Survey survey, Measurement measurement, Run spot)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(spot);
        var stations = machine.Revision.StationsOf(survey, machine.Model, measurement.Feature);
        var span = stations.IsEmpty ? 0 : Math.Max(stations.Max(s => s.XMm) - stations.Min(s => s.XMm), stations.Max(s => s.YMm) - stations.Min(s => s.YMm));
        var passes = measurement.CountedPasses.ToImmutableArray();
        return
        [
            .. from place in spot.Weights.Select(w => w.Place)
               from column in SpotCheckRules.ColumnsOf(survey)
               let found = spot.AlongX(column.Id, column.Quantity, place)
               let values = passes.Select(p => p.AlongX(column.Id, column.Quantity, place)).OfType<double>().ToImmutableArray()
               where found is not null && values.Length > 0
               let unit = Units.Calculated(column.Unit ?? "1")
               select new SpotDifference(place, column, unit, values.Average(), found.Value, UOf(passes.Add(spot), survey, column, span, values.Average())),
        ];
    }

    // √2·U of the worst instrument among the runs, at k = 2 (trade notes: agreement within U√2).
    private static double? UOf(ImmutableArray<Run> runs, Survey survey, Column column, double spanMm, double value)
    {
        ImmutableArray<(string Use, double Mm)> uses = (column.Quantity, survey.Places) switch
        {
            ("slope", _) => [("slope", 0)],
            ("length", _) => [("absolute", Math.Abs(value) / 1000)],
            (_, PlaceKind.Whole) => [("absolute", 0)],
            _ => [("small difference", spanMm), ("absolute", 0)],
        };
        var worst = 0.0;
        foreach (var instrument in runs.Select(r => r.InstrumentFor(column.Quantity)))
        {
            var (figure, mm) = uses.Select(u => (Figure: instrument?.FigureFor(u.Use, u.Mm), u.Mm)).FirstOrDefault(f => f.Figure is not null);
            if (figure is null)
            {
                return null;
            }

            worst = Math.Max(worst, figure.Expanded(mm) * 2 / figure.K);
        }

        return Math.Sqrt(2) * worst;
    }
}
