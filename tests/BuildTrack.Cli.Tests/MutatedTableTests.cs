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

    [Fact]
    public void Every_kind_that_takes_a_table_is_damaged() =>
        Assert.Equal(EvaluationCommands.Kinds.Where(k => k.TakesFile).Select(k => k.Name).Order(), Tables.Select(t => t.Data.Item1).Order());
}
