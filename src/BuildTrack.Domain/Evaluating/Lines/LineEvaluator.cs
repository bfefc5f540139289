using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating.Lines;

/// <summary>A group of sums with the names of its rows: stations for the most part.</summary>
internal sealed record NamedGroup(SumGroup Sums, ImmutableArray<string> Names);

/// <summary>The group that decides, with the weights on the readings of its line.</summary>
internal sealed record DecidingGroup(double Value, int Line, ImmutableArray<double> Weights, ImmutableArray<WeightedPlace> Contacts);

/// <summary>What all results along lines have in common: they are the largest of many weighted sums of the readings.</summary>
/// <remarks>
/// Method: docs/method/verdict.md, "Lines". The first pass chooses the deciding weights; every further pass tests them, so that out and back prove
/// a rejection without a third run. Further passes enter the mean, the band stays that of the passes planned.
/// </remarks>
public abstract class LineEvaluator : IEvaluator, IPlanned
{
    public abstract string Kind { get; }

    public abstract ImmutableArray<EvaluatorSource> Sources { get; }

    public virtual ImmutableArray<string> References => [];

    public LimitSide Limit => LimitSide.Upper;

    public virtual string? Unit => null;

    public virtual bool NeedsWindow => false;

    private protected abstract string What(EvaluationInput input);

    /// <summary>The lines that are judged, from those that were measured.</summary>
    private protected virtual ImmutableArray<MeasuredLine> Prepared(ImmutableArray<MeasuredLine> lines) => lines;

    /// <summary>The groups of one line, or why it has none.</summary>
    private protected abstract (ImmutableArray<NamedGroup> Groups, string? Missing) GroupsOf(EvaluationInput input, MeasuredLine line);

    private protected virtual IEnumerable<Figure> Figures(EvaluationInput input, MeasuredLine line) => [];

    private protected virtual IEnumerable<Deviation> Deviations(EvaluationInput input, MeasuredLine line) => [];

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var source = Sources[0].Name;
        var survey = MeasuredLine.SourcesOf(input, source).First().Survey;
        var (lines, any, missing, places) = MeasuredLine.Of(input, source);
        var unit = UnitOf(input);
        var record = new NextAction(NextKind.Record, $"Record the readings of survey {survey}.", places);
        if (!any)
        {
            return EvaluationResult.Without(ResultState.NotMeasured, unit, "no reading yet", record);
        }

        if (missing is not null)
        {
            return EvaluationResult.Without(ResultState.Incomplete, unit, missing, record);
        }

        lines = Prepared(lines);
        var layout = KeptLayouts.Of(KeyOf(input, source), () => Layout.Of([.. lines.Select(l => GroupsOf(input, l))], lines));
        return layout.Missing is { } few
            ? EvaluationResult.Without(ResultState.Incomplete, unit, few, record with { Places = [] })
            : Judge(input, lines, layout, survey, unit);
    }

    private protected virtual DecidingGroup Deciding(
        EvaluationInput input, ImmutableArray<MeasuredLine> lines, ImmutableArray<ImmutableArray<NamedGroup>> groups, ImmutableArray<ImmutableArray<double>> readings)
    {
        var largest = SumsReach.Largest(SumLines(lines, groups), [.. readings]);
        var names = groups[largest.Line][largest.Group].Names;
        return new DecidingGroup(
            largest.Value, largest.Line, largest.Weights,
            largest.Low is { } low ? [new WeightedPlace(names[largest.High], 1), new WeightedPlace(names[low], -1)] : [new WeightedPlace(names[largest.High], 1)]);
    }

    private EvaluationResult Judge(
        EvaluationInput input, ImmutableArray<MeasuredLine> lines, Layout layout, string survey, string unit)
    {
        var (groups, sums) = (layout.Groups, layout.Sums);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: {Kind} needs an upper limit.")).Calculated;
        var (view, common) = Register(input, lines, sums);
        var sigma = view.Sigma / Math.Sqrt(lines.Min(l => l.Source.PassesPlanned));
        var reach = LayoutReach.Scaled(layout.OfUnitNoise!.Of(view.Degrees), sigma, common);
        var mean = Deciding(input, lines, groups, [.. lines.Select(l => l.Mean)]);
        var first = Deciding(input, lines, groups, [.. lines.Select(l => l.Passes[0])]);
        var tested = lines[first.Line];
        var again = tested.Passes.Length < 2 ? [] : tested.Source.CountedPasses.Skip(1)
            .Select((run, i) => new AgainValue(run.Id, run.No, SumsReach.Sum(first.Weights.AsSpan(), tested.Passes[i + 1].AsSpan()))).ToImmutableArray();
        var decision = new ZoneDecision(
            mean.Value, limit, input.Requirement.Rule, view.Of(reach.PairSigmaUm, common), reach.AboveUm, reach.BelowUm,
            [SumsReach.RejectBand(first.Weights.AsSpan(), view.Sigma, common, view.Degrees)], again, Upward: true, NotProved: null, ByFurtherPass: true);
        // Where several features are read at the same stations, as under a gantry that stands at three places, a station alone does not say which.
        var shared = lines.SelectMany(l => l.Stations).GroupBy(s => s.Id, StringComparer.Ordinal).Any(g => g.Count() > 1);
        string Named(MeasuredLine line, string place) => shared && line.Source.Feature is { } feature ? $"{feature} {place}" : place;
        return decision.Result(
            unit, What(input), [.. lines.SelectMany(l => Figures(input, l))], Of(mean), null, [.. lines.SelectMany(l => Deviations(input, l).Select(d => d with { Place = Named(l, d.Place) }))], Of(first),
            survey, input.Characteristic.Hold, everyPlace: false);

        ImmutableArray<WeightedPlace> Of(DecidingGroup group) => [.. group.Contacts.Select(c => c with { Place = Named(lines[group.Line], c.Place) })];
    }

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var lines = Prepared(MeasuredLine.Of(input, Sources[0].Name).Lines);
        var named = lines.Select(l => GroupsOf(input, l)).ToImmutableArray();
        if (named.Select(n => n.Missing).FirstOrDefault(m => m is not null) is { } few)
        {
            return new PlannedParts(null, 0, 0, 0, 0, 1, [few]);
        }

        var sums = SumLines(lines, [.. named.Select(n => n.Groups)]);
        var (view, common) = Register(input, lines, sums);
        var zone = Planned(input, lines, sums);
        var ofResult = view.Of(zone.Spread * view.Sigma / Math.Sqrt(lines.Min(l => l.Source.PassesPlanned)), common);
        return new PlannedParts(zone, 0, view.Sigma, common, ofResult.Expanded, ofResult.K, view.Faults) { Degrees = view.Degrees };
    }

    private protected virtual PlannedZone Planned(EvaluationInput input, ImmutableArray<MeasuredLine> lines, ImmutableArray<SumLine> sums) => PlannedZone.Sums(sums);

    private static (RegisterView View, double Common) Register(EvaluationInput input, ImmutableArray<MeasuredLine> lines, ImmutableArray<SumLine> sums)
    {
        var use = lines[0].Source.Quantity == "slope" ? "slope" : "small difference";
        var view = RegisterView.Worst(lines.Select(l => RegisterView.Of(input, l.Source, l.Source.CountedPasses, use, Length(l))));
        return (view, (use == "slope" ? view.WithBow(SharedBySlopes(sums, view.Common)) : view.Common) + view.RoundingOf(sums));
    }

    private string UnitOf(EvaluationInput input) => Unit ?? Units.Calculated((input.Requirement.Upper ?? input.Requirement.Lower)?.Unit ?? "µm");

    private static double Length(MeasuredLine line) => line.Source.Quantity == "slope" ? 0 : line.Stations[^1].XMm - line.Stations[0].XMm;

    // What all readings of a level share may be the same for the whole run, or drift through it from end to end: the worse of the two.
    private static double SharedBySlopes(ImmutableArray<SumLine> sums, double common)
    {
        var same = sums.Select(l => (IReadOnlyList<double>)[.. Enumerable.Repeat(common, l.Readings)]).ToArray();
        var drift = sums.Select(l => (IReadOnlyList<double>)[.. Enumerable.Range(0, l.Readings).Select(i => l.Readings == 1 ? common : common * ((2.0 * i / (l.Readings - 1)) - 1))]).ToArray();
        return Math.Max(SumsReach.Largest(sums, same).Value, SumsReach.Largest(sums, drift).Value);
    }

    /// <summary>Everything that the groups and their names are formed from, and nothing that was read.</summary>
    private string KeyOf(EvaluationInput input, string source)
    {
        var key = new StringBuilder(Kind).Append(CultureInfo.InvariantCulture, $"|{input.Reference}|{input.Characteristic.Window}");
        foreach (var s in MeasuredLine.SourcesOf(input, source))
        {
            key.Append(CultureInfo.InvariantCulture, $"|{s.Survey}|{s.Feature}|{s.Quantity}|{s.Places}|{s.BaseLengthMm:R}");
            foreach (var station in s.Stations)
            {
                key.Append(CultureInfo.InvariantCulture, $";{station.Id},{station.XMm:R},{station.YMm:R}");
            }
        }

        return key.ToString();
    }

    /// <summary>The sums of a layout with the reaches that noise of one unit gives them; or why there are none.</summary>
    private sealed record Layout(ImmutableArray<ImmutableArray<NamedGroup>> Groups, ImmutableArray<SumLine> Sums, SumsOfUnitNoise? OfUnitNoise, string? Missing)
    {

        public static Layout Of(ImmutableArray<(ImmutableArray<NamedGroup> Groups, string? Missing)> named, ImmutableArray<MeasuredLine> lines)
        {
            if (named.Select(n => n.Missing).FirstOrDefault(m => m is not null) is { } few)
            {
                return new Layout([], [], null, few);
            }

            ImmutableArray<ImmutableArray<NamedGroup>> groups = [.. named.Select(n => n.Groups)];
            var sums = SumLines(lines, groups);
            return new Layout(groups, sums, LayoutReach.Of(sums), null);
        }
    }

    private static ImmutableArray<SumLine> SumLines(ImmutableArray<MeasuredLine> lines, ImmutableArray<ImmutableArray<NamedGroup>> groups) =>
        [.. lines.Select((l, i) => new SumLine(l.Places.Length, [.. groups[i].Select(g => g.Sums)]))];
}
