using System.Text.Json;

namespace BuildTrack.Metrology.Tests.Support;

/// <summary>A file of published or constructed values, with its origin and the digits each expected value must reach.</summary>
internal sealed class ReferenceFile
{
    private ReferenceFile(string name, JsonElement root)
    {
        Name = name;
        Root = root;
    }

    public string Name { get; }

    public JsonElement Root { get; }

    public string Origin => Root.GetProperty("origin").GetString()!;

    public static string Folder => Path.Combine(AppContext.BaseDirectory, "ReferenceData");

    public static ReferenceFile Load(string name)
    {
        using var document = JsonDocument.Parse(File.ReadAllText(Path.Combine(Folder, name + ".json")));
        return new ReferenceFile(name, document.RootElement.Clone());
    }

    public int Digits(string what) => Root.GetProperty("digits").GetProperty(what).GetInt32();

    public JsonElement At(params string[] path)
    {
        var at = Root;
        foreach (var step in path)
            at = at.GetProperty(step);
        return at;
    }

    public double Number(params string[] path) => At(path).GetDouble();

    /// <summary>Fails, with the origin, where the value does not reach the digits.</summary>
    public void Reaches(double expected, double actual, string digitsOf, string what)
    {
        var digits = Digits(digitsOf);
        Assert.True(Agreement.Digits(expected, actual) >= digits,
            $"{Name}, {what}: expected {expected:R}, got {actual:R}: {Agreement.Digits(expected, actual):F1} digits, {digits} asked. Origin: {Origin}");
    }
}

internal static class Agreement
{
    /// <summary>Number of agreeing significant digits, −log₁₀ of the relative error (of the error itself where zero is expected); at most 16.</summary>
    public static double Digits(double expected, double actual)
    {
        if (double.IsNaN(actual) || double.IsInfinity(actual))
            return 0;
        var error = Math.Abs(expected - actual) / (expected == 0 ? 1 : Math.Abs(expected));
        return error == 0 ? 16 : Math.Min(16, -Math.Log10(error));
    }

    public static void Near(double expected, double actual, double within, string what) =>
        Assert.True(Math.Abs(expected - actual) <= within, $"{what}: expected {expected:R} ± {within:R}, got {actual:R}");
}
