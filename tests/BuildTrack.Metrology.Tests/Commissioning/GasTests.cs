using BuildTrack.Metrology.Commissioning;
using BuildTrack.Metrology.Tests.Support;
using static BuildTrack.Metrology.Tests.Support.Refusal;

namespace BuildTrack.Metrology.Tests.Commissioning;

/// <summary>Published tables of isentropic flow, the flows of the trade notes, and the failure that a stock alone does not show.</summary>
public sealed class GasTests
{
    private static readonly ReferenceFile File = ReferenceFile.Load("nozzle-flow");

    private static NozzleFlowResult Flow(double mm, double bar, CuttingGas gas = CuttingGas.Nitrogen, double discharge = 1) => NozzleFlow.Of(gas, mm, bar, Temperature.Reference, discharge);

    [Fact]
    public void Flows_without_loss_are_those_of_the_formula_with_handbook_constants()
    {
        Assert.Equal(9, File.At("flows").GetArrayLength());
        foreach (var row in File.At("flows").EnumerateArray())
        {
            var found = Flow(row.GetProperty("d_mm").GetDouble(), row.GetProperty("p_bar_gauge").GetDouble(), row.GetProperty("gas").GetString() == "O2" ? CuttingGas.Oxygen : CuttingGas.Nitrogen);
            Assert.Equal(row.GetProperty("choked").GetBoolean(), found.Choked);
            File.Reaches(row.GetProperty("kg_h").GetDouble(), found.KilogramsPerHour, "flow", $"{row}");
            Agreement.Near(row.GetProperty("Nm3_h").GetDouble(), found.NormalCubicMetresPerHour, 1e-4 * found.NormalCubicMetresPerHour, $"{row}");
        }
    }

    /// <summary>Below the speed of sound the flow is the choked one over A/A* of the published table.</summary>
    [Fact]
    public void Below_the_speed_of_sound_the_area_ratios_of_the_table_come_out()
    {
        var choked = Flow(2, 20).KilogramsPerHour / (20 + NozzleFlow.AirBar);
        foreach (var row in File.At("isentropic").EnumerateArray())
        {
            var before = NozzleFlow.AirBar / row.GetProperty("p/p0").GetDouble();
            var found = Flow(2, before - NozzleFlow.AirBar);
            Assert.False(found.Choked);
            File.Reaches(row.GetProperty("A/A*").GetDouble(), choked * before / found.KilogramsPerHour, "area", $"M {row.GetProperty("M")}");
        }
    }

    [Fact]
    public void The_table_of_the_trade_notes_comes_out()
    {
        foreach (var row in File.At("trade_table").EnumerateArray().Select(r => r.EnumerateArray().Select(v => v.GetDouble()).ToArray()))
        {
            var found = Flow(row[0], row[1], discharge: 0.85);
            Assert.InRange(found.NormalCubicMetresPerHour, row[2] - 1, row[2] + 1);
            Assert.InRange(found.LiquidLitresPerHour, row[3] - 1.5, row[3] + 1.5);
        }
    }

    [Fact]
    public void The_flow_is_smooth_where_it_becomes_choked_and_never_falls_with_pressure()
    {
        var edge = NozzleFlow.AirBar * (Math.Pow(1.2, 3.5) - 1);
        Assert.Equal(Flow(2, edge - 1e-9).KilogramsPerHour, Flow(2, edge + 1e-9).KilogramsPerHour, 1e-6);
        Assert.NotEqual(Flow(2, edge - 1e-9).Choked, Flow(2, edge + 1e-9).Choked);
        var before = -1.0;
        for (var bar = 0.0; bar < 5; bar += 0.01)
        {
            var now = Flow(2, bar).KilogramsPerHour;
            Assert.True(now > before, $"{bar} bar");
            before = now;
        }

        Assert.Equal(0, Flow(2, 0).KilogramsPerHour);
    }

    [Fact]
    public void Enough_gas_fails_where_the_vaporiser_cannot_follow()
    {
        var worked = ReferenceFile.Load("commissioning-worked").At("gas");
        double N(string name) => worked.GetProperty(name).GetDouble();
        PlannedCut cut = new(N("minutes"), N("flow_nm3_h"));
        var found = GasSupply.Of([cut], new GasPlant(500, N("vaporiser_nm3_h"), N("derating")));
        Assert.Equal(N("gas_nm3") * 1.3, found.NeedNm3, 1e-8);
        Assert.Equal((N("continuous_nm3_h"), true, false, false), (found.ContinuousNm3PerHour, found.StockSuffices, found.VaporiserSuffices, found.Suffices));
        Assert.Equal((121, 8), (found.PeakNm3PerHour, found.LongestCutMinutes));
        Assert.True(GasSupply.Of([cut], new GasPlant(500, null)).Suffices);
        Assert.False(GasSupply.Of([cut], new GasPlant(25, null)).StockSuffices);
    }

    [Fact]
    public void Needs_add_up_over_cuts_in_any_order()
    {
        PlannedCut[] cuts = [new(8, 121), new(2, 60), new(30, 13)];
        var plant = new GasPlant(100, 250, 2, 1, 1);
        var found = GasSupply.Of(cuts, plant);
        Assert.Equal(((8 * 121) + (2 * 60) + (30 * 13)) / 60.0, found.NeedNm3, 1e-9);
        Assert.Equal(30, found.LongestCutMinutes);
        Assert.Equal(found.NeedNm3, GasSupply.Of([cuts[2], cuts[0], cuts[1]], plant).NeedNm3, 1e-9);
    }

    [Fact]
    public void Impossible_numbers_are_refused()
    {
        Refused("at most 50", () => Flow(51, 10));
        Refused("NaN", () => Flow(2, double.NaN));
        Refused("at most 1", () => Flow(2, 10, discharge: 1.1));
        Refused("at least one", () => GasSupply.Of([], new GasPlant(1, null)));
        Refused("from 1", () => GasSupply.Of([new(1, 1)], new GasPlant(1, null, 0.5)));
        Refused("above zero", () => GasSupply.Of([new(0, 1)], new GasPlant(1, null)));
    }
}
