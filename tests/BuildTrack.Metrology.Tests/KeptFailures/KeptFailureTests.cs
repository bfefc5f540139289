using System.Text.Json;
using BuildTrack.Metrology.Tests.Support;

namespace BuildTrack.Metrology.Tests.KeptFailures;

/// <summary>Inputs that once gave a wrong answer or none; each file says what went wrong and what cured it.</summary>
public sealed class KeptFailureTests
{
    [Theory]
    [InlineData("five-points-in-four-clusters")]
    [InlineData("nearly-on-one-line-far-away")]
    [InlineData("plane-but-for-rounding")]
    public void An_input_that_once_failed_has_its_zone_and_its_proof(string name)
    {
        using var document = JsonDocument.Parse(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "KeptFailures", name + ".json")));
        var points = Points.From(document.RootElement.GetProperty("points_mm_um"));
        var zone = points.Flatness().MinimumZone!;
        var expected = document.RootElement.GetProperty("zone_um").GetDouble();
        Assert.True(zone.ZoneProved, zone.NotProvedBecause);
        Agreement.Near(expected, zone.VerticalUm, 1e-10, name);
        Agreement.Near(expected, zone.Contacts.Sum(c => c.Weight * points.Z[c.Index]), 1e-10, name);
    }
}
