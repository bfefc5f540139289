namespace Samples.Rules;

internal static class SecondRules
{
    public static string Twice => "R-SAMPLE-05";
}
