using System.Collections.Immutable;
namespace BuildTrack.Metrology.Flatness {
public sealed record PlaneFit(double SlopeXUmPerM, double SlopeYUmPerM, double OffsetUm);
public sealed record LeastSquaresPlane(double FlatnessUm, double PeakUm, double ValleyUm, double RmsUm, PlaneFit Plane, ImmutableArray<double> DeviationsUm);
public sealed record ContactPlace(int Index, double Weight);
public sealed record MinimumZonePlane(double FlatnessUm, double VerticalUm, string? Contact, ImmutableArray<ContactPlace> Contacts, ImmutableArray<double> DeviationsUm, PlaneFit? MidPlane, bool ZoneProved, string? NotProvedBecause);
public enum FlatnessDefect { None, TooFewPoints, Collinear, OneVerticalPlane }
public sealed record FlatnessResult(int Points, LeastSquaresPlane? LeastSquares, string? LeastSquaresAbsentBecause, MinimumZonePlane? MinimumZone, FlatnessDefect Defect, string? DefectSentence);
public static class FlatnessCalculation { public static FlatnessResult Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm) => throw new NotImplementedException(); }
}
namespace BuildTrack.Metrology.Verdicts {
public enum Verdict { Accepted, NotProven, Rejected }
public enum DecisionRule { Simple, Guarded, OneSided95 }
public enum PlaneReference { LeastSquares, MinimumZone }
public sealed record ZoneReach(double AboveUm, double BelowUm, double PairSigmaUm, double NoiseQuantileUm, double CommonUm);
public static class PlaneReach { public static ZoneReach Of(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, double sigmaUm, double commonUm, PlaneReference reference, ulong seed = 1, int trials = 10000)=> throw new NotImplementedException(); }
public static class Conformity {
  public sealed record Limits(double? Upper, double? Lower);
  public sealed record Decision(Verdict Verdict, double? AcceptUpTo, double? RejectAbove, double? AcceptFrom, double? RejectBelow, double? ProbabilityOfConformity, string? Because);
  public static Decision Decide(double value, Limits limits, double acceptBand, double rejectBand)=> throw new NotImplementedException();
  public static double RuleBand(DecisionRule rule, double expandedUncertainty, double k)=> throw new NotImplementedException();
  public static bool SimpleRuleHasTooLargeUncertainty(double expandedUncertainty, Limits limits)=> throw new NotImplementedException();
}
public static class ContactsAgain {
  public static double Value(ReadOnlySpan<double> weights, ReadOnlySpan<double> heightsUm)=> throw new NotImplementedException();
  public static double RejectBandUm(ReadOnlySpan<double> weights, double sigmaUm, double commonUm, double? degreesOfFreedom = null)=> throw new NotImplementedException();
  public static ImmutableArray<double> LeastSquaresRangeWeights(ReadOnlySpan<double> xMm, ReadOnlySpan<double> yMm, ReadOnlySpan<double> heightsUm)=> throw new NotImplementedException();
}
public static class ExtremeReach { public static (double Accept, double RejectAlone, double RejectAgain) Of(int count, double sigma, double common, double? degreesOfFreedom = null)=> throw new NotImplementedException(); }
}
