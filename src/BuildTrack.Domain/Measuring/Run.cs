using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;

namespace BuildTrack.Domain.Measuring;

/// <summary>What a run is for.</summary>
public enum RunKind
{
    /// <summary>A pass over every place of the survey.</summary>
    Pass,

    /// <summary>The places that fix the result, measured again independently; places and weights are frozen.</summary>
    ContactsAgain,

    /// <summary>An inspector's own look; never merged into the result.</summary>
    SpotCheck,
}

/// <summary>Direction of travel along the rails.</summary>
public enum Direction
{
    /// <summary>Away from the operator's end, toward +X.</summary>
    Outward,

    /// <summary>Toward the operator's end.</summary>
    Back,
}

/// <summary>Which way the level's arrow points for a whole run.</summary>
public enum LevelArrow
{
    PlusX,
    MinusX,
}

/// <summary>A place with the weight it has in a frozen proof.</summary>
public sealed record WeightedPlace(string Place, double Weight);

/// <summary>The look at an instrument before use: what was checked and what was found.</summary>
public sealed record UseCheck(string Instrument, string Found, bool InOrder);

/// <summary>Temperatures of the bed when a run began.</summary>
/// <param name="Air">°C, 1 m high beside the bed; null if not taken.</param>
/// <param name="Top">°C at the top of the bed, one for each place.</param>
/// <param name="Bottom">°C at the bottom below the same places.</param>
/// <param name="Note">Anything that may have disturbed: door, crane, sun.</param>
/// <param name="Anyway">Why the person measured although the gradient was beyond the allowed one; the bow is then added to the uncertainty.</param>
public sealed record Conditions(decimal? Air, ImmutableArray<decimal> Top, ImmutableArray<decimal> Bottom, string? Note, string? Anyway = null)
{
    /// <summary>Largest difference top to bottom at one place, in K; null where nothing was taken.</summary>
    public decimal? Gradient => Top.IsDefaultOrEmpty || Bottom.IsDefaultOrEmpty || Top.Length != Bottom.Length
        ? null
        : Top.Zip(Bottom, (t, b) => Math.Abs(t - b)).Max();
}

/// <summary>One pass: one direction, one person with named helpers, one set of instruments.</summary>
/// <param name="Day">Day the run began, yyyy-MM-dd in plant time: instruments must be valid on it.</param>
/// <param name="Instruments">The register's entries as they stood when the run began.</param>
/// <param name="Weights">Frozen places of a run that does not go over all of them: with their weights where contacts are measured again, with weight 0 in a spot check.</param>
/// <param name="Proves">Line of the characteristic whose places are measured again.</param>
/// <param name="FileHash">The survey file as received, when the run came from one.</param>
/// <param name="Begun">When the record took it in.</param>
/// <param name="Tablet">When it was begun and sent, by the clock of the tablet on which it was begun without network; null elsewhere.</param>
public sealed record Run(
    long Id, int No, RunKind Kind, Direction? Direction, LevelArrow? Arrow, string Person, ImmutableArray<string> Helpers, string Day,
    ImmutableArray<RegisterEntry> Instruments, ImmutableArray<UseCheck> Checks, Conditions? Conditions, ImmutableArray<WeightedPlace> Weights,
    string? Proves, string? FileHash, Instant Begun, Instant? Finished, Instant? Shown, Discarded? Discarded, ImmutableArray<Reading> Readings,
    TabletClock? Tablet = null)
{
    /// <summary>Counts in the result: finished and not discarded.</summary>
    public bool Counts => Finished is not null && Discarded is null;

    /// <summary>The readings that stand: each that is not superseded and has a value.</summary>
    [JsonIgnore]
    public IEnumerable<Reading> Standing
    {
        get
        {
            var superseded = Readings.Where(r => r.Supersedes is not null).Select(r => r.Supersedes!.Value).ToHashSet();
            return Readings.Where(r => !superseded.Contains(r.Id) && !r.TakesBack);
        }
    }

    /// <summary>What was entered last and stands: the readings of one place that came in together. Empty where nothing stands.</summary>
    [JsonIgnore]
    public ImmutableArray<Reading> LastEntry =>
        Standing.MaxBy(r => r.Id) is { } last ? [.. Standing.Where(r => r.Place == last.Place && r.At == last.At)] : [];

    /// <summary>The instrument that read a quantity; null where the run names none.</summary>
    public RegisterEntry? InstrumentFor(string? quantity) => Instruments.FirstOrDefault(i => i.Quantity == quantity);

    /// <summary>The unit a column is typed in: that of its instrument, else that of the survey.</summary>
    public string? UnitOf(Column column)
    {
        ArgumentNullException.ThrowIfNull(column);
        return InstrumentFor(column.Quantity)?.Unit ?? column.Unit;
    }

    /// <summary>The standing value of a column at a place, calculated unit: divisions in µm/m as the register says of the level. Null where there is none.</summary>
    public double? Calculated(string column, string place) =>
        Standing.LastOrDefault(r => r.Column == column && r.Place.Key == place)?.Value is { } value ? Understood(value) : null;

    /// <summary>The same for every place of a column, looked up once.</summary>
    public Func<string, double?> CalculatedBy(string column)
    {
        var standing = new Dictionary<string, double?>(StringComparer.Ordinal);
        foreach (var reading in Standing.Where(r => r.Column == column))
        {
            standing[reading.Place.Key] = Understood(reading.Value);
        }

        return place => standing.GetValueOrDefault(place);
    }

    private double? Understood(ReadingValue value) => value.Unit != "div"
        ? value.Calculated
        : value.Calculated * (double?)Instruments.Select(i => i.Division).FirstOrDefault(d => d is not null)?.Calculated;

    /// <summary>The same as with the level's arrow to +X: a level that was turned reads a rise as a fall. The sign belongs to the level, not to the travel.</summary>
    /// <param name="quantity">Quantity of the column; only a slope has an arrow.</param>
    public double? AlongX(string column, string? quantity, string place) =>
        Sense(quantity) * Calculated(column, place);

    /// <summary>The same for every place of a column, looked up once.</summary>
    public Func<string, double?> AlongXBy(string column, string? quantity)
    {
        var (sense, calculated) = (Sense(quantity), CalculatedBy(column));
        return place => sense * calculated(place);
    }

    /// <summary>−1 where what this run reads of a quantity has the other sign than with the level's arrow to +X; else 1.</summary>
    public int Sense(string? quantity) => quantity == "slope" && Arrow == LevelArrow.MinusX ? -1 : 1;

    /// <summary>Everybody who had a hand in this run: recorded, uploaded, corrected, discarded or helped.</summary>
    [JsonIgnore]
    public IEnumerable<string> Hands =>
        Helpers.Append(Person).Concat(Readings.Select(r => r.Person)).Concat(Discarded is null ? [] : [Discarded.Person]).Distinct();
}

/// <summary>Why, by whom and when a run was set aside. It is kept.</summary>
public sealed record Discarded(string Person, Instant At, string Reason);

/// <summary>A survey done once on one machine and feature.</summary>
/// <param name="No">1 for the first; rework starts the next.</param>
/// <param name="Feature">The rail, joint or sample, where the survey has several.</param>
/// <param name="PassesPlanned">Fixed before the first pass.</param>
/// <param name="RepeatedBecause">Why the earlier measurement had to be repeated.</param>
public sealed record Measurement(
    long Id, string Survey, string? Feature, int No, int PassesPlanned, string? RepeatedBecause, Instant Begun, string BegunBy, ImmutableArray<Run> Runs)
{
    [JsonIgnore]
    public IEnumerable<Run> CountedPasses => Runs.Where(r => r.Kind == RunKind.Pass && r.Counts);

    [JsonIgnore]
    public Run? Open => Runs.SingleOrDefault(r => r.Finished is null && r.Discarded is null);
}
