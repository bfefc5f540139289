using System.Text;
using BuildTrack.Documents.Evaluate;
using BuildTrack.Metrology.Chance;
using Xunit;

namespace BuildTrack.Cli.Tests;

/// <summary>Damaged tables of every kind end with an answer, a fault or a sentence; never with an exception or a number that is none.</summary>
public class MutatedTableTests
{
    private const string Pieces = "0123456789.,;-+eE \tNaInfinity\"\n−µ";

    public static TheoryData<string, string, string> Tables { get; } = new()
    {
        { "flatness", "x_mm,y_mm,z_um\n0,0,1\n100,0,2\n0,100,4\n100,100,3\n50,50,0\n", "" },
        { "straightness", "position_mm,height_um\n0,0\n200,4\n400,0\n600,8\n800,0\n", "window-mm=600 window-reference=minimum-zone" },
        { "level-network", "from,to,rise_um,weight\nA,B,10,1\nB,C,-4,1\nC,A,-5,1\n", "fixed=A=0" },
        { "positioning", "target_mm,run,direction,deviation_um\n0,1,+,0\n0,1,-,1\n500,1,+,2\n500,1,-,1\n", "" },
        { "circular", "angle_deg,radius_deviation_um,direction\n0,3,cw\n45,5,cw\n90,1,cw\n135,-1,cw\n180,3,cw\n225,5,cw\n270,1,cw\n315,-1,cw\n", "radius-mm=100" },
        { "rail-pair", "position_mm,r1_um,r2_um,gauge_um\n0,0,0,5\n500,1,3,6\n1000,0,1,7\n1500,2,2,5\n", "gauge-mm=1750" },
        { "joint-step", "joint,run,step_um\nJ1,1,2\nJ1,2,1\nJ2,1,-3\n", "" },
        { "rack-joint", "joint,space,height_um\nJ1,-1,0\nJ1,0,-10\nJ1,1,0\n", "helix-angle-deg=19.5" },
        { "straightedge-reversal", "position_mm,r1_um,r2_um\n0,0,0\n100,3,5\n200,8,4\n300,3,5\n", "indicator=turned" },
        { "budget", "name,u,expanded,k,half_width,distribution,sensitivity,degrees_of_freedom,type\na,2,,,,,1,9,A\nb,,5,2,,,-0.5,,B\nc,,,,6,triangular,,inf,\n", "correlation=a,b=0.5 k=2" },
        { "control-chart", "value,id\n49.6,a\n47.6,b\n49.9,c\n51.3,d\n47.8,e\n51.2,f\n", "rules=all" },
        { "capability", "value\n14\n14\n16\n18\n18\n", "upper=20 lower=8" },
        { "gauge-study", "part,appraiser,trial,value\nP,A,1,1\nP,A,2,1.1\nP,B,1,1.2\nP,B,2,1\nQ,A,1,2\nQ,A,2,2.1\nQ,B,1,2.3\nQ,B,2,2\n", "tolerance=3" },
        { "cooling", "time_min,bed_c,air_c\n0,28,20\n60,24,20\n120,22,20\n180,21,20\n", "limit-k=0.5" },
        { "foot-moves", "foot,x_mm,y_mm,height_um,mm_per_turn,before_1_um,move_1_um\nF1,0,0,-110,2,-150,40\nF2,1500,0,40,2,30,0\nF3,0,1600,-60,,-90,30\nF4,1500,1600,0,2,0,0\n", "goal=mean-plane" },
        { "shim-stack", "pad,wanted_mm,x_mm,y_mm,height_um\nP1,0.17,0,0,-170\nP2,0,1500,0,0\nP3,0.28,0,1600,-280\nP4,0,1500,1600,1\n", "" },
        { "re-mill", "pad,x_mm,y_mm,z_um,thickness_mm\nP1,0,0,12,17.5\nP2,1500,0,-3,17.4\nP3,0,1600,-6,17.6\nP4,1500,1600,-22,17.5\n", "minimum-mm=16 goal=margin foot-travel-mm=10" },
        { "stopping-time", "stop_ms\n60\n61\n59\n62\n60\n58\n61\n60\n63\n60\n61\n60\n", "approach-mm-per-s=2000 distance-mm=300" },
        { "power-drift", "time_min,power_w\n30,6005\n31,5996\n32,6010\n33,5989\n", "limit-percent=1" },
        { "beam-caustic", "z_mm,diameter_um\n0,741.9\n2,653.2\n4,565.2\n13,202.6\n14.5,164.7\n15.5,151.7\n16.5,151.7\n17.5,164.7\n19,202.6\n28,565.2\n", "" },
        { "gas-supply", "minutes,flow_nm3_h\n8,121\n2,60\n", "stock-nm3=100 vaporiser-nm3-h=120" },
        { "rail-push", "position_mm,deviation_um\n0,0\n250,9\n500,14\n750,10\n1000,1\n", "limit-um=30" },
    };

    [Theory]
    [MemberData(nameof(Tables))]
    public void A_damaged_table_ends_in_one_of_three_ways(string kind, string table, string options)
    {
        const ulong seed = 6101;
        var source = new SeededSource(seed);
        var given = options.Split(' ', StringSplitOptions.RemoveEmptyEntries).ToDictionary(o => o[..o.IndexOf('=', StringComparison.Ordinal)], o => o[(o.IndexOf('=', StringComparison.Ordinal) + 1)..]);
        var ends = new HashSet<string>();
        for (var trial = 0; trial < 1000; trial++)
        {
            var text = new StringBuilder(table);
            for (var change = source.NextInt(5); change >= 0; change--)
            {
                var at = source.NextInt(text.Length);
                switch (source.NextInt(4))
                {
                    case 0:
                        text.Remove(at, 1);
                        break;
                    case 1:
                        text.Insert(at, Pieces[source.NextInt(Pieces.Length)]);
                        break;
                    case 2:
                        text[at] = Pieces[source.NextInt(Pieces.Length)];
                        break;
                    default:
                        text.Insert(at, text.ToString(at, Math.Min(source.NextInt(20), text.Length - at)));
                        break;
                }
            }

            var what = $"seed {seed}, trial {trial}: {text}";
            var outcome = EvaluationCommands.Run(kind, new StringReader(text.ToString()), "t.csv", given);
            if (outcome.Result is { } result)
            {
                Assert.True(EvaluationCommands.Text(result).Length > 2 && outcome.Faults.IsEmpty && outcome.Defect is null, what);
                ends.Add("answer");
            }
            else
            {
                Assert.True(outcome.Faults.IsEmpty == outcome.Defect is { Length: > 10 }, what);
                ends.Add(outcome.Faults.IsEmpty ? "sentence" : "fault");
            }
        }

        Assert.Superset(new HashSet<string> { "answer", "fault" }, ends);
    }

    /// <summary>Numbers that a calculation chokes on: beyond all measure, next to nothing, none at all, or in another unit.</summary>
    private static readonly string[] Hostile = ["1e300", "-1e300", "1e154", "1e13", "5e-324", "1e-160", "0", "-0", "-1", "NaN", "Infinity", "-Infinity", "1e999", "1 mm", "", "2147483648", "1.5"];

    public static TheoryData<string, string> Options { get; } = new()
    {
        { "flatness", "" },
        { "straightness", "window-mm=600 u=2" },
        { "level-network", "fixed=A=0" },
        { "positioning", "" },
        { "positioning-uncertainty", "length-mm=2000 instrument-um=2 misalignment-mm=1 temperature-range-k=1 instrument-temperature-range-k=1 temperature-c=25 expansion-per-million-per-k=11 expansion-range-per-million-per-k=1 drift-um=2 runs=5" },
        { "circular", "radius-mm=100" },
        { "squareness", "method=diagonals d1=3354.2 d2=3354.1 length=3000 width=1500 length-far=3000 width-far=1500 gauge=1750" },
        { "squareness", "method=reversal r1=0.01 r2=0.02 length=300 gauge=1750" },
        { "squareness", "method=slopes slope-x=10 slope-y=20 gauge=1750" },
        { "two-methods", "value-1=40 uncertainty-1=3 value-2=35 uncertainty-2=4" },
        { "rail-pair", "gauge-mm=1750 window-mm=1000" },
        { "joint-step", "" },
        { "rack-joint", "pressure-angle-deg=20 helix-angle-deg=19.5" },
        { "straightedge-reversal", "window-mm=1000" },
        { "level-zero", "a=14 b=-6" },
        { "thermal-length", "length-mm=3000 temperature-c=25 expansion-per-million-per-k=11 u-temperature-k=0.1 u-expansion-per-million-per-k=0.5" },
        { "thermal-bow", "length-mm=3000 height-mm=500 difference-k=1 expansion-per-million-per-k=11 u-difference-k=0.1 share-um=10" },
        { "cooling", "limit-k=0.5 u-k=0.1" },
        { "cooling-wall", "wall-mm=20 from-k=8 to-k=0.5" },
        { "plate-grade", "standard=din-876 length-mm=1000 width-mm=630" },
        { "stopping-time", "approach-mm-per-s=2000 response-ms=30 intrusion-mm=128 distance-mm=320 uncertainty-ms=2" },
        { "bonding", "length-m=30 cross-section-mm2=6 temperature-c=35 contacts-ohm=0.01 measured-ohm=0.08 uncertainty-ohm=0.002" },
        { "bonding", "length-m=30 cross-section-mm2=7 conductor=ideal" },
        { "laser-power", "measured-w=6000 rated-w=6000 limit-percent=5 uncertainty-w=180" },
        { "power-drift", "warm-up-min=10 limit-percent=1 uncertainty-percent=0.1" },
        { "beam-caustic", "wavelength-um=1.07" },
        { "dew-point", "temperature-c=28 humidity-percent=60 coolant-c=24 margin-k=2 u-temperature-k=0.3 u-humidity-percent=2 u-coolant-k=0.2" },
        { "gas-flow", "diameter-mm=2 pressure-bar=14 temperature-c=25 discharge=0.9" },
        { "gas-supply", "stock-nm3=100 vaporiser-nm3-h=120 derating=2 cut-factor=1.3 stock-factor=1.2" },
        { "kerf", "nominal-mm=100 measured-mm=99.7 offset-mm=0.1" },
        { "cut-edge", "thickness-mm=10 size-mm=200" },
        { "general-tolerance", "size-mm=3500" },
        { "conformity", "value=31 upper=50 uncertainty=6 k=2 rule=guarded" },
        { "conformity-risk", "mean=10 sigma=1 uncertainty=0.5 k=2 upper=12 lower=8 guard-band=0.2" },
        { "budget", "correlation=a,b=0.5 k=2" },
        { "control-chart", "limits-from=4" },
        { "capability", "upper=20 lower=8 target=14" },
        { "gauge-study", "tolerance=3" },
        { "foot-moves", "round=2 smallest-mm=0.02 step-mm=0.04 neighbour=0.45 u-influence=0.15 u-um=2" },
        { "shim-stack", "most-leaves=4 thinner-mm=0.01" },
        { "re-mill", "clean-up-mm=0.05 set-up-mm=0.01 minimum-mm=16 foot-travel-mm=10 feet-length-mm=1500 feet-width-mm=1600 pad-area-mm2=2500 slot-h=6" },
        { "rail-push", "limit-um=30 degree=2" },
    };

    [Theory]
    [MemberData(nameof(Tables))]
    public void A_hostile_number_in_any_field_ends_in_one_of_three_ways(string kind, string table, string options)
    {
        var lines = table.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        for (var line = 1; line < lines.Length; line++)
        {
            var fields = lines[line].Split(',');
            for (var field = 0; field < fields.Length; field++)
            {
                foreach (var number in Hostile)
                {
                    // In one row, and in every row at once.
                    var one = string.Join(',', fields.Select((f, i) => i == field ? number : f));
                    Ends(kind, string.Join('\n', lines.Select((l, i) => i == line ? one : l)), Given(options));
                    Ends(kind, string.Join('\n', lines.Select((l, i) => i == 0 ? l : string.Join(',', l.Split(',').Select((f, k) => k == field ? number : f)))), Given(options));
                }
            }
        }
    }

    [Theory]
    [MemberData(nameof(Options))]
    public void A_hostile_number_in_any_option_ends_in_one_of_three_ways(string kind, string options)
    {
        var table = Tables.Select(t => t.Data).Where(t => t.Item1 == kind).Select(t => t.Item2).FirstOrDefault();
        var given = Given(options);
        Assert.Equal("answer", Ends(kind, table, given));
        foreach (var name in given.Keys)
        {
            foreach (var number in Hostile)
                Ends(kind, table, new Dictionary<string, string>(given) { [name] = name == "fixed" ? "A=" + number : number });
        }
    }

    [Fact]
    public void Every_kind_has_its_options_tried() => Assert.Superset(EvaluationCommands.Kinds.Select(k => k.Name).ToHashSet(), Options.Select(o => o.Data.Item1).ToHashSet());

    private static Dictionary<string, string> Given(string options) => options.Split(' ', StringSplitOptions.RemoveEmptyEntries)
        .ToDictionary(o => o[..o.IndexOf('=', StringComparison.Ordinal)], o => o[(o.IndexOf('=', StringComparison.Ordinal) + 1)..]);

    private static string Ends(string kind, string? table, Dictionary<string, string> options)
    {
        var what = $"{kind} {string.Join(' ', options.Select(o => $"--{o.Key} {o.Value}"))}: {table}";
        EvaluationOutcome? outcome = null;
        var thrown = Record.Exception(() => outcome = EvaluationCommands.Run(kind, table is null ? null : new StringReader(table), "t.csv", options));
        Assert.True(thrown is null && outcome is not null, $"{what}: {thrown}");
        if (outcome!.Result is not { } result)
        {
            Assert.True(outcome.Faults.IsEmpty == outcome.Defect is { Length: > 10 }, what);
            return outcome.Faults.IsEmpty ? "sentence" : "fault";
        }

        Assert.True(EvaluationCommands.Text(result).Length > 2 && outcome.Faults.IsEmpty && outcome.Defect is null, what);
        return "answer";
    }

    [Fact]
    public void Every_kind_that_takes_a_table_is_damaged() =>
        Assert.Equal(EvaluationCommands.Kinds.Where(k => k.TakesFile).Select(k => k.Name).Order(), Tables.Select(t => t.Data.Item1).Order());
}
