using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BuildTrack.Documents.Evaluate;

namespace BuildTrack.Web.Tests;

/// <summary>The network gives the object of the command line, for the kinds with options and repeated options too.</summary>
public sealed class EvaluationApiTests(Server server) : IClassFixture<Server>
{
    private const string Net = "from,to,rise_um,weight\nA,B,10,1\nB,C,-4,1\nC,A,-5,1\n";
    private const string Circle = "angle_deg,radius_deviation_um,direction\n0,3,cw\n45,5,cw\n90,1,cw\n135,-1,cw\n180,3,cw\n225,5,cw\n270,1,cw\n315,-1,cw\n";
    private const string Level = "reading_um_per_m\n-6\n-10\n-14\n-8\n-2\n4\n10\n16\n12\n6\n0\n-4\n";

    [Theory]
    [InlineData("level-network", "?fixed=A=0", Net, "fixed", "A=0")]
    [InlineData("level-network", "?fixed=A=0&fixed=C=5", Net, "fixed", "A=0\nC=5")]
    [InlineData("straightness", "?base-mm=250", Level, "base-mm", "250")]
    [InlineData("circular", "?radius-mm=100", Circle, "radius-mm", "100")]
    [InlineData("cooling", "?limit-k=0.5", "time_min,bed_c,air_c\n0,28,20\n60,24,20\n120,22,20\n", "limit-k", "0.5")]
    [InlineData("rail-pair", "?gauge-mm=1750", "position_mm,r1_um,r2_um\n0,0,0\n500,1,3\n1000,0,1\n", "gauge-mm", "1750")]
    [InlineData("rack-joint", "?helix-angle-deg=19.5", "joint,space,height_um\nJ1,-1,0\nJ1,0,-10\nJ1,1,0\n", "helix-angle-deg", "19.5")]
    [InlineData("straightedge-reversal", "?indicator=turned", "position_mm,r1_um,r2_um\n0,0,0\n500,1,3\n1000,0,1\n", "indicator", "turned")]
    [InlineData("budget", "?correlation=a,b=0.5&correlation=b,c=0.1", "name,u\na,3\nb,4\nc,1\n", "correlation", "a,b=0.5\nb,c=0.1")]
    [InlineData("control-chart", "?rules=all", "value\n1\n3\n2\n9\n", "rules", "all")]
    [InlineData("capability", "?upper=20", "value\n14\n14\n16\n18\n18\n", "upper", "20")]
    [InlineData("gauge-study", "?pooling=never", "part,appraiser,trial,value\nP,A,1,1\nP,A,2,2\nP,B,1,1\nP,B,2,1\nQ,A,1,5\nQ,A,2,6\nQ,B,1,5\nQ,B,2,4\n", "pooling", "never")]
    public async Task The_network_answers_as_the_command_does(string kind, string query, string table, string option, string value)
    {
        var answer = await Send(kind + query, table);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        var expected = EvaluationCommands.Run(kind, new StringReader(table), "body", new Dictionary<string, string> { [option] = value }).Result!;
        Assert.Equal(EvaluationCommands.Text(expected), await answer.Content.ReadAsStringAsync());
    }

    [Fact]
    public async Task A_stepped_rail_has_the_straightness_of_the_worked_example()
    {
        // Level stepping over 3.0 m, base 250 mm: worked example of the trade notes, calculated there by hand to 0.01 µm.
        var result = JsonNode.Parse(await (await Send("straightness?base-mm=250", Level)).Content.ReadAsStringAsync())!;
        Assert.Equal([11.58, 12.45, 11.00], new[] { "endPointUm", "leastSquaresUm", "minimumZoneUm" }.Select(f => Math.Round((double)result[f]!, 2)));
    }

    [Theory]
    [InlineData("thermal-length?length-mm=3100&temperature-c=25", "changeUm", 178)]
    [InlineData("thermal-bow?length-mm=6500&height-mm=600&difference-k=1", "bowUm", 101)]
    [InlineData("cooling-wall?from-k=160&to-k=0.5&wall-mm=40", "waitH", 23)]
    [InlineData("level-zero?a=14&b=-6", "slopeUmPerM", 10)]
    [InlineData("two-methods?value-1=40&uncertainty-1=3&value-2=35&uncertainty-2=4", "en", 1)]
    public async Task Kinds_that_take_options_only_answer_with_the_figures_of_the_trade_notes(string kindAndQuery, string field, double expected)
    {
        var answer = await Send(kindAndQuery, "");
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal(expected, Math.Round((double)JsonNode.Parse(await answer.Content.ReadAsStringAsync())![field]!));
    }

    [Fact]
    public async Task An_option_that_the_kind_does_not_have_is_named_and_not_passed_over()
    {
        var problem = await (await Send("circular?radius-mm=100&radius=90", Circle)).Problem(400);
        Assert.Contains("--radius", problem.ToJsonString(), StringComparison.Ordinal);
        Assert.Contains("radius-mm", problem.ToJsonString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_part_of_a_circle_has_no_answer_and_the_gap_is_named()
    {
        var half = string.Join('\n', Circle.Split('\n').Take(6)) + "\n";
        var problem = await (await Send("circular?radius-mm=100", half)).Problem(422);
        Assert.Contains("5 readings clockwise", problem.ToJsonString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_table_without_its_columns_is_named_with_its_place()
    {
        var problem = await (await Send("positioning", "target_mm,run,direction\n100,1,+\n")).Problem(400);
        Assert.Contains("deviation_um", problem.ToJsonString(), StringComparison.Ordinal);
    }

    private async Task<HttpResponseMessage> Send(string kindAndQuery, string table) =>
        await server.As("renna").PostAsync($"/api/v1/evaluations/{kindAndQuery}", new StringContent(table, Encoding.UTF8, "text/csv"));
}
