using System.Collections.Immutable;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating.Values;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Verdicts;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Storage;
using Microsoft.EntityFrameworkCore;

namespace BuildTrack.Records.CheckHistory;

/// <summary>One bed before and after: the two results that its latest comparison was made of.</summary>
/// <param name="Change">After less before, with sign.</param>
/// <param name="ExpandedUncertainty">U of the change.</param>
public sealed record ChangedMachine(string Serial, string Model, Instant At, double Before, double After, double Change, double? ExpandedUncertainty);

/// <summary>A quantity before and after over the machines. Values in <paramref name="Unit"/>.</summary>
/// <param name="BeforeLine">Line of the result before: 100-01.</param>
/// <param name="Mean">Mean change, with sign; null without machines.</param>
/// <param name="Spread">Standard deviation of the changes (divisor n − 1); null below two.</param>
/// <param name="MeanU">Half width of the 95 % interval of the mean, t·s/√n; null below two.</param>
public sealed record ChangeOverMachines(
    string Line, string Title, string Hold, string BeforeLine, string BeforeTitle, string AfterLine, string AfterTitle, string Unit, Requirement Requirement,
    ImmutableArray<ChangedMachine> Machines, double? Mean, double? Spread, double? MeanU)
{
    /// <summary>The mean lies further from zero than chance alone explains (95 %).</summary>
    public bool Moves => Mean is { } mean && MeanU is { } u && Math.Abs(mean) > u;
}

/// <summary>How far beds moved between two hold points: H1 after milling against H2 after coating.</summary>
public sealed class ChangeHistoryReader(Store store)
{
    /// <summary>Every machine that has both results, in the order of the later one.</summary>
    /// <param name="line">Line of the comparison: 120-21.</param>
    /// <exception cref="NotFoundException">No machine has a result of this line, or it compares no two results.</exception>
    public async Task<ChangeOverMachines> Of(string line, CancellationToken ct)
    {
        await using var db = store.OpenToRead();
        var ids = await db.Evaluations.AsNoTracking().Where(e => e.Line == line && e.Verdict != null).GroupBy(e => e.Serial).Select(g => g.Max(e => e.Id)).ToListAsync(ct);
        var read = (await EvaluationCache.Read(db, ids, ct)).OrderBy(e => e.Id).ToList();
        if (read.Count == 0)
        {
            throw new NotFoundException($"No machine has a result of line {line} yet.");
        }

        var named = read[^1].Record.Input.Characteristic;
        if (named.Evaluator != ChangeEvaluator.Name)
        {
            throw new NotFoundException($"Line {line} compares no two results.");
        }

        var input = read[^1].Record.Input;
        var unit = read[^1].Record.Result.Unit;
        ImmutableArray<ChangedMachine> machines =
        [
            .. from e in read
               let before = e.Record.Input.Sources["before"].Result?.Value
               let after = e.Record.Input.Sources["now"].Result?.Value
               where before is not null && after is not null && e.Record.Result.Unit == unit
               select new ChangedMachine(e.Record.Input.Serial, e.Record.Input.Model, e.At, before.Value, after.Value, after.Value - before.Value, e.Record.Result.ExpandedUncertainty),
        ];
        var (beforeLine, afterLine) = (input.Sources["before"].Result!.Line, input.Sources["now"].Result!.Line);
        var (mean, spread, u) = Statistics([.. machines.Select(m => m.Change)]);
        return new ChangeOverMachines(
            line, named.Title, named.Hold, beforeLine, await TitleOf(db, beforeLine, ct), afterLine, await TitleOf(db, afterLine, ct), unit, input.Requirement, machines, mean, spread, u);
    }

    /// <summary>Mean, standard deviation and t·s/√n of changes.</summary>
    internal static (double? Mean, double? Spread, double? MeanU) Statistics(ImmutableArray<double> changes)
    {
        if (changes.IsEmpty)
        {
            return (null, null, null);
        }

        var mean = changes.Average();
        if (changes.Length < 2)
        {
            return (mean, null, null);
        }

        var spread = Math.Sqrt(changes.Sum(c => (c - mean) * (c - mean)) / (changes.Length - 1));
        return (mean, spread, Quantiles.OneSided975(changes.Length - 1) * spread / Math.Sqrt(changes.Length));
    }

    private static async Task<string> TitleOf(Db db, string line, CancellationToken ct)
    {
        var id = await db.Evaluations.AsNoTracking().Where(e => e.Line == line).MaxAsync(e => (long?)e.Id, ct);
        return id is { } known && (await EvaluationCache.Read(db, [known], ct)) is [var evaluation] ? evaluation.Record.Input.Characteristic.Title : line;
    }
}
