using System.Collections.Immutable;

namespace BuildTrack.Metrology.Verdicts;

/// <summary>Rejection proved by measuring the contact places again.</summary>
public static class ContactsAgain
{
    public static double Value(ReadOnlySpan<double> weights, ReadOnlySpan<double> heightsUm) => throw new NotImplementedException();

    public static double RejectBandUm(ReadOnlySpan<double> weights, double sigmaUm, double commonUm, double? degreesOfFreedom = null) =>
        throw new NotImplementedException();

    public static ImmutableArray<double> LeastSquaresRangeWeights(
        ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm) => throw new NotImplementedException();
}
