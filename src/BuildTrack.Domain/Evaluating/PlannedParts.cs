using System.Collections.Immutable;
using BuildTrack.Metrology.Planning;

namespace BuildTrack.Domain.Evaluating;

/// <summary>A calculation of which can be said before measuring what it would prove.</summary>
internal interface IPlanned
{
    /// <summary>What the plan rests on: from an input whose runs have their instrument, day and places, whatever they read.</summary>
    PlannedParts PartsOf(EvaluationInput input);
}

/// <summary>What a calculation's bands are made of.</summary>
/// <param name="Zone">What is calculated from the readings; null for single values.</param>
/// <param name="Values">How many single values there are.</param>
/// <param name="Sigma">Standard uncertainty of one reading in one pass, calculated unit.</param>
/// <param name="Common">Common part of the result, calculated unit.</param>
/// <param name="Expanded">U that the rule is used with, for the passes planned.</param>
/// <param name="K">Coverage factor of U.</param>
/// <param name="Faults">Why the register's figures cannot be used for this.</param>
internal sealed record PlannedParts(PlannedZone? Zone, int Values, double Sigma, double Common, double Expanded, double K, ImmutableArray<string> Faults)
{
    public static PlannedParts Of(PlannedZone? zone, int values, RegisterView view) => new(zone, values, view.Sigma, view.Common, view.Expanded, view.K, view.Faults);
}
