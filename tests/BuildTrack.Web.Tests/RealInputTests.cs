using System.Text.Json.Nodes;
using BuildTrack.Documents.Checking;
using BuildTrack.Domain.Canonical;
using BuildTrack.Domain.Certificates;
using BuildTrack.Records.Certificates;
using Microsoft.Extensions.DependencyInjection;

namespace BuildTrack.Web.Tests;

/// <summary>Published surveys through the API: uploaded, read back, released by somebody else, certified, and checked from the document alone.</summary>
public sealed class RealInputTests(Server server) : IClassFixture<Server>
{
    private const double NanometreInUm = 0.001;

    [Fact]
    public async Task Ten_published_points_come_back_with_the_published_flatness_and_are_certified()
    {
        var serial = await Survey.Order(server, "TST-10");
        var result = await Survey.Measure(server.As("renna"), serial, "ten-point-heights", Published.TenPoints);
        Assert.Equal(Published.TenPointsLeastSquaresUm, (double)result["value"]!, NanometreInUm);
        Assert.Equal(Published.TenPointsMinimumZoneUm, Survey.Figure(result, "minimumZone"), NanometreInUm);
        Assert.Equal("accepted", (string)result["verdict"]!);

        var receipt = await Survey.Release(server, "maren", serial);
        await CertificateHolds((string)receipt["certificate"]!, Published.TenPointsLeastSquaresUm, "136.1");
    }

    [Theory]
    [InlineData("TST-3T", "triangle-heights", 0)]
    [InlineData("TST-3C", "crossing-heights", 1)]
    public async Task Constructed_contact_cases_come_back_exactly_under_both_references(string model, string survey, int index)
    {
        var change = new { characteristic = "crossing-flatness", upper = new { value = 20, unit = "µm" }, origin = "contract annex 2", edition = "C", approvedBy = "odo", reason = "agreed with the customer" };
        var serial = index == 0 ? await Survey.Order(server, model) : await Survey.Order(server, model, change);
        var result = await Survey.Measure(server.As("renna"), serial, survey, index == 0 ? Published.Triangle : Published.Crossing);
        var (leastSquares, minimumZone) = Published.OfCase(index);
        Assert.Equal(leastSquares, Survey.Figure(result, "leastSquares"), NanometreInUm);
        Assert.Equal(minimumZone, Survey.Figure(result, "minimumZone"), NanometreInUm);
        Assert.Equal("accepted", (string)result["verdict"]!);
        var receipt = await Survey.Release(server, "maren", serial);
        await CertificateHolds((string)receipt["certificate"]!, index == 0 ? leastSquares : minimumZone, index == 0 ? "14.7" : "15.0");
    }

    [Fact]
    public async Task A_zone_above_its_limit_is_not_proven_until_its_contact_places_are_measured_again()
    {
        var serial = await Survey.Order(server, "TST-3C");
        var renna = server.As("renna");
        var first = await Survey.Measure(renna, serial, "crossing-heights", Published.Crossing);
        Assert.Equal("notProven", (string)first["verdict"]!);
        Assert.Equal("measureContactsAgain", (string)first["next"]!["kind"]!);
        var places = first["next"]!["places"]!.AsArray().Select(p => (string)p!["place"]!).ToArray();
        Assert.Equal(["P1", "P3", "P7", "P9"], places.Order(StringComparer.Ordinal));

        var refused = await (await server.As("maren").Send(HttpMethod.Post, $"/machines/{serial}/holds/H1/release", new { password = Server.Password }, null, await Survey.Sheet(server.As("maren"), serial))).Problem(409);
        Assert.Equal("R-RELEASE-03", (string)refused["rule"]!);

        var again = await Survey.Measure(renna, serial, "crossing-heights", Published.Only(Published.Crossing, places), "contactsAgain", "100-03");
        Assert.Equal("rejected", (string)again["verdict"]!);
        Assert.Equal((double)first["value"]!, (double)again["value"]!, 1e-12);
        Assert.Equal(15.0, (double)again["againMean"]!, NanometreInUm);
    }

    private async Task CertificateHolds(string number, double valueUm, string printed)
    {
        await server.Services.GetRequiredService<OutboxWorker>().Drain(CancellationToken.None);
        var pdf = await server.As("tilda").GetByteArrayAsync($"/api/v1/certificates/{number}/1/pdf");
        var text = await server.As("tilda").GetStringAsync($"/api/v1/certificates/{number}/1/record");
        var record = CanonicalJson.Read<CertificateRecord>(text);
        Assert.Equal(valueUm, record.Results.Single(r => r.Evaluation.Result.Value is not null).Evaluation.Result.Value!.Value, NanometreInUm);

        var report = CertificateCheck.Check(pdf, record.KeyFingerprint);
        Assert.NotEmpty(report.Lines);
        Assert.All(report.Lines, line => Assert.True(line.Outcome == CheckOutcome.Holds, line.Sentence));
        using var document = UglyToad.PdfPig.PdfDocument.Open(pdf);
        Assert.Contains(printed, string.Join(' ', document.GetPages().Select(p => p.Text)), StringComparison.Ordinal);
        Assert.True(document.Advanced.TryGetEmbeddedFiles(out var files));
        Assert.Equal(text, System.Text.Encoding.UTF8.GetString(files.Single(f => f.Name == CertificateRecord.EmbeddedName).Memory.Span));
    }
}
