using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Tests.Support;
using BuildTrack.Metrology.Verdicts;

namespace BuildTrack.Domain.Tests.Checklists;

public sealed class LimitTests
{
    private static readonly LimitTable Range2 = new("iso-9013-u-range-2", "mm", "mm", "ISO 9013:2017, range 2", [new LimitTableRow(0.5m, 32m, 0.15m, 0.007m)]);

    public static TheoryData<string> Rows() => new(TestFile.Rows("iso-9013-range-2.csv"));

    [Theory, MemberData(nameof(Rows))]
    public void The_limit_of_a_cut_depends_on_its_thickness(string row)
    {
        var (a, u) = (row.Split(',')[0], row.Split(',')[1]);
        decimal? expected = u.Length == 0 ? null : decimal.Parse(u, CultureInfo.InvariantCulture);
        Assert.True(expected == Range2.At(decimal.Parse(a, CultureInfo.InvariantCulture)), $"{row}: {Range2.At(decimal.Parse(a, CultureInfo.InvariantCulture))}. {TestFile.Origin("iso-9013-range-2.csv")}");
    }

    [Fact]
    public void Where_rows_meet_the_first_one_holds()
    {
        var table = Range2 with { Rows = [new LimitTableRow(0, 10, 1, 0), new LimitTableRow(10, 20, 2, 0)] };
        Assert.Equal((1m, 2m, (decimal?)null), (table.At(10m)!.Value, table.At(10.001m)!.Value, table.At(20.001m)));
    }

    [Fact]
    public void An_order_changes_what_it_states_and_nothing_else()
    {
        var company = new Requirement(null, Make.Um(2), "iso-9013-u-range-2", "thickness", DecisionRule.Guarded, "company standard", "C", null);
        var term = new OrderTerm("edge", null, null, null, null, "contract annex 2", "B", "pavel.thornwell", "stated");
        Assert.Equal(company with { Origin = "contract annex 2", Edition = "B", ApprovedBy = "pavel.thornwell" }, term.Replace(company));

        // A plain number takes the table's place.
        var number = (term with { Upper = Make.Um(200), Rule = DecisionRule.OneSided95 }).Replace(company);
        Assert.Equal((Make.Um(200), Make.Um(2), (string?)null, (string?)null, DecisionRule.OneSided95), (number.Upper!, number.Lower!, number.Table, number.Over, number.Rule));
    }

    /// <summary>Trade figures: seats of 4 m with a station every 250 mm are 17 on each rail, 7 m are 29, 1.75 m are 8.</summary>
    [Theory]
    [InlineData(4000, 17)]
    [InlineData(7000, 29)]
    [InlineData(1750, 8)]
    public void Stations_are_generated_along_both_rail_seats(double seat, int onEach)
    {
        var stations = new LayoutPlan("rail-seats", 250, []).StationsFor(new MachineModel("M", "B", "M", seat, 1750, 500, null));
        Assert.Equal(2 * onEach, stations.Length);
        Assert.Equal((new Station("R1-01", 0, 0), new Station("R2-01", 0, 1750)), (stations[0], stations[onEach]));
        Assert.Equal(new Station(FormattableString.Invariant($"R2-{onEach:00}"), seat, 1750), stations[^1]);
    }

    [Fact]
    public void A_class_without_the_limit_does_not_have_the_characteristic()
    {
        var machine = Make.Machine();
        Assert.Single(machine.Revision.CharacteristicsOf("H1", machine.Model));
        Assert.Empty(machine.Revision.CharacteristicsOf("H1", machine.Model with { Class = "C" }));
        Assert.Empty(machine.Revision.CharacteristicsOf("H2", machine.Model));
    }
}
