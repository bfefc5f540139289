using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.SitePacks;

namespace BuildTrack.Domain.Tests.SitePacks;

public sealed class SiteReckoningTests
{
    private static readonly SiteFeet Feet = new([new Station("F1", 0, 0), new Station("F2", 3000, 0), new Station("F3", 0, 1700), new Station("F4", 3000, 1700)], 2, 20, 40);

    private static Reckoned Of(string kind, params (string, string)[] typed) => SiteReckoning.Of(kind, Feet, typed.Select(t => new TypedField(t.Item1, t.Item2)));

    /// <summary>Origin: acc-dew-point.json, Magnus formula at 25 °C and 50 %: 13.9 °C; with a coolant at 20 °C a margin of 6.1 K.</summary>
    [Fact]
    public void Dew_point_is_told_with_the_margin_of_the_coolant()
    {
        Assert.Equal(["Dew point 13.9 °C."], Of("dew-point", ("Air", "25"), ("Humidity", "50")).Lines);
        Assert.Contains("6.1 K above it", Of("dew-point", ("Air", "25,0"), ("Humidity", "50"), ("Coolant", "20")).Lines[1], StringComparison.Ordinal);
        Assert.Contains("water may settle", Of("dew-point", ("Air", "30"), ("Humidity", "80"), ("Coolant", "22")).Lines[1], StringComparison.Ordinal);
    }

    /// <summary>
    /// By hand, choked flow: Cd A p0 √(γ/(R T)) (2/(γ+1))^((γ+1)/(2(γ−1))) with Cd 0.85, 2 mm, 16 bar + 1.01325, R 296.803, 293.15 K; 1.2504 kg per Nm³ (handbook figures of nitrogen).
    /// 10 minutes × 1.3 × 1.2; a vaporiser of twice the flow gives it without end.
    /// </summary>
    [Fact]
    public void Gas_is_told_as_flow_need_and_vaporiser()
    {
        var area = Math.PI * 2e-3 * 2e-3 / 4;
        var flow = 0.85 * area * 17.01325e5 * Math.Sqrt(1.4 / (296.803 * 293.15)) * Math.Pow(2 / 2.4, 3) * 3600 / 1.2504;
        string Shown(double value) => value.ToString("F1", CultureInfo.InvariantCulture);
        var found = Of("gas", ("Nozzle", "2"), ("Pressure", "16"), ("Minutes", "10"), ("Stock", "500"), ("Vaporiser", "60"));
        Assert.StartsWith($"{Shown(flow)} Nm³/h", found.Lines[0], StringComparison.Ordinal);
        Assert.StartsWith($"{Shown(flow / 6 * 1.56)} Nm³ are needed", found.Lines[1], StringComparison.Ordinal);
        Assert.EndsWith("enough.", found.Lines[1], StringComparison.Ordinal);
        Assert.Contains($"gives 30.0 Nm³/h without end, the cut needs {Shown(flow)}", found.Lines[2], StringComparison.Ordinal);
        Assert.Equal(flow <= 30, found.Lines[2].EndsWith("enough.", StringComparison.Ordinal) && !found.Lines[2].Contains("not enough", StringComparison.Ordinal));
        Assert.Contains("from bottles", Of("gas", ("Nozzle", "2"), ("Pressure", "16"), ("Minutes", "10"), ("Stock", "1")).Lines[2], StringComparison.Ordinal);
    }

    /// <summary>By hand: raised to the highest foot, 0.30 mm; a thread of 2 mm turns 54° for it, in eight passes of at most 0.04 mm; 0.01 mm is left.</summary>
    [Fact]
    public void Feet_are_raised_to_the_highest()
    {
        var found = Of("feet", ("F1", "0.30"), ("F2", "0.29"), ("F3", "0"), ("F4", "+0,30"));
        Assert.Equal(["F3: raise 0.30 mm by the indicator, about 54° of the nut, in 8 passes.", "Range now 0.300 mm, expected 0.010 mm; measure again after the round."], found.Lines);
        Assert.Empty(found.Faults);
        Assert.StartsWith("No foot wants", Assert.Single(Of("feet", ("F1", "0"), ("F2", "0"), ("F3", "0"), ("F4", "0.01")).Lines), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("dew-point", "Air", "warm", "Found 'warm', expected the air's temperature, °C, a number from -45 to 60")]
    [InlineData("dew-point", "Humidity", "140", "Found '140', expected relative humidity, %, a number from 1 to 100")]
    [InlineData("gas", "Nozzle", "", "Found nothing, expected the nozzle's diameter, mm, a number from 0.1 to 50")]
    [InlineData("gas", "Stock", "NaN", "Found 'NaN', expected the gas that is there, Nm³, a number from 0 to 100000")]
    [InlineData("feet", "F2", "300", "Found '300', expected the height of the bed over F2, mm, a number from -20 to 20")]
    public void What_is_wrong_is_named_and_nothing_comes_out(string kind, string field, string typed, string fault)
    {
        (string Name, string Typed)[] whole = kind switch
        {
            "dew-point" => [("Air", "20"), ("Humidity", "50")],
            "gas" => [("Nozzle", "2"), ("Pressure", "16"), ("Minutes", "10"), ("Stock", "50")],
            _ => [("F1", "0"), ("F2", "0"), ("F3", "0"), ("F4", "0.1")],
        };
        var found = Of(kind, [.. whole.Where(w => w.Name != field), (field, typed)]);
        Assert.Empty(found.Lines);
        Assert.Equal([fault], found.Faults);
    }

    [Fact]
    public void What_is_not_worked_out_here_is_refused() => Assert.Throws<ArgumentException>(() => Of("mass", ("F1", "0")));
}
