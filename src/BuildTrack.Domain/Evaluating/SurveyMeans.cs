using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>The mean of all counted passes at every station, or what is missing for it.</summary>
internal sealed record SurveyMeans(ImmutableArray<Station> Stations, double[] Values, string? Missing, ImmutableArray<WeightedPlace> MissingPlaces)
{
    /// <summary>Averages the counted passes. Passes beyond the planned number enter the mean as well (docs/method/verdict.md, "Looking again").</summary>
    public static SurveyMeans Of(SurveySource source)
    {
        var passes = source.CountedPasses.ToImmutableArray();
        if (passes.Length < source.PassesPlanned)
        {
            return new SurveyMeans(source.Stations, [], $"{passes.Length} of {source.PassesPlanned} planned passes are finished", []);
        }

        var read = passes.Select(p => p.CalculatedBy(source.Column)).ToArray();
        var values = new double[source.Stations.Length];
        var missing = ImmutableArray.CreateBuilder<WeightedPlace>();
        for (var i = 0; i < values.Length; i++)
        {
            var sum = 0.0;
            foreach (var pass in read)
            {
                if (pass(source.Stations[i].Id) is { } value)
                {
                    sum += value;
                }
                else
                {
                    missing.Add(new WeightedPlace(source.Stations[i].Id, 0));
                    break;
                }
            }

            values[i] = sum / passes.Length;
        }

        return missing.Count == 0
            ? new SurveyMeans(source.Stations, values, null, [])
            : new SurveyMeans(source.Stations, [],
                $"{missing.Count} of {source.Stations.Length} stations have no reading ({string.Join(", ", missing.Take(6).Select(p => p.Place))}{(missing.Count > 6 ? " …" : "")})",
                missing.ToImmutable());
    }

    /// <summary>The standing value of a run at a station, calculated unit; null where there is none.</summary>
    public static double? ValueAt(Run run, string column, string station) => run.Calculated(column, station);
}

/// <summary>What the register says about the instruments of the counted runs, and what stands against them.</summary>
/// <param name="Expanded">Largest U of the runs, calculated unit.</param>
/// <param name="Sigma">Standard uncertainty of one reading at one place, random part, calculated unit.</param>
/// <param name="Common">Common part.</param>
/// <param name="Faults">Sentences: expired instrument, gradient beyond the allowed one.</param>
internal sealed record RegisterView(double Expanded, double K, double Sigma, double Common, ImmutableArray<string> Faults)
{
    /// <summary>Largest bow, µm, of the runs that were measured in spite of the gradient; nothing wider can have come into a zone of heights.</summary>
    /// <remarks>In <see cref="Common"/> and <see cref="Expanded"/> already where heights are read; slopes are summed to heights first (<see cref="WithBow"/>).</remarks>
    public double Bow { get; private init; }

    /// <summary>Degrees of freedom of <see cref="Sigma"/>, the fewest of the runs; null where every one is known well.</summary>
    public double? Degrees { get; private init; }

    /// <summary>The digit of readings that are too coarse for repeats to average it, calculated unit; else 0.</summary>
    /// <remarks>Half of it is in <see cref="Common"/> and <see cref="Expanded"/> of single values; where readings are summed, the sums say what rounding comes to (<see cref="RoundingOf"/>).</remarks>
    public double Digit { get; private init; }

    /// <summary>Sentences: what was measured in spite of the gradient, why, and what it adds.</summary>
    public ImmutableArray<string> Anyway { get; private init; } = [];

    /// <summary>Collects the worst register figures and every fault of conditions over the runs.</summary>
    /// <param name="use">"small difference": U belongs to a difference of two places, so one place carries 1/√2 of it; a rise between two places is that difference. "absolute": U belongs to the place.</param>
    public static RegisterView Of(EvaluationInput input, SurveySource source, IEnumerable<Run> runs, string use, double distanceMm)
    {
        var view = new RegisterView(0, 2, 0, 0, []);
        var faults = ImmutableArray.CreateBuilder<string>();
        foreach (var run in runs)
        {
            var instrument = run.InstrumentFor(source.Quantity);
            var figure = instrument?.FigureFor(use, distanceMm);
            if (instrument is null)
            {
                faults.Add($"run {run.No} names no instrument for {source.Quantity}");
            }
            else if (figure is null)
            {
                faults.Add(FormattableString.Invariant($"the register has no uncertainty of {instrument.Id} for '{use}' over {distanceMm / 1000:0.###} m"));
            }
            else
            {
                // A rise is read as a difference of two places already; a height is one of the two.
                var difference = use == SmallDifference && source.Places != PlaceKind.Between;
                view = new RegisterView(
                    Math.Max(view.Expanded, figure.Expanded(distanceMm)), figure.K,
                    Math.Max(view.Sigma, figure.RandomPart(distanceMm) / figure.K / (difference ? Math.Sqrt(2) : 1)), Math.Max(view.Common, figure.CommonPart(distanceMm)), [])
                {
                    Degrees = Fewest(view.Degrees, figure.DegreesOfFreedom),
                    Digit = Math.Max(view.Digit, figure.CoarseDigit(instrument.DigitCalculated, distanceMm, difference ? 2 : 1)),
                };
            }

        }

        var taken = use is SmallDifference or Slope && source.NeedsGradient ? BowsOf(input, runs) : [];
        var bow = taken.Length == 0 ? 0 : taken.Max(t => t.Bow);
        view = view with
        {
            Faults = [.. faults.Concat(Conditions(input, source, runs, taken.Length > 0)).Distinct()], Bow = bow,
            Anyway = [.. taken.Select(t => FormattableString.Invariant($"run {t.Run.No} was measured in spite of {t.Run.Conditions!.Gradient:0.0##} K top to bottom ({t.Run.Conditions.Anyway}): a bow of {t.Bow:0} µm is added to the uncertainty"))],
        };
        return use == SmallDifference ? view.Plus(bow) : use == Slope ? view : view.Plus(view.Digit / 2);
    }

    /// <summary>With something more that all readings share, unit of the result: it adds to the common part and to U.</summary>
    public RegisterView Plus(double shared) => this with { Common = Common + shared, Expanded = Expanded + shared };

    /// <summary>What stands against the runs whatever they measure: expired instruments, checks that were not in order, a bed that is not even in temperature.</summary>
    /// <param name="withBow">The bow of runs measured in spite of the gradient is in the uncertainty.</param>
    public static ImmutableArray<string> Conditions(EvaluationInput input, SurveySource source, IEnumerable<Run>? runs = null, bool withBow = false) =>
    [
        .. (runs ?? source.CountedPasses).SelectMany(run => run.Instruments.Select(i => i.WhyNotValidOn(run.Day)).OfType<string>()
            .Concat(run.Checks.Where(c => !c.InOrder).Select(c => $"check before use of {c.Instrument} was not in order: {c.Found}"))
            .Concat(source.NeedsGradient && !(withBow && run.Conditions?.Anyway is not null) && GradientFault(run, input.GradientAllowed) is { } fault ? [fault] : [])).Distinct(),
    ];

    /// <summary>The view of a result whose random part and common part are known: U at k = 2, or t for few degrees of freedom, is their root sum of squares, √((k σ)² + B²).</summary>
    public RegisterView Of(double sigma, double common)
    {
        // The factor of the same coverage by Student's t where σ was estimated (GUM, table G.2, 95.45 %).
        var k = Degrees is { } degrees ? Quantiles.TwoSided(0.9545, degrees) : 2;
        return this with { K = k, Sigma = sigma, Common = common, Expanded = Math.Sqrt((k * k * sigma * sigma) + (common * common)) };
    }

    /// <summary>With no more degrees of freedom of σ than these, one or more: what it came to was estimated from few readings.</summary>
    public RegisterView AtMost(double degrees) => this with { Degrees = Fewest(Degrees, degrees) };

    /// <summary>With what the other view was measured in spite of.</summary>
    public RegisterView And(RegisterView other) => this with { Anyway = [.. Anyway.Union(other.Anyway)] };

    /// <summary>A common part in height, µm, with the bow of what was measured in spite of the gradient.</summary>
    public double WithBow(double common) => common + Bow;

    /// <summary>What a coarse digit can add up to in sums of readings, unit of the result; 0 where the digit is fine.</summary>
    public double RoundingOf(IReadOnlyList<SumLine> sums) => Digit > 0 ? SumsReach.LargestRounding(sums, Digit) : 0;

    private const string SmallDifference = "small difference";
    private const string Slope = "slope";

    private static ImmutableArray<(Run Run, double Bow)> BowsOf(EvaluationInput input, IEnumerable<Run> runs) => input.BowPerKelvin is not { } perKelvin ? [] :
        [.. runs.Where(r => r.Conditions is { Anyway: not null, Gradient: not null }).Select(r => (r, (double)(perKelvin.Value * r.Conditions!.Gradient!.Value)))];

    /// <summary>The worst of several views: every fault, every largest figure.</summary>
    public static RegisterView Worst(IEnumerable<RegisterView> views)
    {
        ImmutableArray<RegisterView> all = [.. views];
        return new RegisterView(
            all.Max(v => v.Expanded), all[0].K, all.Max(v => v.Sigma), all.Max(v => v.Common), [.. all.SelectMany(v => v.Faults).Distinct()])
        {
            Bow = all.Max(v => v.Bow), Digit = all.Max(v => v.Digit), Degrees = all.Select(v => v.Degrees).Aggregate(Fewest), Anyway = [.. all.SelectMany(v => v.Anyway).Distinct()],
        };
    }

    private static double? Fewest(double? one, double? other) => one is { } a && other is { } b ? Math.Min(a, b) : one ?? other;

    private static string? GradientFault(Run run, Amount? allowed) =>
        run.Conditions?.Gradient is not { } gradient
            ? $"run {run.No} has no bed temperatures top and bottom"
            : allowed is not null && gradient > allowed.Value
                ? FormattableString.Invariant($"bed top to bottom {gradient:0.0##} K in run {run.No}, allowed {allowed.Value:0.0##} K")
                : null;
}
