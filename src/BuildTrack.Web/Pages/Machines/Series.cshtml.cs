using System.Collections.Immutable;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.ResultSeries;
using BuildTrack.Records.Machines;
using BuildTrack.Records.ResultSeries;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Results over time: what was found in the plant, as shipped, on site and at each visit, beside each other, and whether it has changed.</summary>
public sealed class SeriesModel(MachineReader machines, SeriesReader reader) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    /// <summary>The series of the machine's plan; those without any result among them.</summary>
    public ImmutableArray<SeriesStanding> Series { get; private set; } = [];

    /// <summary>The series that have a result.</summary>
    public IEnumerable<SeriesStanding> Found => Series.Where(s => !s.Points.IsEmpty);

    /// <summary>The step at which the first result of any series is found.</summary>
    public RouteStep First => Machine.Revision.Steps.Single(s => s.Number == Series.SelectMany(x => x.Plan.Results).Min(id => Machine.Revision.Characteristics.Single(c => c.Id == id).Place.Step));

    public static string UrlOf(string serial) => $"{SheetSets.UrlOf(serial)}/series";

    /// <summary>The picture of a series; null with fewer than two results.</summary>
    public string? Picture(SeriesStanding series) =>
        SeriesChart.Of(series, [.. series.Points.Select(p => FormattableString.Invariant($"{p.Step.Number}, {Clock.Local(p.Evaluation.At):d MMM}"))]) is { } drawing ? SvgText.Of(drawing, $"series-{series.Plan.Id}") : null;

    /// <summary>"+13.0 µm/m, changed": with the digits that its reach deserves, two of them.</summary>
    public static string Says(SeriesPoint point, SeriesChange change)
    {
        var decimals = Math.Clamp(1 - (int)Math.Floor(Math.Log10(change.Reach)), 0, 6);
        return $"{Shown.Signed(change.Difference, decimals)} {point.Unit}, {(change.Proved ? "changed" : "no change proven")}";
    }

    /// <summary>"15.4 to 21.2": where the truth may lie.</summary>
    public static string? Between(SeriesPoint point) => point.Evaluation.Record.Result is { ReachBelow: { } below, ReachAbove: { } above }
        ? $"{Shown.Number(point.Value - below, point.Unit)} to {Shown.Number(point.Value + above, point.Unit)}" : null;

    public async Task OnGet(string serial)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Series = await reader.Of(Machine, Cancel);
        var changed = Series.Count(s => s.Points.Any(p => p.SinceBefore is { Proved: true }));
        Name(Machine, "Results over time", "Series sheet", "series", "–", Found.Any() ? $"{changed} of {Found.Count()} changed" : "none found yet", UrlOf(serial));
    }
}
