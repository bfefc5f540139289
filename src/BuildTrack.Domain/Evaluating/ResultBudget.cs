using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Domain.Evaluating;

/// <summary>A component of a result's reach.</summary>
/// <param name="Instrument">Register id.</param>
/// <param name="Random">The part that differs from reading to reading; else the part that all readings of a set-up share.</param>
/// <param name="Register">What the register says of it, with coverage factor.</param>
/// <param name="Passes">Planned passes it is averaged over; 1 for what does not average.</param>
/// <param name="Contribution">What it adds to the reach above, unit of the result.</param>
/// <param name="Share">Of the reach above, 0 to 1.</param>
public sealed record BudgetLine(string Instrument, bool Random, string Register, int Passes, double Contribution, double Share);

/// <summary>Where the reach of a result comes from.</summary>
/// <remarks>
/// The reach above is 1.6449 s + B (docs/method/verdict.md): s from the random parts, B from what is shared. Each line is what the reach loses when
/// the calculation is done once more without that part; for one instrument the lines add to the reach exactly.
/// </remarks>
/// <param name="ReachAbove">As the result has it, unit of the result.</param>
/// <param name="AcceptBand">The larger of the reach and the rule's band.</param>
/// <param name="Lines">Largest first.</param>
/// <param name="Largest">The largest component in a sentence, with what would make it smaller; null where nothing is known.</param>
public sealed record ResultBudget(string Unit, double ReachAbove, double AcceptBand, ImmutableArray<BudgetLine> Lines, string? Largest)
{
    /// <summary>Stands in the place of an instrument for what the bed itself adds.</summary>
    public const string Bed = "Bed";

    /// <summary>The budget of a calculated result; null where there is no reach.</summary>
    public static ResultBudget? Of(EvaluationRecord record)
    {
        ArgumentNullException.ThrowIfNull(record);
        if (record.Result is not { State: ResultState.Calculated, ReachAbove: { } reach and > 0, AcceptBand: { } band })
        {
            return null;
        }

        var lines = ImmutableArray.CreateBuilder<BudgetLine>();
        foreach (var (source, instrument) in Instruments(record.Input))
        {
            foreach (var random in (ReadOnlySpan<bool>)[true, false])
            {
                var without = Evaluators.Evaluate(Without(record.Input, instrument.Id, random)).Result.ReachAbove ?? reach;
                if (reach - without > 1e-9 * reach)
                {
                    lines.Add(new BudgetLine(instrument.Id, random, Said(instrument, random), random ? source.PassesPlanned : 1, reach - without, (reach - without) / reach));
                }
            }
        }

        if (record.Input.BowPerKelvin is { } perKelvin)
        {
            var without = Evaluators.Evaluate(record.Input with { BowPerKelvin = perKelvin with { Value = 0 } }).Result.ReachAbove ?? reach;
            if (reach - without > 1e-9 * reach)
            {
                lines.Add(new BudgetLine(Bed, false, FormattableString.Invariant($"bow of {perKelvin.Value:0.#} µm for each K top to bottom"), 1, reach - without, (reach - without) / reach));
            }
        }

        ImmutableArray<BudgetLine> ordered = [.. lines.OrderByDescending(l => l.Contribution)];
        return new ResultBudget(record.Result.Unit, reach, band, ordered, ordered is [var largest, ..] ? Sentence(largest, record.Result.Unit) : null);
    }

    private static IEnumerable<(SurveySource Source, RegisterEntry Instrument)> Instruments(EvaluationInput input) =>
        input.Sources.Values.Select(s => s.Readings).OfType<SurveySource>()
            .SelectMany(s => s.CountedPasses.SelectMany(r => r.Instruments).Where(i => i.Quantity == s.Quantity).Select(i => (Source: s, Instrument: i)))
            .GroupBy(p => p.Instrument.Id, StringComparer.Ordinal).Select(g => g.First());

    private static EvaluationInput Without(EvaluationInput input, string instrument, bool random) => input with
    {
        Sources = input.Sources.ToImmutableSortedDictionary(p => p.Key, p => p.Value.Readings is not { } readings ? p.Value : p.Value with
        {
            Readings = readings with { Runs = [.. readings.Runs.Select(r => Without(r, instrument, random))] },
        }, StringComparer.Ordinal),
    };

    private static Run Without(Run run, string instrument, bool random) => run with
    {
        Instruments = [.. run.Instruments.Select(i => i.Id != instrument ? i : i with { Figures = [.. i.Figures.Select(f => random ? f with { NoRandomPart = true } : f with { NoCommonPart = true })] })],
    };

    private static string Said(RegisterEntry instrument, bool random) => string.Join("; ", instrument.Figures.Select(f =>
        $"{f.Use}{(f.UpToMm is { } up ? FormattableString.Invariant($" up to {up / 1000:0.###} m") : "")}: "
        + ((random ? f.Random : f.Common) is { } part ? $"{part}" : $"half of U {f.A}{(f.BPerMetre is { } per ? $" + {per} per m" : "")}")
        + $", k = {f.K.ToString("0.##", CultureInfo.InvariantCulture)}"
        + (random && f.DegreesOfFreedom is { } degrees ? FormattableString.Invariant($", {degrees:0.#} degrees of freedom") : "")
        + (!random && instrument.Digit is { } digit ? $", read to {digit}" : "")).Distinct());

    private static string Sentence(BudgetLine line, string unit)
    {
        var share = (100 * line.Share).ToString("0", CultureInfo.InvariantCulture);
        if (line.Instrument == Bed)
        {
            return $"The bow of a bed that was not even in temperature gives {share} % of the reach: wait until the gradient is kept, and measure again.";
        }

        if (!line.Random)
        {
            return $"What all readings of {line.Instrument} share gives {share} % of the reach: further passes do not make it smaller; a check against a master, another set-up or another instrument does.";
        }

        var next = line.Contribution * Math.Sqrt(line.Passes / (line.Passes + 1.0));
        return $"The random part of {line.Instrument} gives {share} % of the reach: with one more planned pass it falls from {Shown.Text(line.Contribution, unit)} to {Shown.Text(next, unit)}.";
    }
}
