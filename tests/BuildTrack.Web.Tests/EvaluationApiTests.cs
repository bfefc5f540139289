using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using BuildTrack.Documents.Evaluate;

namespace BuildTrack.Web.Tests;

/// <summary>The network gives the object of the command line, for the kinds with options and repeated options too.</summary>
public sealed class EvaluationApiTests(Server server) : IClassFixture<Server>
{
    private const string Net = "from,to,rise_um,weight\nA,B,10,1\nB,C,-4,1\nC,A,-5,1\n";
    private const string Level = "reading_um_per_m\n-6\n-10\n-14\n-8\n-2\n4\n10\n16\n12\n6\n0\n-4\n";

    [Theory]
    [InlineData("level-network", "?fixed=A=0", Net, "fixed", "A=0")]
    [InlineData("level-network", "?fixed=A=0&fixed=C=5", Net, "fixed", "A=0\nC=5")]
    [InlineData("straightness", "?base-mm=250", Level, "base-mm", "250")]
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

    [Fact]
    public async Task A_table_without_its_columns_is_named_with_its_place()
    {
        var problem = await (await Send("positioning", "target_mm,run,direction\n100,1,+\n")).Problem(400);
        Assert.Contains("deviation_um", problem.ToJsonString(), StringComparison.Ordinal);
    }

    private async Task<HttpResponseMessage> Send(string kindAndQuery, string table) =>
        await server.As("renna").PostAsync($"/api/v1/evaluations/{kindAndQuery}", new StringContent(table, Encoding.UTF8, "text/csv"));
}
