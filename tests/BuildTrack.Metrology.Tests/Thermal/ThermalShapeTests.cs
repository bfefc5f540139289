using BuildTrack.Metrology.Chance;
using BuildTrack.Metrology.Tests.Support;
using BuildTrack.Metrology.Thermal;

namespace BuildTrack.Metrology.Tests.Thermal;

public sealed class ThermalShapeTests
{
    [Fact]
    public void The_worked_lengths_and_bows_come_out_to_every_printed_digit()
    {
        var file = ReferenceFile.Load("thermal-worked");
        var expansion = file.Number("expansion_per_million_per_k");
        Assert.Equal(ThermalShape.SteelPerMillionPerK, expansion);
        foreach (var row in file.At("lengths").EnumerateArray())
        {
            var change = ThermalShape.Length(row.GetProperty("length_mm").GetDouble(), Temperature.FromDegreesCelsius(row.GetProperty("temperature_c").GetDouble()), expansion);
            Assert.Equal(row.GetProperty("change_um").GetDouble(), Math.Round(change.ChangeUm));
        }

        foreach (var row in file.At("bows").EnumerateArray())
        {
            var bow = ThermalShape.Bow(row.GetProperty("length_mm").GetDouble(), row.GetProperty("height_mm").GetDouble(), Kelvins(1), expansion);
            Assert.Equal(row.GetProperty("bow_um_per_k").GetDouble(), Math.Round(bow.BowUmPerK));
            Assert.Equal(bow.BowUmPerK, bow.BowUm);
            Assert.Equal(row.GetProperty("allowed_k").GetDouble(), Math.Round(bow.Allowed(row.GetProperty("share_um").GetDouble()).Kelvins, row.GetProperty("decimals").GetInt32()));
        }
    }

    [Fact]
    public void The_bow_is_that_of_an_arc_whose_outer_fibre_is_longer()
    {
        // Twin: a beam of layers. Top and bottom fibre grow by α t L each; two arcs of one centre whose lengths differ so have a known radius; the rise of the arc is its versine.
        const ulong seed = 5301;
        var source = new SeededSource(seed);
        for (var trial = 0; trial < 50; trial++)
        {
            double length = 1000 + (7000 * source.NextUniform()), height = 300 + (400 * source.NextUniform()), kelvins = 2 * source.NextNormal();
            var bow = ThermalShape.Bow(length, height, Kelvins(kelvins), 11.5).BowUm;
            double top = length * (1 + (11.5e-6 * kelvins)), radius = length * height / (top - length), half = length / 2;
            var rise = 1000 * Math.Sign(radius) * half * half / (Math.Abs(radius) + Math.Sqrt((radius * radius) - (half * half)));
            Agreement.Near(rise, bow, 1e-4 * Math.Abs(rise), $"seed {seed}, trial {trial}");
        }
    }

    [Fact]
    public void A_length_at_twenty_degrees_does_not_change_and_only_its_temperature_is_uncertain()
    {
        var change = ThermalShape.Length(4000, Temperature.Reference, 11.5, 0.15, 0.6);
        Assert.Equal(0, change.ChangeUm);
        Agreement.Near(4 * 11.5 * 0.15, change.TemperatureTermUm, 1e-12, "temperature");
        Assert.Equal(0, change.ExpansionTermUm);
        Assert.Equal(change.TemperatureTermUm, change.StandardUncertaintyUm, 12);
    }

    [Fact]
    public void The_terms_of_the_uncertainty_are_those_of_the_positioning_report_for_rectangular_ranges()
    {
        // U = 0.6 α L R(θ) and 0.6 (T − 20) L R(α), k = 2, after ISO/TR 230-9 (from memory); 0.6 stands there for 2/√12 = 0.577.
        const double rangeK = 0.5, rangeExpansion = 1;
        var change = ThermalShape.Length(6000, Temperature.FromDegreesCelsius(25), 11.5, rangeK / Math.Sqrt(12), rangeExpansion / Math.Sqrt(12));
        Agreement.Near(0.577 / 0.6 * 0.6 * 11.5 * 6 * rangeK, 2 * change.TemperatureTermUm, 0.02, "temperature");
        Agreement.Near(0.577 / 0.6 * 0.6 * 5 * 6 * rangeExpansion, 2 * change.ExpansionTermUm, 0.02, "expansion");
        Agreement.Near(Math.Sqrt((change.TemperatureTermUm * change.TemperatureTermUm) + (change.ExpansionTermUm * change.ExpansionTermUm)), change.StandardUncertaintyUm, 1e-12, "both");
        Agreement.Near(-change.ChangeUm, ThermalShape.Length(6000, Temperature.FromDegreesCelsius(15), 11.5).ChangeUm, 1e-9, "colder is shorter");
    }

    [Fact]
    public void Numbers_that_are_none_and_temperatures_that_no_bay_has_are_refused()
    {
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, 0, -1, 1e300 })
        {
            Assert.ThrowsAny<ArgumentException>(() => ThermalShape.Length(bad, Temperature.Reference, 11.5));
            Assert.ThrowsAny<ArgumentException>(() => ThermalShape.Length(1000, Temperature.Reference, bad));
            Assert.ThrowsAny<ArgumentException>(() => ThermalShape.Bow(bad, 500, Kelvins(1), 11.5));
            Assert.ThrowsAny<ArgumentException>(() => ThermalShape.Bow(1000, bad, Kelvins(1), 11.5));
            Assert.ThrowsAny<ArgumentException>(() => ThermalShape.Bow(1000, 500, Kelvins(1), bad));
            Assert.ThrowsAny<ArgumentException>(() => ThermalShape.Bow(1000, 500, Kelvins(1), 11.5).Allowed(bad is 1e300 ? -1 : bad));
        }

        var kelvin = Assert.Throws<ArgumentOutOfRangeException>(() => ThermalShape.Length(1000, Temperature.FromDegreesCelsius(293.15), 11.5));
        Assert.Contains("between -50 and 250 °C", kelvin.Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => ThermalShape.Length(1000, Temperature.FromDegreesCelsius(-51), 11.5));
        Assert.Throws<ArgumentOutOfRangeException>(() => ThermalShape.Length(1000, Temperature.Reference, 11.5, -0.1));
        Assert.Throws<ArgumentOutOfRangeException>(() => ThermalShape.Length(1000, Temperature.Reference, 11.5, 0, -0.1));
        Assert.Throws<ArgumentOutOfRangeException>(() => ThermalShape.Bow(1000, 500, Kelvins(301), 11.5));
        Assert.Throws<ArgumentOutOfRangeException>(() => ThermalShape.Bow(1000, 500, Kelvins(1), 11.5, -1));
    }

    private static TemperatureDifference Kelvins(double kelvins) => TemperatureDifference.FromKelvins(kelvins);
}
