using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Evaluating;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Metrology.Corrections;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Corrections;

/// <summary>A foot with the station whose height stands for it.</summary>
/// <param name="AwayMm">Distance of the station from the foot in plan, mm.</param>
/// <param name="MovedUm">How far it was moved on this bed so far, µm.</param>
/// <param name="AloneUm">The move if every foot moved the bed over itself alone, µm.</param>
/// <param name="Move">The move that counts with the neighbours; null where no round is given.</param>
public sealed record PlannedFoot(Station Foot, string Station, double AwayMm, double HeightUm, double MovedUm, double AloneUm, FootMove? Move);

/// <summary>The next round of foot moves from the heights of a check (trade.md 5.2; docs/method/corrections.md).</summary>
/// <param name="No">Number of the round.</param>
/// <param name="SigmaUm">Standard uncertainty of one height, µm.</param>
/// <param name="BeforeUm">Flatness over all stations now, µm.</param>
/// <param name="PredictedUm">The same after the round, µm; null where no round is given.</param>
/// <param name="PredictedVerdict">The verdict on it.</param>
/// <param name="Change">The act on the bed that is recorded with the round; it makes results void.</param>
/// <param name="Repeats">These results, by line and title.</param>
public sealed record FootPlan(
    string Line, string Survey, long Measurement, int No, FootInfluenceEstimate Influence, FootMovesResult Round, ImmutableArray<PlannedFoot> Feet, double SigmaUm, double BeforeUm,
    double? PredictedUm, Verdict? PredictedVerdict, double Hours, double StepUm, double SmallestUm, string Change, ImmutableArray<string> Repeats)
{
    public const string NoHeights = "R-FEET-01";
    public const string NoFeet = "R-FEET-02";
    public const string NoStation = "R-FEET-03";
    public const string NothingMoved = "R-FEET-04";

    /// <summary>The source of a flatness that the heights come from.</summary>
    internal const string Heights = "heights";

    /// <summary>What the names of acts that move feet begin with.</summary>
    private const string FootMove = "foot-move";

    /// <summary>A station farther from its foot than this says nothing of it, mm.</summary>
    private const double FarthestMm = 300;

    /// <summary>Why feet cannot be moved by this check; null where they can.</summary>
    public static BrokenRule? WhyNot(MachineRecord machine, CharacteristicStanding standing)
    {
        var check = standing.Agreed.Characteristic;
        return check.Evaluator != FlatnessEvaluator.Name || standing.Standing != Standing.Calculated || ChangeOf(machine, standing) is null
                ? new BrokenRule(NoHeights, $"{check.Line} {check.Title} of {machine.Serial} is {standing.Word}; feet are moved by the heights of a bed that are measured and of which nothing was changed since.")
            : machine.Model.Feet.IsEmpty
                ? new BrokenRule(NoFeet, $"Edition {machine.Revision.Edition} of the inspection and test plan does not tell where the feet of {machine.Model.Id} stand (models, feet).")
            : !machine.Revision.HasCorrections([CorrectionFigure.FootTravel, .. CorrectionFigure.Further.Select(f => f.Id)])
                ? new BrokenRule(CorrectionPlan.NoFigures, $"Edition {machine.Revision.Edition} of the inspection and test plan has no figures for foot moves (corrections.yaml).")
            : StationsOver(machine, SourceOf(standing).Stations).FirstOrDefault(s => s.AwayMm > FarthestMm) is { } far
                ? new BrokenRule(NoStation, FormattableString.Invariant($"The station nearest to {far.Foot.Id} is {far.Station.Id}, {far.AwayMm:0} mm away; a height farther than {FarthestMm:0} mm says nothing of a foot."))
            : null;
    }

    /// <summary>Plans the next round.</summary>
    /// <param name="goal">Raise only, or raise and lower.</param>
    /// <param name="reference">The level, or the plane the bed lies in now.</param>
    public static FootPlan Of(MachineRecord machine, CharacteristicStanding standing, FootGoal goal, FootReference reference)
    {
        var bed = CorrectionPlan.MeasuredBed.Of(machine, standing);
        var source = SourceOf(standing);
        var revision = machine.Revision;
        double travel = Um(revision, CorrectionFigure.FootTravel), smallest = Um(revision, CorrectionFigure.FootSmallest), step = Um(revision, CorrectionFigure.FootStep);
        var rules = new FootRules(smallest, step, (int)revision.Correction(CorrectionFigure.FootRounds).Value);
        var over = StationsOver(machine, source.Stations);
        ImmutableArray<FootPlace> places =
        [
            .. over.Select(o => (o.Foot, Moved: FootRounds.MovedUm(machine, o.Foot.Id), Height: bed.HeightsUm[source.Stations.IndexOf(o.Station)])).Select(f => new FootPlace(
                f.Foot.Id, f.Foot.XMm, f.Foot.YMm, f.Height, Math.Max(0, travel - f.Moved), Math.Max(0, travel + f.Moved), machine.Model.FootPitch?.Micrometres / 1000)),
        ];
        var influence = FootRounds.Influence(machine, places, bed.SigmaUm);
        var no = FootRounds.NextNo(machine, source.Measurement);
        var round = FootInfluence.Plan(places, influence, bed.SigmaUm, goal, reference, rules, no);
        var alone = FootMoves.Of(places, goal, reference, rules);
        var given = !round.Moves.IsEmpty;
        var after = given ? bed.FlatnessUm(After(bed, places, [.. round.Moves.Select((m, i) => m.PredictedHeightUm - places[i].HeightUm)])) : (double?)null;
        var change = ChangeOf(machine, standing)!;
        return new FootPlan(
            standing.Agreed.Characteristic.Line, source.Survey, source.Measurement, no, influence, round,
            [.. places.Select((p, i) => new PlannedFoot(over[i].Foot, over[i].Station.Id, over[i].AwayMm, p.HeightUm, FootRounds.MovedUm(machine, p.Name), alone.Moves.IsEmpty ? 0 : alone.Moves[i].MoveUm, given ? round.Moves[i] : null))],
            bed.SigmaUm, bed.ValueUm, after, after is { } value ? RailCorrections.Judge(bed.Result, value) : null, (double)revision.Correction(CorrectionFigure.FootHours).Value, step, smallest,
            change, bed.Repeats(change));
    }

    /// <summary>What was done at each foot, with the heights that it is to lead to.</summary>
    /// <param name="madeUm">Moves in the order of the feet, µm.</param>
    public ImmutableArray<FootMade> Made(IReadOnlyList<double> madeUm)
    {
        var count = Feet.Length;
        var spread = 0.0;
        for (var j = 0; j < count; j++)
        {
            for (var k = 0; k < count; k++)
            {
                spread += madeUm[j] * Influence.Covariance[(j * count) + k] * madeUm[k];
            }
        }

        // Both measurements and the influences; the mean of all feet is not seen.
        var sigma = Math.Sqrt((1 - (1.0 / count)) * ((2 * SigmaUm * SigmaUm) + Math.Max(0, spread)));
        return [.. Feet.Select((f, i) => new FootMade(
            f.Foot.Id, f.Station, f.HeightUm, f.Move?.MoveUm ?? 0, madeUm[i], f.HeightUm + Enumerable.Range(0, count).Sum(j => Influence.Of(i, j) * madeUm[j]), sigma))];
    }

    /// <summary>Heights of all stations after the bed has moved over the feet: along a seat in a straight line from foot to foot and beyond the last, across from seat to seat.</summary>
    private static double[] After(CorrectionPlan.MeasuredBed bed, ImmutableArray<FootPlace> feet, double[] changeUm)
    {
        ImmutableArray<(double YMm, ImmutableArray<(double XMm, double Um)> Feet)> rows =
            [.. feet.Select((f, i) => (f.YMm, f.XMm, Um: changeUm[i])).GroupBy(f => f.YMm).OrderBy(g => g.Key).Select(g => (g.Key, g.OrderBy(f => f.XMm).Select(f => (f.XMm, f.Um)).ToImmutableArray()))];
        return [.. bed.Stations.Select((s, i) => bed.HeightsUm[i] + Between([.. rows.Select(r => (r.YMm, Between(r.Feet, s.XMm)))], s.YMm))];
    }

    private static double Between(ImmutableArray<(double At, double Um)> points, double at)
    {
        if (points.Length == 1)
        {
            return points[0].Um;
        }

        var i = 1;
        while (i < points.Length - 1 && at > points[i].At)
        {
            i++;
        }

        var (from, to) = (points[i - 1], points[i]);
        return from.Um + ((to.Um - from.Um) * (at - from.At) / (to.At - from.At));
    }

    private static SurveySource SourceOf(CharacteristicStanding standing) => standing.Evaluation!.Record.Input.Sources[Heights].Readings!;

    private static string? ChangeOf(MachineRecord machine, CharacteristicStanding standing) =>
        standing.Evaluation?.Record.Input.Sources.GetValueOrDefault(Heights)?.Readings is not { } source ? null
            : machine.Revision.Invalidation.FirstOrDefault(r => r.Change.StartsWith(FootMove, StringComparison.Ordinal) && r.Surveys.Contains(source.Survey))?.Change;

    private static ImmutableArray<StationOver> StationsOver(MachineRecord machine, ImmutableArray<Station> stations) =>
    [
        .. machine.Model.Feet.Select(f => stations.Select(s => new StationOver(f, s, Math.Sqrt(((s.XMm - f.XMm) * (s.XMm - f.XMm)) + ((s.YMm - f.YMm) * (s.YMm - f.YMm))))).MinBy(o => o.AwayMm)!),
    ];

    private static double Um(ChecklistRevision revision, string figure) => revision.Correction(figure).Micrometres;

    private sealed record StationOver(Station Foot, Station Station, double AwayMm);
}
