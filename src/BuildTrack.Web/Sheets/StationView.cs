using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Web.Sheets;

/// <summary>The picture and the form of one place.</summary>
/// <param name="Key">Makes the form act once; empty on a tablet, which makes its own and keeps no token of a form.</param>
/// <param name="Typed">What was typed, by field: kept when it was refused.</param>
/// <param name="Asked">The person is asked about it first.</param>
/// <param name="Chosen">The two stations of a free pair, by name of the field.</param>
public sealed record StationPlace(StationView View, string Key, IReadOnlyDictionary<string, string> Typed, bool Asked, IReadOnlyDictionary<string, string> Chosen);

/// <summary>One place of an open run, as the person at the bed needs it: where, what, with what, what was read last, and what comes next.</summary>
/// <param name="Asked">A place that was chosen out of turn; null: the next one in the order of walking.</param>
/// <param name="Filled">Shown even where it is filled already: a tablet takes every place along.</param>
public sealed record StationView(RunView View, string? Asked, bool Filled = false)
{
    private const int Last = 3;

    // A thin space between thousands, as drawings have it.
    private static readonly NumberFormatInfo Spaced = new() { NumberGroupSeparator = "\u2009", NumberDecimalSeparator = "." };

    /// <summary>A reading that stands, with what was understood and, on the way back, what the outward run read there.</summary>
    /// <param name="Understood">In the calculated unit; null where it was typed in it.</param>
    public sealed record ReadingLine(string Place, string Typed, string? Understood, string? Outward, string? Difference);

    public Run Run => View.Run;

    public ImmutableArray<RunEntry> Entries { get; } = RunPlan.EntriesOf(View.Machine, View.Survey, View.Measurement, View.Run);

    /// <summary>The survey joins any two stations: the person says which.</summary>
    public bool Free => Entries.IsEmpty;

    public int Done => Entries.Count(e => e.FilledIn(Run));

    /// <summary>Index of the place that is measured now; null where every place is filled, or any may be.</summary>
    public int? Index => Asked is { } asked && IndexOf(e => KeyOf(e) == asked && (Filled || !e.FilledIn(Run))) is >= 0 and var chosen ? chosen
        : RunPlan.NextOf(Entries, Run, Run.LastEntry is [var last, ..] ? IndexOf(e => e.Place == last.Place.Key && e.Columns.Any(c => c.Id == last.Column)) : -1);

    public RunEntry? Now => Index is { } i ? Entries[i] : null;

    /// <summary>The empty ones besides, the next one first.</summary>
    public ImmutableArray<RunEntry> Others => Index is { } i ? [.. Enumerable.Range(i + 1, Entries.Length - 1).Select(n => Entries[n % Entries.Length]).Where(e => !e.FilledIn(Run))] : [];

    public RunEntry? Next => Others.FirstOrDefault();

    /// <summary>Every place has its readings, or at least one where none is prescribed.</summary>
    public bool Complete => Free ? Run.Standing.Any() : Index is null;

    /// <summary>What a place is called in a list or an address: the question's column, where there is only the whole.</summary>
    public string KeyOf(RunEntry entry) => entry.Place == Place.Whole.Key ? entry.Columns[0].Id : entry.Place;

    /// <summary>"R2-07", "R1-01 → R1-02", or the question.</summary>
    public string NameOf(RunEntry entry) => entry.Place == Place.Whole.Key ? entry.Columns[0].Title : entry.Place.Replace("→", " → ", StringComparison.Ordinal);

    /// <summary>"17 of 60".</summary>
    public string Count => FormattableString.Invariant($"{Index + 1} of {Entries.Length}");

    /// <summary>"next: R2-08, 1 800 mm".</summary>
    public string? NextWords => Next is null ? null : $"next: {PlaceWords(Next)}";

    /// <summary>"R2-08, 1 800 mm", or the question.</summary>
    public string PlaceWords(RunEntry entry) => entry.Place == Place.Whole.Key ? entry.Columns[0].Title : $"{NameOf(entry)}{(PositionOf(entry) is { Length: > 0 } at ? $", {at}" : "")}";

    /// <summary>"rail R2, follower", or what the plan says stands there.</summary>
    public string? RailOf(RunEntry entry) => entry.Place.Split('-')[0] switch
    {
        "R1" => "rail R1, master",
        "R2" => "rail R2, follower",
        "B" => "bridge across both rails",
        "X" => "target of the X axis",
        _ => View.TitleOf(entry.Place),
    };

    /// <summary>"1 750 mm", "1 500 to 1 750 mm", from the operator's end; empty where the place has none.</summary>
    public string PositionOf(RunEntry entry)
    {
        var place = Place.Parse(entry.Place);
        // What stands there is found by its name, not by a measure along the bed.
        if (View.TitleOf(entry.Place) is not null)
        {
            return "";
        }

        var at = View.Machine.Revision.StationsOf(View.Survey, View.Machine.Model, View.Measurement.Feature).ToLookup(s => s.Id, s => s.XMm);
        if (View.MinuteOf(entry.Place) is { } minute)
        {
            return FormattableString.Invariant($"{minute:0.###} min after switching on");
        }

        string Mm(string? id) => at[id ?? ""].Select(x => x.ToString("#,0.###", Spaced)).FirstOrDefault() ?? "";
        return place.From is null || Mm(place.From).Length == 0 ? "" : place.To is null ? $"{Mm(place.From)} mm" : $"{Mm(place.From)} to {Mm(place.To)} mm";
    }

    public StationPicture? Picture => View.Survey.Layout is null || new StationPicture(View, Entries, Now) is not { Any: true } picture ? null : picture;

    /// <summary>The stations a free pair is chosen from, with the pair that carries on from the last one.</summary>
    public ImmutableArray<string> Stations => [.. View.Machine.Revision.StationsOf(View.Survey, View.Machine.Model, View.Measurement.Feature).Select(s => s.Id)];

    public (string? From, string? To) Pair
    {
        get
        {
            var from = Run.LastEntry is [{ Place.To: { } to }, ..] ? to : Stations.FirstOrDefault();
            return (from, Stations.ElementAtOrDefault(Stations.IndexOf(from ?? "") + 1) ?? Stations.FirstOrDefault());
        }
    }

    /// <summary>The last readings that stand, in the order in which they came.</summary>
    public ImmutableArray<ReadingLine> LastReadings => [.. Run.Standing.OrderBy(r => r.Id).TakeLast(Last).Select(Line)];

    public bool ShowsOutward => Outward is not null && View.Columns.Any(c => c.Kind == ValueKind.Number);

    /// <summary>What is taken back by one touch: "R2-06, 12".</summary>
    public string? LastWords => WordsOf(Run.LastEntry);

    /// <summary>Readings of one place in words; null for none.</summary>
    public string? WordsOf(ImmutableArray<Reading> readings) => readings is [var first, ..] ? $"{Said(first)}: {string.Join(", ", readings.Select(r => r.Value.Typed))}" : null;

    /// <summary>"All 7 places are done".</summary>
    public string AllDone => View.Survey.Places != PlaceKind.Whole ? $"All {Entries.Length} places are done"
        : View.Columns.All(c => c.Kind == ValueKind.Choice) ? $"All {Entries.Length} questions are answered" : $"All {Entries.Length} values are there";

    /// <summary>What follows when this run is finished.</summary>
    public string After
    {
        get
        {
            var (counted, planned) = (View.Measurement.CountedPasses.Count() + 1, View.Measurement.PassesPlanned);
            return View.Spot ? "A finished spot check is compared with the passes."
                : View.Again ? $"The result of {Run.Proves} is calculated anew with these places."
                : counted < planned ? $"That was pass {counted} of {planned}; the next one is{(View.Survey.BothDirections ? Run.Direction == Direction.Outward ? " back" : " outward" : " the same way")}."
                : "The result is calculated; from then on only an inspector sets this run aside.";
        }
    }

    private Run? Outward => Run is { Kind: RunKind.Pass, Direction: Direction.Back } ? View.Measurement.CountedPasses.LastOrDefault(r => r.Direction == Direction.Outward) : null;

    private int IndexOf(Func<RunEntry, bool> wanted) => Enumerable.Range(0, Entries.Length).Where(i => wanted(Entries[i])).Append(-1).First();

    private string Said(Reading reading)
    {
        var title = View.Survey.FindColumn(reading.Column)?.Title ?? reading.Column;
        var place = reading.Place.Key.Replace("→", " → ", StringComparison.Ordinal);
        return reading.Place.Kind == PlaceKind.Whole ? title : View.Columns.Length > 1 ? $"{place} {title}" : place;
    }

    private ReadingLine Line(Reading reading)
    {
        var column = View.Survey.FindColumn(reading.Column);
        var place = reading.Place.Key;
        var unit = Units.Calculated(reading.Value.Unit ?? "1");
        var value = Run.Calculated(reading.Column, place);
        // In the sense of the level as it stands now, whichever way its arrow pointed on the way out.
        var before = Run.Sense(column?.Quantity) * Outward?.AlongX(reading.Column, column?.Quantity, place);
        return new ReadingLine(
            Said(reading), $"{reading.Value.Typed.Replace('-', '−')} {reading.Value.Unit}".TrimEnd(),
            value is { } v && unit != reading.Value.Unit ? Shown.Text(v, unit) : null,
            before is { } b ? Shown.Text(b, unit) : null,
            value - before is { } d ? Shown.Text(d, unit) : null);
    }
}
