using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Metrology.Planning;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Evaluating;

/// <summary>A calculation of which can be said before measuring what it would prove.</summary>
internal interface IPlanned
{
    /// <summary>The number of passes belongs to the result: with another it is another figure.</summary>
    bool PassesAreFixed => false;

    /// <summary>What the plan rests on: from an input whose runs have their instrument, day and places, whatever they read.</summary>
    /// <exception cref="ArgumentException">Such a layout decides nothing; the sentence says why.</exception>
    PlannedParts PartsOf(EvaluationInput input);

    /// <summary>The places that one pass of a source reads, in the order of reading.</summary>
    ImmutableArray<string> PlacesOf(SurveySource source) => source.Places switch
    {
        PlaceKind.Whole => ["whole"],
        PlaceKind.Between => [.. ChecklistRevision.Joins(source.Stations).Select(p => p.Key)],
        _ => [.. source.Stations.Select(s => s.Id)],
    };

    /// <summary>What stands in for the readings of a source, calculated unit: U of a length depends on it; elsewhere only the layout counts.</summary>
    double StandIn(string source, MachineModel model, Requirement requirement) => 0;

    /// <summary>What the plan takes for granted, in a sentence; null where the checklists tell everything.</summary>
    string? Granted(EvaluationInput input) => null;
}

/// <summary>What a calculation's bands are made of.</summary>
/// <param name="Zone">What is calculated from the readings; null for single values.</param>
/// <param name="Values">How many single values there are.</param>
/// <param name="Sigma">Standard uncertainty of one reading in one pass, calculated unit.</param>
/// <param name="Common">Common part of the result, calculated unit.</param>
/// <param name="Expanded">U that the rule is used with, for the passes planned.</param>
/// <param name="K">Coverage factor of U.</param>
/// <param name="Faults">Why the register's figures cannot be used for this.</param>
/// <param name="FixedReach">What acceptance leaves beside the rule where the calculation takes it from U itself; null where it is made of the parts.</param>
internal sealed record PlannedParts(
    PlannedZone? Zone, int Values, double Sigma, double Common, double Expanded, double K, ImmutableArray<string> Faults, double? FixedReach = null)
{
    /// <summary>Degrees of freedom of <see cref="Sigma"/>; null where it is known.</summary>
    public double? Degrees { get; init; }

    /// <summary>One value as it stands: of a value without sign both directions of the noise count.</summary>
    private static readonly SumLine Unsigned = new(1, [new SumGroup([[1.0]], Range: false)]);

    public static PlannedParts Of(PlannedZone? zone, int values, RegisterView view) => new(zone, values, view.Sigma, view.Common, view.Expanded, view.K, view.Faults) { Degrees = view.Degrees };

    /// <summary>Several values from views whose σ is that of the mean.</summary>
    public static PlannedParts OfMeans(int values, int passes, ImmutableArray<RegisterView> views) => Of(null, values, InOnePass(RegisterView.Worst(views), passes));

    /// <summary>Values without sign, of which the largest decides, from a view whose σ is that of the mean.</summary>
    public static PlannedParts OfUnsigned(int passes, RegisterView view, int values = 1) => Of(PlannedZone.Sums([.. Enumerable.Repeat(Unsigned, values)]), values, InOnePass(view, passes));

    private static RegisterView InOnePass(RegisterView view, int passes) => view with { Sigma = view.Sigma * Math.Sqrt(passes) };
}
