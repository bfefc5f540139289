using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.SpotChecks;

namespace BuildTrack.Web.Sheets;

/// <summary>All runs of one measurement beside each other: places down, runs across, set aside ones too.</summary>
/// <param name="Deviations">What a result made of each place, where one does.</param>
/// <param name="DeviationUnit">Its unit, µm or µm/m.</param>
public sealed record RunsBeside(MachineRecord Machine, Survey Survey, Measurement Measurement, IReadOnlyDictionary<string, double>? Deviations = null, string DeviationUnit = "µm")
{
    /// <summary>A place and a column.</summary>
    /// <param name="Name">What stands at the row's head.</param>
    public sealed record Row(string Place, Column Column, string Name);

    /// <summary>A value as typed, with what stood before it was corrected.</summary>
    public sealed record Cell(Reading? Reading, string? Before);

    /// <summary>The current measurements of a survey: one, or one for each of its features. Values of the whole have no place that a result could deviate at.</summary>
    public static ImmutableArray<RunsBeside> Of(MachineRecord machine, Survey survey, IReadOnlyDictionary<string, double>? deviations = null) =>
        [.. machine.Currents(survey.Id).OfType<Measurement>().Select(m => new RunsBeside(machine, survey, m, survey.Places == PlaceKind.Whole ? null : deviations))];

    public ImmutableArray<Run> Runs => Measurement.Runs;

    public string Title => $"{Survey.Title}{(Measurement.Feature is { } f ? $", {f}" : "")}, measurement {Measurement.No}";

    /// <summary>Rows in groups by rail: R1, R2.</summary>
    public IEnumerable<IGrouping<string, Row>> Rails
    {
        get
        {
            var wanted = Machine.Revision.PlacesOf(Survey, Machine.Model, Measurement.Feature);
            var titles = Machine.Revision.StationsOf(Survey, Machine.Model, Measurement.Feature).Where(s => s.Title is not null).ToDictionary(s => s.Id, s => $"{s.Id} {s.Title}", StringComparer.Ordinal);
            string Named(string place) => titles.GetValueOrDefault(place, place);
            var places = wanted.Concat(Runs.SelectMany(r => r.Readings).Select(r => r.Place.Key)).Distinct();
            return places.SelectMany(p => Survey.Columns.Select(c => new Row(p, c, Survey.Places == PlaceKind.Whole ? c.Title : Survey.Columns.Length > 1 && !ColumnsAcross ? $"{Named(p)} {c.Title}" : Named(p))))
                .GroupBy(r => RailOf(r.Place));
        }
    }

    /// <summary>What stands at the heads of the rows is words, which may take several lines.</summary>
    public bool InWords => Survey.Places == PlaceKind.Whole || Machine.Revision.StationsOf(Survey, Machine.Model, Measurement.Feature).Any(s => s.Title is not null);

    /// <summary>One run of several columns: a place is one row, its columns stand side by side.</summary>
    public bool ColumnsAcross => Runs.Length == 1 && Survey.Columns.Length > 1 && Survey.Places != PlaceKind.Whole;

    private static string RailOf(string place) => place.Split('-') is [['R' or 'B' or 'X', ..] line, _, ..] ? line : "";

    /// <summary>The standing value of a run; of one that was corrected also the first.</summary>
    public static Cell At(Run run, Row row)
    {
        var reading = run.Standing.FirstOrDefault(r => r.Place.Key == row.Place && r.Column == row.Column.Id);
        var first = reading;
        while (first?.Supersedes is { } old && run.Readings.FirstOrDefault(r => r.Id == old) is { } before)
        {
            first = before;
        }

        return new Cell(reading, first == reading ? null : first!.Value.Typed);
    }

    /// <summary>Largest difference of the passes that count at a place, calculated unit; null where there are not two.</summary>
    public string? Spread(Row row)
    {
        var values = Measurement.CountedPasses.Select(r => r.AlongX(row.Column.Id, row.Column.Quantity, row.Place)).OfType<double>().ToList();
        return values.Count < 2 ? null : Shown.Text(values.Max() - values.Min(), Units.Calculated(row.Column.Unit ?? "1"));
    }

    public bool SeveralPasses => Measurement.CountedPasses.Count() > 1;

    /// <summary>"outward, arrow to +X", "100-03 again", "spot check".</summary>
    public static string Kind(Run run) => string.Join(", ", new[]
    {
        run.Kind switch { RunKind.ContactsAgain => $"{run.Proves} again", RunKind.SpotCheck => "spot check", _ => null },
        run.Direction switch { Direction.Outward => "outward", Direction.Back => "back", _ => null },
        run.Arrow switch { LevelArrow.PlusX => "arrow to +X", LevelArrow.MinusX => "arrow to −X", _ => null },
        run.Discarded is not null ? "set aside" : run.Finished is null ? "open" : null,
    }.OfType<string>());

    /// <summary>Finished spot checks with what they found.</summary>
    public ImmutableArray<(Run Run, ImmutableArray<SpotDifference> Found)> SpotChecks =>
        [.. Runs.Where(r => r.Kind == RunKind.SpotCheck && r.Counts).Select(r => (r, SpotDifference.Of(Machine, Survey, Measurement, r)))];
}
