namespace Samples.Rules;

internal static class FirstRules
{
    public const string Tested = "R-SAMPLE-01";
    public const string Untested = "R-SAMPLE-02";

    public static string WhyNot(int run) => $"R-SAMPLE-04 run {run}";

    public static string Twice => "R-SAMPLE-05";
}
