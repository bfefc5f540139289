using BuildTrack.Domain.AsBuilt;
using BuildTrack.Domain.Calendars;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Domain.Corrections;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Certificates;
using BuildTrack.Records.Demo;
using BuildTrack.Records.History;
using BuildTrack.Records.Machines;
using BuildTrack.Records.Nonconformances;
using BuildTrack.Records.Planning;
using BuildTrack.Records.ResultSeries;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Tests.Support;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Records.Tests.Demo;

/// <summary>The demo plant is the same story on whichever day it is loaded; expected: the entries of demo-data/plant.json.</summary>
public sealed class DemoTests
{
    private static readonly string Data = Path.Combine(AppContext.BaseDirectory, "demo-data");

    /// <summary>Working days are counted past Saturdays and Sundays; calendar of November 2026.</summary>
    [Theory]
    [InlineData("2026-11-25", 0, "2026-11-25")]
    [InlineData("2026-11-25", -1, "2026-11-24")]
    [InlineData("2026-11-25", -5, "2026-11-18")]
    [InlineData("2026-11-23", -1, "2026-11-20")]
    [InlineData("2026-11-28", -1, "2026-11-27")]
    [InlineData("2026-11-29", -1, "2026-11-27")]
    [InlineData("2026-11-29", 0, "2026-11-29")]
    [InlineData("2026-11-27", 1, "2026-11-30")]
    [InlineData("2026-11-25", 3, "2026-11-30")]
    [InlineData("2026-11-25", -70, "2026-08-19")]
    public void A_working_day_is_counted_past_weekends(string loaded, int day, string expected) =>
        Assert.Equal(DateOnly.Parse(expected, null), WorkingDays.Plus(DateOnly.Parse(loaded, null), day, Holidays.None));

    /// <summary>A Saturday, half past midnight when summer time begins, and New Year.</summary>
    [Theory]
    [InlineData(Database.Sqlite, "2026-03-29T00:30:00Z")]
    [InlineData(Database.Sqlite, "2027-01-01T08:00:00Z")]
    [InlineData(Database.Postgres, "2026-11-28T09:00:00Z")]
    public async Task The_demo_tells_its_story_on_every_day_of_loading(Database on, string loadedAt)
    {
        await using var plant = await TestPlant.MakeEmpty(on);
        var now = DateTimeOffset.Parse(loadedAt, System.Globalization.CultureInfo.InvariantCulture);
        plant.Clock.Now = now;
        await new DemoLoader(
            plant.Settings, Data, Path.Combine(AppContext.BaseDirectory, "checklists"),
            services => services.AddLogging().AddSingleton<ICertificateRenderer>(plant.Renderer), now).Load(default);

        var demo = DemoFile.Read(Data);
        Assert.NotEmpty(demo.Expected);
        foreach (var expected in demo.Expected)
        {
            var machine = await plant.Machine(expected.Serial);
            var result = machine.EvaluationOf(expected.Line)!.Record.Result;
            var where = $"{expected.Serial} {expected.Line}";
            Assert.True(Math.Abs(result.Value!.Value - expected.ValueUm) <= expected.WithinUm, $"{where}: {result.Value}, expected {expected.ValueUm} within {expected.WithinUm}");
            Assert.Equal(expected.LimitUm, (result.Upper ?? result.Lower)!.Value, 1e-9);
            Assert.Equal(expected.UUm ?? result.ExpandedUncertainty!.Value, result.ExpandedUncertainty!.Value, 1e-9);
            Assert.Equal(expected.Verdict, result.Verdict);
            if (expected.AgainUm is { } again)
            {
                Assert.Equal(again, result.AgainMean!.Value, expected.WithinUm);
                Assert.Equal(expected.RejectAboveUm!.Value, (result.Upper + result.RejectBandAgain)!.Value, 1e-9);
            }

            Assert.Equal(demo.Expected.Where(e => e.Serial == expected.Serial).Max(e => e.Certificates), machine.Certificates.Length);
        }

        var stands = (await plant.Get<MachineReader>().List(default)).ToDictionary(l => l.Serial);
        Assert.NotEmpty(demo.ExpectedStands);
        foreach (var expected in demo.ExpectedStands)
        {
            var machine = await plant.Machine(expected.Serial);
            var at = machine.Route.Current!;
            Assert.Equal((expected.Serial, expected.Step, expected.State), (expected.Serial, at.Step.Number, at.Word));
            Assert.Contains(expected.Waits, stands[expected.Serial].Next, StringComparison.Ordinal);
            if (expected.HoursOf is { } steps)
            {
                Assert.Equal(expected.Hours!.Value, steps.Sum(s => Domain.Route.RouteStanding.ActualHours(machine, s, Instant.From(now))), 9);
                Assert.Equal(expected.PlannedHours, steps.Sum(s => machine.Route.Of(s).PlannedHours));
            }
        }

        // The floor settled after the installation; the power is where it was as far as the meter can tell.
        var series = (await plant.Get<SeriesReader>().Of(await plant.Machine("OV1530-0413"), default)).ToDictionary(s => s.Plan.Id, s => s.Points);
        Assert.Equal(["160-05", "270-01", "290-01", "310-01"], series["cross-level"].Select(p => p.Agreed.Characteristic.Line));
        Assert.Equal((13.0, true), (Math.Round(series["cross-level"][3].SinceBefore!.Difference), series["cross-level"][3].SinceBefore!.Proved));
        Assert.Equal([false, false], series["power"].Skip(1).Select(p => p.SinceBefore!.Proved));

        // Two rounds of foot moves: the first predicted as on any bed, the second with what the first has shown.
        var levelled = await plant.Machine("OV2040-0203");
        var shown = levelled.FootRounds.Select(r => FootRounds.ShownOf(levelled, r)!).ToArray();
        Assert.Equal([(1, 0), (2, 1)], levelled.FootRounds.Select(r => (r.No, r.LearnedFrom)));
        Assert.InRange(shown[1].MissUm, 0, shown[0].MissUm / 2);
        Assert.InRange(shown[1].WorstUm, 0, shown[0].WorstUm);
        Assert.All(levelled.FootRounds.SelectMany(r => r.Feet), f => Assert.InRange(f.MadeUm - f.ProposedUm, -10, 10));

        var raised = await plant.Get<NonconformanceReader>().All(default);
        Assert.Equal(["NCR-0039 OV2661-0030 closed", "NCR-0040 OV2661-0030 closed", "NCR-0041 OV2040-0201 contained", "NCR-0042 OV2661-0031 disposition proposed", "NCR-0043 OV2040-0203 contained"], raised.Select(n => $"{n.Name} {n.Serial} {n.Standing.Word}"));
        Assert.Equal("CON-0001", raised[1].Standing.Concession!.Name);
        Assert.Equal("0.121 mm, U 0.014 mm, rejected", raised[3].Found);
        Assert.Equal("CC", string.Concat((await plant.Machine("OV1212-0088")).OpenPunch.Select(i => i.Class)));
        Assert.Equal("B", string.Concat((await plant.Machine("OV2661-0030")).OpenPunch.Select(i => i.Class)));

        var certificates = await plant.Get<CertificateReader>().List(default);
        Assert.Equal(demo.Expected.GroupBy(e => e.Serial).Sum(g => g.Max(e => e.Certificates)), certificates.Length);
        Assert.All(certificates, c => Assert.Equal(CertificateStage.Issued, c.Stage));
        string[] copies = [.. plant.Renderer.Rendered.Where(t => CanonicalJson.Read<CertificateRecord>(t).IsCopy)];
        Assert.Equal(certificates.Length, plant.Renderer.Rendered.Count - copies.Length);

        // One machine has a disclosure list: its copies name nobody of the plant, and the customer's people as ever.
        Assert.Equal(["OV2661-0030"], certificates.Where(c => c.CopyHash is not null).Select(c => c.Serial).Distinct());
        Assert.Equal(3, copies.Length);
        Assert.All(copies, c => Assert.All(demo.People, p => Assert.False(
            c.Contains(p.Name, StringComparison.OrdinalIgnoreCase) || c.Contains(p.Person, StringComparison.OrdinalIgnoreCase), $"{p.Name} stands on a copy")));
        Assert.All(copies, c => Assert.Contains("Brannoc Teel", c, StringComparison.Ordinal));
        Assert.Equal(certificates.Length, certificates.Select(c => c.Number).Distinct().Count());
        Assert.All(certificates, c => Assert.Matches("^OVC-202[567]-00[0-9]{2}$", c.Number));

        // What waits for the as-built list has it on its certificate, every place with its number; no number twice in the plant.
        var carried = plant.Renderer.Rendered.Select(CanonicalJson.Read<CertificateRecord>).Where(r => r.Components is not null).ToArray();
        Assert.Equal(["OV1212-0088", "OV1530-0413", "OV1530-0414", "OV2661-0030"], carried.Select(r => r.Machine.Serial).Distinct().Order(StringComparer.Ordinal));
        foreach (var record in carried)
        {
            Assert.Equal(AsBuiltList.Of(await plant.Machine(record.Machine.Serial)).Places.Select(p => p.Id), record.Components!.Value.Select(c => c.Place));
            Assert.All(record.Components.Value, c => Assert.Contains(c.FittedBy, record.People.Keys));
        }

        Assert.Equal(4 * carried.DistinctBy(r => r.Machine.Serial).Count(), carried.DistinctBy(r => r.Machine.Serial).Sum(r => r.Components!.Value.Count(c => c.Place.StartsWith("drive/", StringComparison.Ordinal))));

        var acts = await plant.Get<HistoryReader>().Page(long.MaxValue, 10_000, null, default);
        Assert.All(acts, a => Assert.True(a.At <= Instant.From(now), $"{a.Kind} of {a.Subject} at {a.At} is after the loading at {loadedAt}"));
        Assert.Equal(acts.Select(a => a.At).Order(), acts.Select(a => a.At).Reverse());
        var machines = await plant.Get<MachineReader>().LoadAll(default);
        foreach (var machine in machines)
        {
            Assert.All(machine.Measurements.SelectMany(m => m.Runs), r => Assert.True(r.Finished <= Instant.From(now), $"run {r.No} of {machine.Serial}"));
        }

        // What was measured had its U before: film and power too, of which single values are asked in part and in per cent.
        var sixteenth = await plant.Machine("OV2661-0030");
        foreach (var line in (string[])["110-01", "220-01", "160-09", "210-01", "210-02", "210-03", "210-04"])
        {
            var (_, _, answer) = await plant.Get<PlanReader>().Of(sixteenth.Serial, line, null, default);
            var u = sixteenth.EvaluationOf(line)!.Record.Result.ExpandedUncertainty!.Value;
            Assert.Contains(answer.Plans, p => p.AsListed && Math.Abs(p.Expanded - u) < 1e-9 * u);
        }

        // The marked rectangle was larger than what is taken for granted, and squareness known a little better than planned; a micrometer reaches no diagonal.
        var (_, _, squareness) = await plant.Get<PlanReader>().Of(sixteenth.Serial, "175-01", null, default);
        var found = sixteenth.EvaluationOf("175-01")!.Record.Result.ExpandedUncertainty!.Value;
        Assert.InRange(squareness.Plans.Single(p => p.Instrument == "DST-01" && p.AsListed).Expanded / found, 1, 1.2);
        Assert.Equal("DST-01", squareness.Best!.Instrument);
        Assert.Contains("no uncertainty of MIC-01 for 'absolute' over 6.5", squareness.Unused.Single(u => u.Instrument == "MIC-01").Because, StringComparison.Ordinal);

        // Every reading file is recorded from the file kept.
        var sent = demo.Machines.SelectMany(m => m.Runs ?? []).Select(r => CanonicalJson.Hash(File.ReadAllBytes(Path.Combine(Data, r.File)))).Order(StringComparer.Ordinal);
        var recorded = machines.SelectMany(m => m.Measurements).SelectMany(m => m.Runs).Where(r => r.FileHash is not null).Select(r => r.FileHash!);
        Assert.Equal(sent, recorded.Order(StringComparer.Ordinal));

        await plant.Sound();
    }
}
