using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Rules;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.Machines;

public enum FoundKind
{
    Machine,
    Instrument,
    Certificate,
    Nonconformance,
    Component,
}

/// <summary>Something that carries the text looked for.</summary>
/// <param name="Id">Number it is called by.</param>
/// <param name="Says">What else is known of it, in a few words.</param>
/// <param name="Serial">The machine it belongs to; null for an instrument.</param>
/// <param name="Number">Of a nonconformance; null for others.</param>
public sealed record FoundThing(FoundKind Kind, string Id, string Says, string? Serial, int? Number = null);

/// <summary>Looks for a number or a name over the whole plant.</summary>
public sealed class Finder(Store store)
{
    /// <summary>More are not shown: the text is too short then.</summary>
    public const int Most = 50;

    /// <summary>What carries a text in its number or name, capital or not: machines, customers, models, instruments, certificates, nonconformances, components fitted or taken out.</summary>
    /// <exception cref="BadInputException">Fewer than two characters, or more than 100.</exception>
    public async Task<ImmutableArray<FoundThing>> Find(string text, CancellationToken ct)
    {
        var wanted = text.Trim();
        if (wanted.Length is < 2 or > 100)
        {
            throw new BadInputException("text", wanted.Length < 2 ? $"'{wanted}'" : $"{wanted.Length} characters", "2 to 100 characters of a serial number, a customer, an instrument, a certificate");
        }

        bool Carries(string? name) => name?.Contains(wanted, StringComparison.OrdinalIgnoreCase) == true;

        // Databases fold letters each in their own way; the few thousand names of a plant are compared here.
        await using var db = store.OpenToRead();
        var machines = await db.Machines.OrderBy(m => m.Serial).Select(m => new { m.Serial, m.Model, m.Customer }).ToListAsync(ct);
        var instruments = (await db.Instruments.OrderBy(i => i.Id).ThenBy(i => i.Revision).Select(i => new { i.Id, i.Entry }).ToListAsync(ct))
            .GroupBy(i => i.Id, i => i.Entry).Select(g => CanonicalJson.Read<RegisterEntry>(g.Last()));
        var certificates = await db.Certificates.OrderBy(c => c.Number).ThenBy(c => c.Issue).Select(c => new { c.Number, c.Issue, c.Serial }).ToListAsync(ct);
        var number = wanted.StartsWith("NCR-", StringComparison.OrdinalIgnoreCase) ? wanted[4..] : wanted;
        var raised = int.TryParse(number, System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out var no)
            ? await db.Nonconformances.Where(n => n.Number == no).Select(n => new { n.Number, n.Serial }).ToListAsync(ct) : [];

        // The one list that grows with every part of every machine: the database looks through it.
        var upper = wanted.ToUpperInvariant();
#pragma warning disable CA1304, CA1311, CA1862 // Not run here: it becomes upper(…) in the database.
        var components = await db.Components.Where(c => c.Number.ToUpper().Contains(upper)).OrderBy(c => c.Number).ThenBy(c => c.Id).Take(Most)
            .Select(c => new { c.Number, c.Kind, c.Serial, c.Place, Out = db.Components.Any(n => n.Replaces == c.Id) }).ToListAsync(ct);
#pragma warning restore CA1304, CA1311, CA1862
        return
        [
            .. machines.Where(m => Carries(m.Serial) || Carries(m.Model) || Carries(m.Customer)).Take(Most).Select(m => new FoundThing(FoundKind.Machine, m.Serial, $"{m.Model}, {m.Customer}", m.Serial)),
            .. instruments.Where(i => Carries(i.Id) || Carries(i.Serial) || Carries(i.Name)).Take(Most).Select(i => new FoundThing(FoundKind.Instrument, i.Id, $"{i.Name}, no. {i.Serial}", null)),
            .. certificates.Where(c => Carries(c.Number)).Take(Most).Select(c => new FoundThing(FoundKind.Certificate, c.Number, FormattableString.Invariant($"issue {c.Issue}, {c.Serial}"), c.Serial)),
            .. raised.Select(n => new FoundThing(FoundKind.Nonconformance, FormattableString.Invariant($"NCR-{n.Number:0000}"), n.Serial, n.Serial, n.Number)),
            .. components.Select(c => new FoundThing(FoundKind.Component, c.Number, $"{c.Kind}, {(c.Out ? "taken out of" : "fitted on")} {c.Serial} at {c.Place}", c.Serial)),
        ];
    }
}
