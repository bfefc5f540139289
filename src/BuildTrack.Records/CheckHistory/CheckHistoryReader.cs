using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Evaluating.Values;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Statistics;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.CheckHistory;

/// <summary>One machine's first result of a check.</summary>
/// <param name="Share">Value over limit, dimensionless: machines of different classes are compared by it. Null for a check with a lower limit or a limit of zero.</param>
/// <param name="Latest">Word of the latest result.</param>
/// <param name="ShareU">Standard uncertainty over limit; null without one.</param>
/// <param name="AcceptShare">Largest value that is accepted over limit; null without one.</param>
public sealed record CheckedMachine(
    string Serial, string Model, string Class, Instant At, double Value, double Limit, string Unit, Requirement Requirement, Verdict Verdict, double? Share, string Latest, double? ShareU, double? AcceptShare);

/// <summary>One check over all machines, in the order of their first results.</summary>
/// <param name="Chart">Individuals chart of the shares; null where fewer than two have one.</param>
/// <param name="Capability">Cpu of the shares against 1; null where its conditions are not met.</param>
/// <param name="CapabilityWhyNot">Which condition of it is not met; null where all are.</param>
/// <param name="Risks">Consumer's and producer's risk, model by model and over all.</param>
/// <param name="Compares">It is a change between two results: /checks/{line}/change has both.</param>
public sealed record CheckOverMachines(
    string Line, string Title, string Hold, ImmutableArray<CheckedMachine> Machines, IndividualsChartResult? Chart, CapabilityResult? Capability, string? CapabilityWhyNot,
    ImmutableArray<RiskLine> Risks, bool Compares)
{
    /// <summary>Machines accepted at their first result.</summary>
    public int FirstPass => Machines.Count(m => m.Verdict == Verdict.Accepted);
}

/// <summary>First-pass share of a hold point: every check of it accepted at the first result.</summary>
/// <param name="Compares">It is a change between two results.</param>
public sealed record FirstPassLine(string Line, string Title, string Hold, int Accepted, int Machines, bool Compares);

/// <summary>How checks came out over the machines built so far.</summary>
public sealed class CheckHistoryReader(Store store)
{
    /// <summary>First-pass figures of every check that any machine has a result of, in the order of the plan.</summary>
    public async Task<ImmutableArray<FirstPassLine>> FirstPass(CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var rows = await Firsts(db).Select(e => new { e.Id, e.Line, e.Verdict }).ToListAsync(ct);
        var byLine = rows.GroupBy(r => r.Line, StringComparer.Ordinal).ToList();

        // One text for each line says what it is called; the verdicts stand in columns.
        var named = (await EvaluationCache.Read(db, [.. byLine.Select(g => g.Max(r => r.Id))], ct)).ToDictionary(e => e.Line, e => e.Record.Input.Characteristic, StringComparer.Ordinal);
        return [.. byLine.Select(g => (Of: named[g.Key], Rows: g)).OrderBy(p => p.Of.Place)
            .Select(p => new FirstPassLine(p.Of.Line, p.Of.Title, p.Of.Hold, p.Rows.Count(r => r.Verdict == (int)Verdict.Accepted), p.Rows.Count(), p.Of.Evaluator == ChangeEvaluator.Name))];
    }

    /// <summary>The first result with a verdict of every line on every machine, whatever was measured later.</summary>
    internal static IQueryable<EvaluationRow> Firsts(Db db)
    {
        var firsts = db.Evaluations.Where(e => e.Verdict != null).GroupBy(e => new { e.Serial, e.Line }).Select(g => g.Min(e => e.Id));
        return db.Evaluations.AsNoTracking().Where(e => firsts.Contains(e.Id));
    }

    /// <summary>One check over the machines.</summary>
    /// <exception cref="NotFoundException">No machine has a result of this line.</exception>
    public async Task<CheckOverMachines> Of(string line, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var ids = await db.Evaluations.AsNoTracking().Where(e => e.Line == line && e.Verdict != null).GroupBy(e => e.Serial).Select(g => new { First = g.Min(e => e.Id), Last = g.Max(e => e.Id) }).ToListAsync(ct);
        if (ids.Count == 0)
        {
            throw new NotFoundException($"No machine has a result of line {line} yet.");
        }

        var models = await db.Machines.AsNoTracking().Select(m => new { m.Serial, m.ChecklistHash, m.Model }).ToDictionaryAsync(m => m.Serial, ct);
        var read = (await EvaluationCache.Read(db, [.. ids.SelectMany(i => new[] { i.First, i.Last }).Distinct()], ct)).ToDictionary(e => e.Id);
        var revisions = new Dictionary<string, ChecklistRevision>(StringComparer.Ordinal);
        foreach (var hash in ids.Select(i => models[read[i.First].Record.Input.Serial].ChecklistHash).Distinct())
        {
            revisions[hash] = (await Checklists.ChecklistReader.Of(db, hash, ct)).Revision;
        }

        var machines = ImmutableArray.CreateBuilder<CheckedMachine>(ids.Count);
        foreach (var pair in ids.OrderBy(i => i.First))
        {
            var (first, last) = (read[pair.First], read[pair.Last]);
            var result = first.Record.Result;
            var machine = models[first.Record.Input.Serial];
            var limit = result.NearLimit ?? 0;
            machines.Add(new CheckedMachine(
                machine.Serial, machine.Model, revisions[machine.ChecklistHash].Model(machine.Model).Class, first.At, result.Value ?? 0, limit, result.Unit, first.Record.Input.Requirement,
                result.Verdict!.Value, result is { Upper: > 0, Lower: null, Value: { } value } ? value / limit : null, Shown.Word(last.Record.Result.Verdict!.Value),
                result is { Upper: > 0, Lower: null, ExpandedUncertainty: { } u, K: > 0 and var k } ? u / k / limit : null, result is { Upper: > 0, Lower: null, AcceptUpTo: { } accept } ? accept / limit : null));
        }

        double[] shares = [.. machines.Select(m => m.Share).OfType<double>()];
        var named = read[ids[0].First].Record.Input.Characteristic;
        var chart = shares.Length < 2 ? null : IndividualsChart.Of(shares);
        var why = CheckSpread.WhyNotCapability(shares.Length, chart);
        return new CheckOverMachines(
            line, named.Title, named.Hold, machines.ToImmutable(), chart, why is not null ? null : Metrology.Statistics.Capability.OfValues(shares, new Conformity.Limits(1, null)), why,
            CheckSpread.Risks(machines), named.Evaluator == ChangeEvaluator.Name);
    }
}
