namespace BuildTrack.Metrology.Verdicts;

/// <summary>Reaches of the smallest or largest of n single values.</summary>
public static class ExtremeReach
{
    public static (double Accept, double RejectAlone, double RejectAgain) Of(
        int count, double sigma, double common, double? degreesOfFreedom = null) => throw new NotImplementedException();
}
