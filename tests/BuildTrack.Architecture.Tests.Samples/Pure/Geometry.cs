namespace Samples.Geometry;

public sealed class Turns
{
    public static double X(double angle) => Math.Cos(angle);

    public static double Steep(double x) => double.Exp(x);

    public static double Powers(double x) => new[] { x }.Select(v => Math.Pow(v, 2)).Sum();

    public static double Allowed(double x) => Math.Sqrt(x) + Math.Log(x) + Math.FusedMultiplyAdd(x, x, x);
}
