using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using BuildTrack.Metrology.Flatness;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Verdicts;
using static System.FormattableString;

namespace BuildTrack.Domain.Evaluating;

/// <summary>Flatness of the stations of one survey, under the reference that the requirement names.</summary>
/// <remarks>Method: docs/method/flatness.md for the value, docs/method/verdict.md for reaches and proof.</remarks>
public sealed class FlatnessEvaluator : IEvaluator, IPlanned
{
    public const string LeastSquares = "least-squares";
    public const string MinimumZone = "minimum-zone";

    private const string Use = "small difference";

    /// <summary>How much larger the zone along z may be than square to its plane: a thousandth, reached at a slope of 45 mm/m (dimensionless).</summary>
    private const double TiltShare = 0.001;

    public const string Name = "flatness";

    public string Kind => Name;

    public ImmutableArray<EvaluatorSource> Sources { get; } = [new EvaluatorSource("heights", ["height"])];

    public ImmutableArray<string> References { get; } = [LeastSquares, MinimumZone];

    public LimitSide Limit => LimitSide.Upper;

    public EvaluationResult Evaluate(EvaluationInput input)
    {
        var source = input.Sources["heights"].Readings
            ?? throw new ArgumentException($"{input.Characteristic.Line}: flatness needs the readings of a survey as 'heights'.");
        if (!source.Runs.Any(r => r.Readings.Length > 0))
        {
            return EvaluationResult.Without(ResultState.NotMeasured, "µm", "no reading yet", Record(source.Survey, []));
        }

        var means = SurveyMeans.Of(source);
        if (means.Missing is { } missing)
        {
            return EvaluationResult.Without(ResultState.Incomplete, "µm", missing, Record(source.Survey, means.MissingPlaces));
        }

        double[] x = [.. means.Stations.Select(s => s.XMm)], y = [.. means.Stations.Select(s => s.YMm)];
        var flatness = FlatnessCalculation.Of(x, y, means.Values);
        if (flatness.LeastSquares is not { } ls || flatness.MinimumZone is not { } mz || means.Stations.Length < 4)
        {
            var why = flatness.DefectSentence ?? flatness.LeastSquaresAbsentBecause ?? "three stations give 0 and decide nothing; at least four are needed";
            return EvaluationResult.Without(ResultState.Incomplete, "µm", why, Record(source.Survey, []));
        }

        var byZone = input.Reference == MinimumZone;
        var again = source.ContactsAgainFor(input.Characteristic.Line).ToImmutableArray();
        var view = View(input, source, source.CountedPasses);
        var againView = again.Length == 0 ? view : View(input, source, again);
        var (above, below) = LayoutReach.Of(
            x, y, view.Sigma / Math.Sqrt(source.PassesPlanned), view.Common, ReferenceOf(input), view.Degrees);
        var limit = (input.Requirement.Upper ?? throw new ArgumentException($"{input.Characteristic.Line}: flatness needs an upper limit.")).Micrometres;

        var places = again.Length > 0 ? again[0].Weights : ProofPlaces(means, mz, x, y, byZone, input.Requirement, view);
        var decision = new ZoneDecision(
            Value: byZone ? mz.FlatnessUm : ls.FlatnessUm, Limit: limit, Rule: input.Requirement.Rule,
            View: (view with { Expanded = Math.Max(view.Expanded, againView.Expanded), Faults = [.. view.Faults.Union(againView.Faults)] }).And(againView),
            ReachAccept: above, ReachAlone: below,
            ReachesAgain: [.. Enumerable.Range(1, 2).Select(n => ContactsAgain.RejectBandUm([.. places.Select(p => p.Weight)], againView.Sigma, againView.Common, n, againView.Degrees))],
            Again: AgainValues(again, source.Column), Upward: true, NotProved: byZone && !mz.ZoneProved ? mz.NotProvedBecause ?? "the minimum zone could not be proved" : null,
            NoAgain: TooTilted(mz));

        return decision.Result(
            unit: "µm", what: byZone ? "flatness, minimum zone" : "flatness, least-squares plane",
            figures:
            [
                new Figure("leastSquares", ls.FlatnessUm, "µm"), new Figure("leastSquaresPeak", ls.PeakUm, "µm"),
                new Figure("leastSquaresValley", ls.ValleyUm, "µm"), new Figure("leastSquaresRms", ls.RmsUm, "µm"),
                new Figure("minimumZone", mz.FlatnessUm, "µm"), new Figure("verticalMinimumZone", mz.VerticalUm, "µm"),
                .. ls.Plane is { } plane ? [new Figure("slopeX", plane.SlopeXUmPerM, "µm/m"), new Figure("slopeY", plane.SlopeYUmPerM, "µm/m")] : Array.Empty<Figure>(),
            ],
            contacts: Contacts(means, mz), zoneProved: mz.ZoneProved,
            deviations: [.. means.Stations.Select((s, i) => new Deviation(s.Id, byZone ? mz.DeviationsUm[i] : ls.DeviationsUm[i]))],
            proof: places, survey: source.Survey, hold: input.Characteristic.Hold, everyPlace: places.Length == means.Stations.Length && places.Length > mz.Contacts.Length);
    }

    PlannedParts IPlanned.PartsOf(EvaluationInput input)
    {
        var source = input.Sources["heights"].Readings!;
        double[] x = [.. source.Stations.Select(s => s.XMm)], y = [.. source.Stations.Select(s => s.YMm)];
        return PlannedParts.Of(PlannedZone.Plane(x, y, ReferenceOf(input)), 0, View(input, source, source.CountedPasses));
    }

    private static PlaneReference ReferenceOf(EvaluationInput input) => input.Reference == MinimumZone ? PlaneReference.MinimumZone : PlaneReference.LeastSquares;

    private static RegisterView View(EvaluationInput input, SurveySource source, IEnumerable<Run> runs)
    {
        var view = RegisterView.Of(input, source, runs, Use, Extent(source));
        return view.Digit == 0 ? view
            : view.Plus(PlaneReach.LargestRoundingUm([.. source.Stations.Select(s => s.XMm)], [.. source.Stations.Select(s => s.YMm)], view.Digit, ReferenceOf(input)));
    }

    private static double Extent(SurveySource source) =>
        Math.Max(source.Stations.Max(s => s.XMm) - source.Stations.Min(s => s.XMm), source.Stations.Max(s => s.YMm) - source.Stations.Min(s => s.YMm));

    /// <summary>Why weighted heights say nothing of distances square to the plane; null for a bed that is level enough.</summary>
    /// <remarks>Weights balance heights along z; on a set this tilted a sum of heights may pass a limit that the distances keep.</remarks>
    private static string? TooTilted(MinimumZonePlane mz) => mz.VerticalUm > mz.FlatnessUm * (1 + TiltShare)
        ? $"the stations are so tilted that the zone is {Shown.Text(mz.VerticalUm, "µm")} along z and {Shown.Text(mz.FlatnessUm, "µm")} square to its plane; level the bed and measure it anew after recording that work"
        : null;

    /// <summary>The places that can prove a value beyond the limit.</summary>
    /// <remarks>The contacts of the minimum zone: a few places, and always enough where that is the reference. Of a least-squares value, which may be well above the zone,
    /// all stations, unless the contacts promise to prove as much, or enough: with 97.5 % chance, were the zone as large as measured, its excess is twice the band.</remarks>
    private static ImmutableArray<WeightedPlace> ProofPlaces(SurveyMeans means, MinimumZonePlane mz, double[] x, double[] y, bool byZone, Requirement requirement, RegisterView view)
    {
        var contacts = Contacts(means, mz);
        if (byZone)
        {
            return contacts;
        }

        var limitUm = requirement.Upper!.Micrometres;
        var ruleBand = Conformity.RuleBand(requirement.Rule, view.Expanded, view.K, view.Degrees);
        double Band(IEnumerable<WeightedPlace> places) => Math.Max(ruleBand, ContactsAgain.RejectBandUm([.. places.Select(p => p.Weight)], view.Sigma, view.Common, 2, view.Degrees));
        var weights = ContactsAgain.LeastSquaresRangeWeights(x, y, means.Values, ContactsAgain.ChoiceBandUm(view.Sigma, view.Degrees));
        ImmutableArray<WeightedPlace> all = [.. means.Stations.Select((s, i) => new WeightedPlace(s.Id, weights[i]))];
        var (excess, byContacts) = (mz.FlatnessUm - limitUm, contacts.Length == 0 ? double.PositiveInfinity : Band(contacts));
        var byAll = ContactsAgain.Value(weights.AsSpan(), means.Values) - limitUm - Band(all);

        // A hundredth of the band is worth a few places in place of all of them.
        return excess > 0 && (excess - (0.99 * byContacts) >= byAll || excess > 2 * byContacts) ? contacts : all;
    }

    private static ImmutableArray<WeightedPlace> Contacts(SurveyMeans means, MinimumZonePlane mz) =>
        [.. mz.Contacts.Select(c => new WeightedPlace(means.Stations[c.Index].Id, c.Weight))];

    private static ImmutableArray<AgainValue> AgainValues(ImmutableArray<Run> again, string column) =>
        [.. again.Select(run => new AgainValue(run.Id, run.No, ContactsAgain.Value(
            [.. run.Weights.Select(w => w.Weight)],
            [.. run.Weights.Select(w => SurveyMeans.ValueAt(run, column, w.Place)
                ?? throw new ArgumentException($"run {run.No} has no reading at {w.Place}."))])))];

    private static NextAction Record(string survey, ImmutableArray<WeightedPlace> places) =>
        new(NextKind.Record, Invariant($"Record the readings of survey {survey}."), places);
}
