using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Metrology.Straightness;

namespace BuildTrack.Domain.Measuring;

/// <summary>A value near the one that was typed.</summary>
/// <param name="Text">As it is said: "−3,5".</param>
/// <param name="Value">Calculated unit, in the sense of the run that is measured.</param>
public sealed record NearValue(string Text, double Value);

/// <summary>A value as typed, with everything it is looked at beside. Numbers are in the calculated unit, in the sense of the run that is measured.</summary>
/// <param name="Text">As it is said: "−412".</param>
/// <param name="Neighbours">Readings of the same run, the nearest first.</param>
/// <param name="Earlier">The earlier pass at the same place; null where there is none.</param>
/// <param name="EarlierRun">"the outward run", "run 1".</param>
/// <param name="Noise">What two readings of one place may differ by: U of the instrument, 0 where the register has none.</param>
/// <param name="Slope">An angle, which an instrument may show in arc-seconds or in µm/m.</param>
public sealed record TypedAmongOthers(string Place, string Text, double Value, ImmutableArray<NearValue> Neighbours, NearValue? Earlier, string EarlierRun, double Noise, bool Slope);

/// <summary>What a number at one place is looked at beside, before it is known.</summary>
/// <param name="Said">The place as a person says it: "R1-05 → R1-06".</param>
/// <param name="Neighbours">Places of the same line, the nearest first.</param>
/// <param name="Earlier">The earlier pass at the same place; null where there is none.</param>
/// <param name="EarlierRun">"the outward run", "run 1".</param>
/// <param name="Noise">What two readings of one place may differ by, calculated unit.</param>
/// <param name="Slope">An angle, which an instrument may show in arc-seconds or in µm/m.</param>
public sealed record LookedAtBeside(string Column, string Said, ImmutableArray<string> Neighbours, NearValue? Earlier, string EarlierRun, double Noise, bool Slope);

/// <summary>Whether a value is asked about before it is recorded: a slip of the finger, a sign, a unit. It never refuses and never decides.</summary>
public static class Plausibility
{
    // The company's own settings; common practice, no source.

    /// <summary>Larger, or smaller, than this many times the middle size of the neighbours is asked about.</summary>
    public const double FarFactor = 5;

    /// <summary>Further from the earlier pass than this many times the U of a difference is asked about.</summary>
    public const double EarlierFactor = 3;

    /// <summary>Two values are taken for the same but for sign or unit when they agree within this part of the larger.</summary>
    public const double SameWithin = 0.2;

    /// <summary>A value this many times as large as the noise has a sign that can be wrong.</summary>
    public const double SureFactor = 2;

    /// <summary>How many places to either side are neighbours.</summary>
    public const int Reach = 3;

    /// <summary>The sentence a person is asked with, without its question; null where nothing is asked.</summary>
    public static string? QuestionOf(TypedAmongOthers typed)
    {
        ArgumentNullException.ThrowIfNull(typed);
        return AgainstEarlier(typed) ?? AgainstNeighbours(typed);
    }

    /// <summary>The same for a reading that is about to enter a run.</summary>
    public static string? QuestionOf(MachineRecord machine, Survey survey, Measurement measurement, Run run, Reading reading)
    {
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(reading);
        return survey.FindColumn(reading.Column) is { Kind: ValueKind.Number } column
            ? QuestionOf(BesideOf(machine, survey, measurement, run, column, reading.Place.Key), run, reading) : null;
    }

    /// <summary>The same with what the place is looked at beside gathered before.</summary>
    public static string? QuestionOf(LookedAtBeside beside, Run run, Reading reading)
    {
        ArgumentNullException.ThrowIfNull(beside);
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(reading);
        return (run with { Readings = [reading] }).Calculated(beside.Column, reading.Place.Key) is { } value
            ? QuestionOf(new TypedAmongOthers(
                beside.Said, Said(reading), value, NeighboursOf(beside, run), beside.Earlier, beside.EarlierRun, beside.Noise, beside.Slope))
            : null;
    }

    /// <summary>What a number at a place of a run is looked at beside, whatever stands there yet.</summary>
    public static LookedAtBeside BesideOf(MachineRecord machine, Survey survey, Measurement measurement, Run run, Column column, string place)
    {
        ArgumentNullException.ThrowIfNull(machine);
        ArgumentNullException.ThrowIfNull(survey);
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(run);
        ArgumentNullException.ThrowIfNull(column);
        ArgumentNullException.ThrowIfNull(place);

        // Who looks again independently is not told what was found before.
        var earlier = run.Kind == RunKind.Pass ? measurement.CountedPasses.LastOrDefault(r => r.Id != run.Id && (run.Direction is null || r.Direction != run.Direction)) ?? measurement.CountedPasses.LastOrDefault(r => r.Id != run.Id) : null;
        var turned = run.Sense(column.Quantity);
        var unit = Units.Calculated(column.Unit ?? "1");
        var where = place.Replace("→", " → ", StringComparison.Ordinal);
        return new LookedAtBeside(
            column.Id, survey.Places == PlaceKind.Whole ? column.Title : survey.Columns.Length > 1 ? $"{where} {column.Title}" : where,
            NeighboursOf(machine, survey, measurement, place),
            earlier?.AlongX(column.Id, column.Quantity, place) is { } found ? new NearValue(Shown.Text(turned * found, unit), turned * found) : null,
            earlier?.Direction == Direction.Outward ? "the outward run" : $"run {earlier?.No}", NoiseOf(machine, survey, measurement, run, column), column.Quantity == "slope");
    }

    private static string? AgainstEarlier(TypedAmongOthers typed)
    {
        if (typed.Earlier is not { } earlier)
        {
            return null;
        }

        var difference = Math.Abs(typed.Value - earlier.Value);
        if (difference <= EarlierFactor * Math.Sqrt(2) * typed.Noise || difference <= SameWithin * Math.Abs(earlier.Value))
        {
            return null;
        }

        var read = $"{typed.Place} reads {typed.Text} where {typed.EarlierRun} read {earlier.Text}";
        return Same(-typed.Value, earlier.Value) && Math.Abs(earlier.Value) > SureFactor * typed.Noise ? $"{read}, the same with the other sign"
            : typed.Slope && Same(typed.Value * LevelReadings.UmPerMPerArcsec, earlier.Value) ? $"{read}, as if this were arc-seconds"
            : typed.Slope && Same(typed.Value / LevelReadings.UmPerMPerArcsec, earlier.Value) ? $"{read}, as if that had been arc-seconds"
            : typed.Noise > 0 || Math.Abs(typed.Value) > FarFactor * Math.Abs(earlier.Value) ? read
            : null;
    }

    private static string? AgainstNeighbours(TypedAmongOthers typed)
    {
        // One neighbour alone may itself be the slip.
        if (typed.Neighbours.Length < 2)
        {
            return null;
        }

        var sizes = typed.Neighbours.Select(n => Math.Abs(n.Value)).Order().ToArray();
        var middle = (sizes[(sizes.Length - 1) / 2] + sizes[sizes.Length / 2]) / 2;
        var size = Math.Abs(typed.Value);

        // Values that are all about the same, as thicknesses are, are told from a decimal sign left out on either side.
        var alike = typed.Neighbours.All(n => Math.Sign(n.Value) == Math.Sign(typed.Neighbours[0].Value)) && sizes[0] > middle / 2 && middle > FarFactor * typed.Noise;
        return size > FarFactor * Math.Max(middle, typed.Noise) || (alike && size * FarFactor < middle)
            ? $"{typed.Place} reads {typed.Text}, its neighbours {typed.Neighbours[0].Text} and {typed.Neighbours[1].Text}"
            : null;
    }

    private static bool Same(double a, double b) => Math.Abs(a - b) <= SameWithin * Math.Max(Math.Abs(a), Math.Abs(b));

    private static ImmutableArray<string> NeighboursOf(MachineRecord machine, Survey survey, Measurement measurement, string place)
    {
        var places = machine.Revision.PlacesOf(survey, machine.Model, measurement.Feature);
        var here = places.IndexOf(place);
        if (here < 0 || survey.Places == PlaceKind.Whole)
        {
            return [];
        }

        var y = machine.Revision.StationsOf(survey, machine.Model, measurement.Feature).ToDictionary(s => s.Id, s => s.YMm);
        double LineOf(string key) => y[Place.Parse(key).From!];
        return
        [
            .. Enumerable.Range(1, Reach).SelectMany(d => new[] { here - d, here + d })
                .Where(i => i >= 0 && i < places.Length && LineOf(places[i]) == LineOf(place)).Select(i => places[i]),
        ];
    }

    private static ImmutableArray<NearValue> NeighboursOf(LookedAtBeside beside, Run run) =>
    [
        .. beside.Neighbours.Select(p => run.Standing.LastOrDefault(r => r.Column == beside.Column && r.Place.Key == p))
            .Where(r => r is not null && run.Calculated(r.Column, r.Place.Key) is not null)
            .Select(r => new NearValue(Said(r!), run.Calculated(r!.Column, r.Place.Key)!.Value)),
    ];

    private static double NoiseOf(MachineRecord machine, Survey survey, Measurement measurement, Run run, Column column)
    {
        var instrument = run.InstrumentFor(column.Quantity);
        var stations = machine.Revision.StationsOf(survey, machine.Model, measurement.Feature);
        var span = stations.IsEmpty ? 0 : Math.Max(stations.Max(s => s.XMm) - stations.Min(s => s.XMm), stations.Max(s => s.YMm) - stations.Min(s => s.YMm));
        return instrument?.FigureFor("small difference", span) is { } over ? over.Expanded(span)
            : (instrument?.FigureFor("slope", 0) ?? instrument?.FigureFor("absolute", 0))?.Expanded(0) ?? 0;
    }

    private static string Said(Reading reading) => reading.Value.Typed.Trim().Replace('-', '−');
}

/// <summary>Values were typed that a person is asked about first; nothing was recorded.</summary>
/// <param name="questions">One sentence for each.</param>
public sealed class DoubtfulReadingException(ImmutableArray<string> questions) : Exception(string.Join("; ", questions))
{
    public ImmutableArray<string> Questions { get; } = questions;
}
