using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Planning;
using BuildTrack.Records.Checklists;
using BuildTrack.Records.Demo;
using Xunit;

namespace BuildTrack.Records.Tests.Checklists;

/// <summary>What the demo plant's register can prove of the shipped checklists.</summary>
public class ShippedPlansTests
{
    private const string Day = "2026-11-25";

    private static readonly ChecklistRevision Shipped = ChecklistLoader.Load(ChecklistFiles.Shipped).Revision!;

    [Fact]
    public void Every_shipped_limit_is_proved_by_some_instrument() => Assert.Empty(MeasuringPlans.Unprovable(Shipped, Register(), Day));

    /// <summary>Without the comparator a tape is left, which cannot prove squareness (trade notes 4.3: common practice, no source): on the longest beds four passes leave it a little of the limit.</summary>
    [Fact]
    public void Without_the_comparator_squareness_is_not_proved()
    {
        var found = MeasuringPlans.Unprovable(Shipped, [.. Register().Where(i => i.Id != "DST-01")], Day);
        Assert.Equal("A175-01 A270-02 A290-02 B175-01 B270-02 B290-02 C175-01 C270-02 C290-02", string.Join(' ', found.Select(u => u.Class + u.Line).Order(StringComparer.Ordinal)));
        Assert.All(found, u => Assert.Contains("nearest TAP-01, 4 passes", u.Because, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("50-01", "DST-01", 1, 2)]
    [InlineData("175-01", "DST-01", 1, 6)]
    [InlineData("210-01", "IFM-01", 5, 110)]
    [InlineData("210-02", "IFM-01", 5, 110)]
    [InlineData("210-03", "IFM-01", 5, 110)]
    [InlineData("210-04", "IFM-01", 1, 34)]
    public void Diagonals_and_positioning_are_planned(string line, string instrument, int passes, int readings)
    {
        var model = Shipped.Model("OV-2040/06");
        var machine = new MachineRecord("X-1", model, "", Shipped, true, [], [], [], [], [], [], [], new Instant(0), 0);
        var answer = MeasuringPlans.Of(machine, machine.Agreed().Single(a => a.Characteristic.Line == line), Register(), Day);
        Assert.Null(answer.WhyNone);
        Assert.Equal((instrument, passes, readings, true), (answer.Best!.Instrument, answer.Best.Passes, answer.Best.Readings, answer.Best.AsListed));
        Assert.InRange(answer.Best.Proof.Share!.Value, MeasuringPlans.WantedShare, 1);
        Assert.Equal(line is "50-01", answer.Granted is null);
        Assert.Equal(instrument == "DST-01" ? ["IND-09", "MIC-01"] : [], answer.Unused.Select(u => u.Instrument));
    }

    private static ImmutableArray<RegisterEntry> Register()
    {
        static Amount? Read(string? text) => text is null ? null : Amount.TryParse(text, out var amount) ? amount : throw new FormatException(text);
        static string DayOf(int from) => DateOnly.Parse(Day, CultureInfo.InvariantCulture).AddDays(from).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        return
        [
            .. DemoFile.Read(Path.Combine(AppContext.BaseDirectory, "demo-data")).Instruments.Select(i => new RegisterEntry(
                i.Id, i.Name, i.Serial, i.Quantity, i.Unit, [.. i.Figures.Select(f => new RegisterFigure(f.Use, f.UpToMm, Read(f.A)!, Read(f.BPerMetre), 2, Read(f.Random), Read(f.Common)))],
                DayOf(i.Calibrated), DayOf(i.Valid), i.Certificate, i.State, 1)),
        ];
    }
}
