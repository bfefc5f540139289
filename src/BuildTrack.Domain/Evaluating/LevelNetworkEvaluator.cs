using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating.Lines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.LevelNetwork;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Straightness;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>Flatness from rises between stations, adjusted together by least squares: two rails and the bridges across them, or any grid.</summary>
/// <remarks>Method: docs/method/level-network.md. Heights are sums of the rises, so the reaches are those of their own covariance.</remarks>
public sealed class LevelNetworkEvaluator : IEvaluator, IPlanned
{
    public string Kind => "network-flatness";

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("rises", ["height", "slope"], [PlaceKind.Between])];

    public ImmutableArray<string> References { get; } = [FlatnessEvaluator.LeastSquares, FlatnessEvaluator.MinimumZone];

    public LimitSide Limit => LimitSide.Upper;

    public string? Unit => "µm";

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: network-flatness needs an upper limit.")).Micrometres;
        var source = MeasuredLine.SourcesOf(input, "rises").First();
        var record = new NextAction(NextKind.Record, $"Record the readings of survey {source.Survey}.", []);
        if (!source.Runs.Any(r => r.Readings.Length > 0))
        {
            return EvaluationResult.Without(ResultState.NotMeasured, "µm", "no reading yet", record);
        }

        var passes = source.CountedPasses.ToImmutableArray();
        if (passes.Length < source.PassesPlanned)
        {
            return EvaluationResult.Without(ResultState.Incomplete, "µm", $"{passes.Length} of {source.PassesPlanned} planned passes are finished", record);
        }

        var places = PlacesOfPass(passes[0], source);
        var read = passes.Select(p => places.Select(p.AlongXBy(source.Column, source.Quantity)).ToImmutableArray()).ToImmutableArray();
        if (read.Any(p => p.Any(v => v is null)) || passes.Any(p => p.Standing.Count(r => r.Column == source.Column) != places.Length))
        {
            return EvaluationResult.Without(ResultState.Incomplete, "µm", "the passes join different stations", record);
        }

        var net = Net.Of(source, places);
        var values = read.Select(p => p.Select(v => v!.Value).ToImmutableArray()).ToImmutableArray();
        var adjusted = net.Adjust([.. places.Select((_, i) => values.Average(p => p[i]))]);
        if (adjusted.Values is not { } heights || Unjoined(source, heights) is { IsEmpty: false })
        {
            return EvaluationResult.Without(ResultState.Incomplete, "µm", adjusted.DefectSentence ?? $"stations that no reading joins: {string.Join(", ", Unjoined(source, adjusted.Values!).Take(6))}", record);
        }

        return Judge(input, source, net, places, values, heights, limit);
    }

    /// <summary>Of a measurement with a pass, the stations that it joins; else every neighbour along the lines, then across where stations stand abreast.</summary>
    ImmutableArray<string> IPlanned.PlacesOf(SurveySource source) =>
        source.CountedPasses.FirstOrDefault()?.Standing.Where(r => r.Column == source.Column).OrderBy(r => r.Id).Select(r => r.Place.Key).ToImmutableArray() is { IsEmpty: false } joined
            ? joined : [.. ChecklistRevision.Joins(source.Stations).Concat(Across(source.Stations)).Select(p => p.Key)];

    string? IPlanned.Granted(EvaluationInput input)
    {
        var source = MeasuredLine.SourcesOf(input, "rises").First();
        return FormattableString.Invariant(
            $"Worked out for {PlacesOfPass(source.CountedPasses.First(), source).Length} rises between {source.Stations.Length} stations: those of the first pass where one is measured, else all neighbours along the lines, and across where stations stand abreast.");
    }

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var source = MeasuredLine.SourcesOf(input, "rises").First();
        var places = PlacesOfPass(source.CountedPasses.First(), source);
        var net = Net.Of(source, places);
        var adjusted = net.Adjust([.. places.Select(_ => 0.0)]);
        if (adjusted.Values is null || Unjoined(source, adjusted.Values) is { IsEmpty: false })
        {
            throw new ArgumentException(adjusted.DefectSentence ?? "Not every station is joined to the others.");
        }

        var layout = KeptLayouts.Of(net.KeyOf(source.Stations), () => Layout.Of(net, source.Stations));
        var (view, common) = Register(input, source, places, layout.Sums);
        var index = source.Stations.Select((s, i) => (s.Id, i)).ToDictionary(s => s.Id, s => s.i, StringComparer.Ordinal);
        var zone = PlannedZone.Network(
            [.. source.Stations.Select(s => s.XMm)], [.. source.Stations.Select(s => s.YMm)],
            input.Reference == FlatnessEvaluator.MinimumZone ? PlaneReference.MinimumZone : PlaneReference.LeastSquares,
            layout.Rows, [.. net.Joins.Select(j => new PlannedRise(index[j.From], index[j.To], j.Factor))]);
        var ofResult = view.Of(LayoutReach.Scaled(layout.OfUnitNoise.Of(view.Degrees), view.Sigma / Math.Sqrt(source.PassesPlanned), common).PairSigmaUm, common);
        return new PlannedParts(zone, 0, view.Sigma, common, ofResult.Expanded, ofResult.K, view.Faults) { Degrees = view.Degrees };
    }

    /// <summary>From each line of stations to the next one, wherever two stations stand abreast.</summary>
    private static IEnumerable<Place> Across(ImmutableArray<Station> stations)
    {
        var lines = stations.GroupBy(s => s.YMm).OrderBy(l => l.Key).Select(l => l.OrderBy(s => s.XMm).ToArray()).ToArray();
        return lines.Skip(1).SelectMany((line, i) => line.SelectMany(
            s => lines[i].Where(o => Math.Abs(o.XMm - s.XMm) < 0.001).Select(o => Place.Between(o.Id, s.Id))));
    }

    private static ImmutableArray<string> PlacesOfPass(Run pass, SurveySource source) =>
        [.. pass.Standing.Where(r => r.Column == source.Column).Select(r => r.Place.Key).Order(StringComparer.Ordinal)];

    private static ImmutableArray<string> Unjoined(SurveySource source, LevelNetworkValues adjusted)
    {
        var joined = adjusted.Heights.Select(h => h.Id).ToHashSet(StringComparer.Ordinal);
        return [.. source.Stations.Select(s => s.Id).Where(id => !joined.Contains(id))];
    }

    /// <summary>The register's figures, and the common part of the result, µm.</summary>
    private static (RegisterView View, double Common) Register(EvaluationInput input, SurveySource source, ImmutableArray<string> places, ImmutableArray<SumLine> sums)
    {
        var (x, y) = (source.Stations.Select(s => s.XMm), source.Stations.Select(s => s.YMm));
        var slopes = source.Quantity == "slope";
        var view = RegisterView.Of(input, source, source.CountedPasses, slopes ? "slope" : "small difference", Math.Max(x.Max() - x.Min(), y.Max() - y.Min()));
        return (view, (slopes ? view.WithBow(SharedBySlopes(source, places, sums, view.Common)) : view.Common) + view.RoundingOf(sums));
    }

    private static EvaluationResult Judge(
        EvaluationInput input, SurveySource source, Net net, ImmutableArray<string> places, ImmutableArray<ImmutableArray<double>> passes, LevelNetworkValues adjusted, double limit)
    {
        var stations = source.Stations;
        double[] x = [.. stations.Select(s => s.XMm)], y = [.. stations.Select(s => s.YMm)];
        var layout = KeptLayouts.Of(net.KeyOf(stations), () => Layout.Of(net, stations));
        var (rows, sums) = (layout.Rows, layout.Sums);
        ImmutableArray<double> mean = [.. places.Select((_, i) => passes.Average(p => p[i]))];
        var byZone = input.Reference == FlatnessEvaluator.MinimumZone;
        var (now, first) = (Flat(rows, mean), Flat(rows, passes[0]));
        if (now.MinimumZone is not { } mz || now.LeastSquares is not { } ls || first.MinimumZone is not { } firstZone || first.LeastSquares is not { } firstPlane)
        {
            return EvaluationResult.Without(ResultState.Incomplete, "µm", now.DefectSentence ?? "these stations decide no plane", new NextAction(NextKind.Record, $"Record the readings of survey {source.Survey}.", []));
        }

        var (view, common) = Register(input, source, places, sums);
        var reach = LayoutReach.Scaled(layout.OfUnitNoise.Of(view.Degrees), view.Sigma / Math.Sqrt(source.PassesPlanned), common);
        var weights = byZone
            ? [.. Enumerable.Range(0, places.Length).Select(k => firstZone.Contacts.Sum(c => c.Weight * rows[c.Index][k]))]
            : SumsReach.Largest(sums, [passes[0]]).Weights;
        var again = source.CountedPasses.Skip(1).Select((r, i) => new AgainValue(r.Id, r.No, SumsReach.Sum(weights.AsSpan(), passes[i + 1].AsSpan()))).ToImmutableArray();
        ImmutableArray<WeightedPlace> contacts = [.. mz.Contacts.Select(c => new WeightedPlace(stations[c.Index].Id, c.Weight))];
        var decision = new ZoneDecision(
            byZone ? mz.FlatnessUm : ls.FlatnessUm, limit, input.Requirement.Rule, view.Of(reach.PairSigmaUm, common),
            reach.AboveUm, reach.BelowUm, [SumsReach.RejectBand(weights.AsSpan(), view.Sigma, common, view.Degrees)], again, Upward: true,
            byZone && !mz.ZoneProved ? mz.NotProvedBecause ?? "the minimum zone could not be proved" : null, ByFurtherPass: true);
        return decision.Result(
            "µm", byZone ? "flatness, minimum zone" : "flatness, least-squares plane",
            [
                new Figure("leastSquares", ls.FlatnessUm, "µm"), new Figure("minimumZone", mz.FlatnessUm, "µm"),
                .. adjusted.Loops.IsEmpty ? Array.Empty<Figure>() : [new Figure("largest loop closure", adjusted.Loops.Max(l => Math.Abs(l.ClosureUm)), "µm")],
                .. adjusted.Sigma0 is { } sigma0 ? [new Figure("standard deviation of one rise", sigma0, "µm")] : Array.Empty<Figure>(),
                new Figure("doubtful readings", adjusted.Doubtful.Length, "1"),
            ],
            contacts, mz.ZoneProved, [.. stations.Select((s, i) => new Deviation(s.Id, byZone ? mz.DeviationsUm[i] : ls.DeviationsUm[i]))], contacts, source.Survey,
            input.Characteristic.Hold, everyPlace: false);

        FlatnessResult Flat(ImmutableArray<ImmutableArray<double>> of, ImmutableArray<double> readings) =>
            FlatnessCalculation.Of(x, y, [.. of.Select(r => SumsReach.Sum(r.AsSpan(), readings.AsSpan()))]);
    }

    // What all readings of a level share may be the same for the whole run, or drift through it in the order of reading: the worst of all counted passes.
    private static double SharedBySlopes(SurveySource source, ImmutableArray<string> places, ImmutableArray<SumLine> sums, double common)
    {
        var worst = SumsReach.Largest(sums, [[.. places.Select(_ => common)]]).Value;
        foreach (var pass in source.CountedPasses)
        {
            var order = pass.Standing.Where(r => r.Column == source.Column).OrderBy(r => r.Id).Select((r, i) => (r.Place.Key, At: i)).ToDictionary(r => r.Key, r => r.At, StringComparer.Ordinal);
            var drift = places.Select(p => common * ((2.0 * order[p] / Math.Max(1, places.Length - 1)) - 1));
            worst = Math.Max(worst, SumsReach.Largest(sums, [[.. drift]]).Value);
        }

        return worst;
    }

    /// <summary>The heights and the deviations from the plane of least squares as sums of the rises, with the reaches that noise of one unit gives them.</summary>
    private sealed record Layout(ImmutableArray<ImmutableArray<double>> Rows, ImmutableArray<SumLine> Sums, SumsOfUnitNoise OfUnitNoise)
    {
        public static Layout Of(Net net, ImmutableArray<Station> stations)
        {
            double[] x = [.. stations.Select(s => s.XMm)], y = [.. stations.Select(s => s.YMm)];
            var rows = net.Rows(stations);
            // For one rise at a time.
            ImmutableArray<ImmutableArray<double>> columns =
                [.. Enumerable.Range(0, net.Joins.Length).Select(k => FlatnessCalculation.Of(x, y, [.. rows.Select(r => r[k])]).LeastSquares!.DeviationsUm)];
            ImmutableArray<ImmutableArray<double>> deviations = [.. Enumerable.Range(0, stations.Length).Select(i => ImmutableArray.Create([.. columns.Select(c => c[i])]))];
            ImmutableArray<SumLine> sums = [new SumLine(net.Joins.Length, [new SumGroup(deviations, Range: true)])];
            return new Layout(rows, sums, LayoutReach.Of(sums));
        }
    }

    /// <summary>The rises of one pass as observations; a slope rises by its distance.</summary>
    private sealed record Net(ImmutableArray<(string From, string To, double Factor)> Joins)
    {
        public static Net Of(SurveySource source, ImmutableArray<string> places)
        {
            var at = source.Stations.ToDictionary(s => s.Id);
            return new Net([.. places.Select(p => Place.Parse(p)).Select(p => (p.From!, p.To!, source.Quantity == "slope" ? Distance(at[p.From!], at[p.To!]) / 1000 : 1))]);
        }

        public LevelNetworkResult Adjust(ImmutableArray<double> readings) => LevelNetworkCalculation.Adjust(
            [.. Joins.Select((j, i) => new LevelObservation(j.From, j.To, readings[i] * j.Factor, 1 / (j.Factor * j.Factor)))], new Dictionary<string, double>(), sigmasKnown: false);

        /// <summary>Heights of the stations for a rise of one unit, one join at a time.</summary>
        public ImmutableArray<ImmutableArray<double>> Rows(ImmutableArray<Station> stations)
        {
            var columns = Joins.Select((_, k) => Adjust([.. Joins.Select((_, i) => i == k ? 1.0 : 0.0)]).Values!.Heights.ToDictionary(h => h.Id, h => h.HeightUm)).ToArray();
            return [.. stations.Select(s => ImmutableArray.Create([.. columns.Select(c => c[s.Id])]))];
        }

        /// <summary>Everything that the rows are formed from.</summary>
        public string KeyOf(ImmutableArray<Station> stations) => string.Create(CultureInfo.InvariantCulture,
            $"net|{string.Join(';', stations.Select(s => FormattableString.Invariant($"{s.Id},{s.XMm:R},{s.YMm:R}")))}|{string.Join(';', Joins.Select(j => FormattableString.Invariant($"{j.From},{j.To},{j.Factor:R}")))}");

        private static double Distance(Station from, Station to) =>
            Math.Sqrt(((to.XMm - from.XMm) * (to.XMm - from.XMm)) + ((to.YMm - from.YMm) * (to.YMm - from.YMm)));
    }
}
