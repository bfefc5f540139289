using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Acts;
using BuildTrack.Records.Machines;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Surveys;

/// <summary>Turns what was typed into readings, or says of every value what is wrong with it.</summary>
internal static class ReadingEntry
{
    /// <param name="correcting">The reading that another one takes the place of.</param>
    public static async Task<ImmutableArray<Reading>> Understand(
        RunPlace at, ImmutableArray<TypedReading> typed, EntryRoute route, ActContext act, CancellationToken ct, Reading? correcting = null)
    {
        var faults = new List<InputFault>();
        var readings = ImmutableArray.CreateBuilder<Reading>(typed.Length);
        var have = at.Run.Standing.Select(r => (r.Place.Key, r.Column)).ToHashSet();
        var expected = at.Expected.ToHashSet();
        if (typed.Length == 0)
        {
            faults.Add(new InputFault("readings", "none", "at least one"));
        }

        foreach (var value in typed)
        {
            var where = $"{value.Place}, column {value.Column}";
            var column = at.Columns.SingleOrDefault(c => c.Id == value.Column);
            if (column is null)
            {
                faults.Add(new InputFault(where, $"column '{value.Column}'", $"one of {string.Join(", ", at.Columns.Select(c => c.Id))}"));
            }
            else if (WhyNotPlace(at, expected, value.Place) is { } expectedPlace)
            {
                faults.Add(new InputFault(where, $"place '{value.Place}'", expectedPlace));
            }
            else if (correcting is null && !have.Add((value.Place, value.Column)))
            {
                faults.Add(new InputFault(where, $"a second value '{value.Typed}'", "one value; a recorded one is corrected with a reason"));
            }
            else if (await Value(at, column, value, route, correcting, act, ct) is var (understood, fault) && fault is not null)
            {
                faults.Add(new InputFault(where, fault.Value.Found, fault.Value.Expected));
            }
            else
            {
                readings.Add(new Reading(act.NewId(), Place.Parse(value.Place), value.Column, understood!, act.Now, act.Who.Person, route, null, null));
            }
        }

        MachineActs.Throw(faults);
        return readings.ToImmutable();
    }

    private static string? WhyNotPlace(RunPlace at, HashSet<string> expected, string place)
    {
        if (expected.Count > 0)
        {
            return expected.Contains(place) ? null
                : at.Run.Kind == RunKind.ContactsAgain ? $"one of the places to measure again: {string.Join(", ", expected)}"
                : expected.Count <= 4 ? string.Join(", ", expected)
                : $"a station of the layout, {expected.First()} to {expected.Last()}";
        }

        var stations = at.Stations.Select(s => s.Id).ToHashSet();
        var parts = place.Split('→');
        var wanted = at.Survey.Places == PlaceKind.Between ? 2 : 1;
        return parts.Length != wanted ? (wanted == 2 ? "two stations, from→to" : "one station")
            : parts.Any(p => p.Length is 0 or > 40 || CanonicalJson.WhyNotText(p) is not null) ? "station names of 1 to 40 characters"
            : stations.Count > 0 && parts.FirstOrDefault(p => !stations.Contains(p)) is { } unknown ? $"stations of the layout; '{unknown}' is none"
            : null;
    }

    private static async Task<(ReadingValue? Value, (string Found, string Expected)? Fault)> Value(
        RunPlace at, Column column, TypedReading typed, EntryRoute route, Reading? correcting, ActContext act, CancellationToken ct)
    {
        if (CanonicalJson.WhyNotText(typed.Typed) is { } why)
        {
            return (null, (why, "plain text"));
        }

        // Who types reads the instrument. A file may be in another unit than it shows, and what is corrected of it stays in that one.
        var shown = at.Run.UnitOf(column) ?? "1";
        var unit = typed.Unit ?? shown;
        var file = route == EntryRoute.File;
        switch (column.Kind)
        {
            case ValueKind.Number when unit != shown && unit != correcting?.Value.Unit && !(file && Units.Convertible(unit, shown)):
                return (null, ($"'{typed.Typed}' in {unit}", $"a value in {shown}, the unit of {at.Run.InstrumentFor(column.Quantity)?.Id ?? "the survey"}"));
            case ValueKind.Number or ValueKind.Choice or ValueKind.Text:
                var (value, fault) = ReadingText.Understand(column.Kind, unit, column.Choices, typed.Typed, exponents: file);
                return (value, fault is null ? null : (column.Kind == ValueKind.Text ? $"{typed.Typed.Length} characters" : $"'{typed.Typed}'", fault));
            default:
                return await act.Db.Files.AnyAsync(f => f.Hash == typed.Typed, ct)
                    ? (new ReadingValue(column.Kind, typed.Typed, null, null, null, typed.Typed), null)
                    : (null, ($"'{typed.Typed}'", "the SHA-256 of a file kept here"));
        }
    }
}
