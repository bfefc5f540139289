using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>Tables 2 and 3 of IEC 60228 and worked examples of ideal copper.</summary>
public sealed class BondingLimitTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("bonding");

    private static Temperature C(double celsius) => Temperature.FromDegreesCelsius(celsius);

    [Fact]
    public void A_kilometre_has_the_resistance_of_the_table()
    {
        var rows = File.At("rows").EnumerateArray().ToList();
        Assert.Equal(rows.Select(r => r.GetProperty("S_mm2").GetDouble()), BondingLimit.CrossSectionsMm2);
        foreach (var row in rows)
        {
            var section = row.GetProperty("S_mm2").GetDouble();
            var (stranded, flexible, ideal) = (BondingLimit.Ohm(1000, section, ConductorClass.Stranded, C(20), 0), BondingLimit.Ohm(1000, section, ConductorClass.Flexible, C(20), 0), BondingLimit.Ohm(1000, section, ConductorClass.Ideal, C(20), 0));
            File.Reaches(row.GetProperty("class2_plain").GetDouble(), stranded, "table", $"{section} stranded");
            File.Reaches(row.GetProperty("class5_plain").GetDouble(), flexible, "table", $"{section} flexible");
            Assert.InRange(stranded / ideal, 1.03, 1.13);
            Assert.InRange(flexible / ideal, 1.10, 1.17);
        }
    }

    [Fact]
    public void Ideal_copper_has_the_worked_resistances()
    {
        foreach (var row in File.At("ideal").EnumerateArray())
        {
            double N(string name) => row.GetProperty(name).GetDouble();
            File.Reaches(N("R_ohm"), BondingLimit.Ohm(N("L_m"), N("S_mm2"), ConductorClass.Ideal, C(N("T_C")), 0), "ideal", $"{row}");
        }
    }

    [Fact]
    public void Length_temperature_and_contacts_add_as_they_should()
    {
        var of = BondingLimit.Ohm(5, 6, ConductorClass.Stranded, C(20), 0);
        Assert.Equal(2 * of, BondingLimit.Ohm(10, 6, ConductorClass.Stranded, C(20), 0), 1e-12);
        Assert.Equal(of * 265 / 250, BondingLimit.Ohm(5, 6, ConductorClass.Stranded, C(35), 0), 1e-12);
        Assert.Equal(of + 0.01, BondingLimit.Ohm(5, 6, ConductorClass.Stranded, C(20), 0.01), 1e-12);
    }

    [Fact]
    public void What_the_table_does_not_have_is_refused()
    {
        Refused("one of 0.5, 0.75", () => BondingLimit.Ohm(5, 3, ConductorClass.Flexible, C(20), 0));
        Refused("above zero", () => BondingLimit.Ohm(0, 6, ConductorClass.Flexible, C(20), 0));
        Refused("-40 to 90", () => BondingLimit.Ohm(1, 6, ConductorClass.Flexible, C(91), 0));
        Refused("NaN", () => BondingLimit.Ohm(1, 6, ConductorClass.Ideal, C(20), double.NaN));
    }
}
