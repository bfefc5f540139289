using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology;
using BuildTrack.Metrology.Commissioning;

namespace BuildTrack.Domain.Evaluating.Values;

/// <summary>Protective bonding: what the measured resistance of every point has above that of its conductor, against the company's allowance for contacts.</summary>
/// <remarks>
/// Method: docs/method/commissioning.md, section 2. The standard has no universal limit; length and cross-section give the conductor's own resistance at 20 °C.
/// A warmer conductor has more, which counts as contact and is on the safe side.
/// </remarks>
public sealed class BondingEvaluator : IEvaluator
{
    public string Kind => "bonding";

    public ImmutableArray<EvaluatorSource> Sources { get; } =
    [
        new EvaluatorSource("resistance", ["resistance"], [PlaceKind.At, PlaceKind.Whole]), new EvaluatorSource("length", ["length"], [PlaceKind.At, PlaceKind.Whole]),
        new EvaluatorSource("cross-section", ["cross-section"], [PlaceKind.At, PlaceKind.Whole]),
    ];

    /// <summary>How the conductors are made (IEC 60228, class 2 or 5).</summary>
    public ImmutableArray<string> References { get; } = ["stranded", "flexible"];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "Ω";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: bonding needs an upper limit in Ω.")).Calculated;
        var (resistance, length, section) = (MeasuredValues.Of(input, "resistance"), MeasuredValues.Of(input, "length"), MeasuredValues.Of(input, "cross-section"));
        if (MeasuredValues.Lacking(input, "Ω", resistance, length, section) is { } lacking)
        {
            return lacking;
        }

        var made = input.Reference == "flexible" ? ConductorClass.Flexible : ConductorClass.Stranded;
        var candidates = ImmutableArray.CreateBuilder<Candidate>();
        foreach (var point in resistance.Values)
        {
            var (metres, mm2) = (length.At(point.Label).Mean / 1e6, section.At(point.Label).Mean);
            if (!(metres is > 0 and <= BondingLimit.LongestM) || !BondingLimit.CrossSectionsMm2.Contains(mm2) || point.Mean < 0)
            {
                var sections = string.Join(", ", BondingLimit.CrossSectionsMm2.Select(s => FormattableString.Invariant($"{s}")));
                return EvaluationResult.Without(
                    ResultState.Incomplete, "Ω",
                    FormattableString.Invariant($"{point.Label}: found {point.Mean:0.####} Ω of {metres:0.##} m with {mm2:0.##} mm², expected 0 Ω or more, a length above 0 and a cross-section of the table ({sections} mm²)"),
                    new NextAction(NextKind.Record, $"Correct the figures of {point.Label} in survey {point.Source.Survey}.", []));
            }

            var conductor = BondingLimit.Ohm(metres, mm2, made, Temperature.Reference, 0);
            candidates.Add(new Candidate(
                point.Label, FormattableString.Invariant($"contacts, {point.Mean:0.0###} Ω less {conductor:0.0###} Ω of the conductor,"), point.Mean - conductor,
                [.. point.Passes.Select(p => p - conductor)], [.. point.Source.CountedPasses], limit, true, WorstValue.View(input, point.Source, 0)));
        }

        return WorstValue.Of(
            input, candidates.ToImmutable(), "Ω", resistance.Values[0].Source.Survey,
            [new Figure("points", candidates.Count, "1"), new Figure("largest resistance", resistance.Values.Max(v => v.Mean), "Ω")],
            rework: place => $"Take the connection at {place} apart, bare and clean its contact, tighten it; record that work and measure the point again. Mains stay off.");
    }
}
