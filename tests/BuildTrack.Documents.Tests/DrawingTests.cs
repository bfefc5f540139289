using System.Text.RegularExpressions;
using System.Xml.Linq;
using BuildTrack.Documents.Drawings;
using BuildTrack.Domain.Evaluating;
using Xunit;

namespace BuildTrack.Documents.Tests;

public partial class DrawingTests
{
    private static readonly XNamespace Svg = "http://www.w3.org/2000/svg";

    public static TheoryData<string> Names { get; } = [.. Gallery.All().Select(g => g.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void The_numbers_in_the_picture_are_the_numbers_of_the_table(string name)
    {
        var map = Map(name);
        var written = Texts(map).Where(t => SignedNumber().IsMatch(t)).Order(StringComparer.Ordinal);

        Assert.Equal(map.Rows.Where(r => r.Numbered).Select(r => r.Text).Order(StringComparer.Ordinal), written);
        Assert.All(map.Rows, r => Assert.Equal(map.Unit == "mm" ? Shown.Signed(r.Value / 1000, 2) : Shown.Signed(r.Value, r.Text.Contains('.', StringComparison.Ordinal) ? 1 : 0), r.Text));
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Contacts_and_extremes_are_always_numbered(string name)
    {
        var map = Map(name);

        Assert.All(map.Rows.Where(r => r.Weight is not null || r.Extreme), r => Assert.True(r.Numbered, r.Station));
        Assert.True(map.Rows.Count(r => r.Numbered) >= map.Rows.Length / 3);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Letters_are_large_enough_and_stay_on_the_sheet(string name)
    {
        Drawn.OnTheSheet(Map(name).Drawing);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void Turned_to_any_side_the_bed_keeps_its_numbers_and_stays_on_the_sheet(string name)
    {
        var evaluation = Evaluation(name);
        foreach (var turn in Enumerable.Range(0, 24).Select(i => 15 * i))
        {
            var map = DeviationMap.Of(evaluation, turn)!;
            Drawn.OnTheSheet(map.Drawing);
            Assert.Equal(map.Rows.Where(r => r.Numbered).Select(r => r.Text).Order(StringComparer.Ordinal), Texts(map).Where(t => SignedNumber().IsMatch(t)).Order(StringComparer.Ordinal));
            Assert.All(map.Rows, r => Assert.True(r.Numbered || (r.Weight is null && !r.Extreme), r.Station));

            // Every station stands once, as high above the plane as its value says, in one scale.
            var rings = map.Drawing.Marks.OfType<CircleMark>().Where(c => c.Radius == 4.5).Select(c => (c.X, c.Y)).ToHashSet();
            var sticks = map.Drawing.Marks.OfType<LineMark>().Where(l => l is { Stroke: Stroke.Thin, Ink: Ink.Full } && l.X1 == l.X2 && rings.Contains((l.X2, l.Y2))).ToArray();
            Assert.Equal(map.Rows.Length, rings.Count);
            var largest = map.Rows.Max(r => Math.Abs(r.Value));
            Assert.Equal(map.Rows.Select(r => 62 * r.Value / largest).Order().ToArray(), sticks.Select(s => s.Y1 - s.Y2).Order().ToArray(), Near);
        }
    }

    private static bool Near(double a, double b) => Math.Abs(a - b) < 1e-6;

    [Theory]
    [MemberData(nameof(Names))]
    public void Numbers_of_one_seat_do_not_touch(string name)
    {
        var texts = Map(name).Drawing.Marks.OfType<TextMark>().Where(t => SignedNumber().IsMatch(t.Text)).ToArray();
        var touching = from i in Enumerable.Range(0, texts.Length)
                       from j in Enumerable.Range(i + 1, texts.Length - i - 1)
                       let wide = (Marks.WidthOf(texts[i].Text, texts[i].Size) + Marks.WidthOf(texts[j].Text, texts[j].Size)) / 2
                       where Math.Abs(texts[i].X - texts[j].X) < wide - 5 && Math.Abs(texts[i].Y - texts[j].Y) < texts[i].Size * 0.7
                       select $"{texts[i].Text} and {texts[j].Text}";

        Assert.Empty(touching);
    }

    [Fact]
    public void A_map_has_a_title_a_description_and_takes_its_colours_from_the_sheet()
    {
        var svg = XElement.Parse(Map("58-rejected").Svg("bed"));

        Assert.Equal("img", svg.Attribute("role")?.Value);
        Assert.Equal("bed-t bed-d", svg.Attribute("aria-labelledby")?.Value);
        Assert.Equal("bed-t", svg.Element(Svg + "title")?.Attribute("id")?.Value);
        Assert.Contains("Contact places: R1-08 −61, R1-22 +61, R2-08 +61, R2-22 −61", svg.Element(Svg + "desc")!.Value, StringComparison.Ordinal);
        Assert.Equal("currentColor", svg.Attribute("stroke")?.Value);
        Assert.Contains("var(--pencil", VerdictScale.Svg(Evaluation("58-rejected")), StringComparison.Ordinal);
    }

    [Fact]
    public void Only_a_proved_rejection_is_hatched()
    {
        Assert.DoesNotContain(Map("58-not-proven").Rows, r => r.Hatched);
        Assert.Contains(Map("58-not-proven").Rows, r => r.Beyond);
        Assert.Equal(Map("58-rejected").Rows.Where(r => r.Beyond), Map("58-rejected").Rows.Where(r => r.Hatched));
        Assert.DoesNotContain("beyond the limit, proved", Texts(Map("58-not-proven")));
        Assert.Contains("beyond the limit, proved", Texts(Map("58-rejected")));
    }

    [Fact]
    public void Every_contact_has_two_rings_and_nobody_else()
    {
        var map = Map("34-accepted");
        var rings = map.Drawing.Marks.OfType<CircleMark>().Where(c => c.Y < 380).GroupBy(c => (c.X, c.Y)).Count(g => g.Count() == 2);

        Assert.Equal(map.Rows.Count(r => r.Weight is not null), rings);
    }

    [Fact]
    public void The_scale_writes_acceptance_line_limit_and_result()
    {
        var drawing = VerdictScale.Of(Evaluation("58-rejected"))!;

        // Rejected by four contacts of a half measured once: 2.79590 · 12.5 µm / (2 √2) + 5 µm = 17.4 µm beyond the limit.
        Assert.Superset(new HashSet<string> { "0.086", "0.100", "0.117", "0.121", "measured again 0.120" }, drawing.Marks.OfType<TextMark>().Select(t => t.Text).ToHashSet());
    }

    [Fact]
    public void A_result_without_readings_has_no_map_and_no_scale()
    {
        var input = Samples.SmallBed().Input;
        var empty = input with { Sources = input.Sources.SetItem("heights", input.Sources["heights"] with { Readings = input.Sources["heights"].Readings! with { Runs = [] } }) };

        var evaluation = Evaluators.Evaluate(empty);

        Assert.Null(DeviationMap.Of(evaluation));
        Assert.Null(VerdictScale.Of(evaluation));
    }

    private static EvaluationRecord Evaluation(string name) => Gallery.All().Single(g => g.Name == name).Evaluation;

    private static DeviationMap Map(string name) => DeviationMap.Of(Evaluation(name))!;

    private static string[] Texts(DeviationMap map) => [.. XElement.Parse(map.Svg()).Elements(Svg + "text").Select(t => t.Value)];

    // Zero has no sign; the names in balloons have none either, so a bare number counts only where it is zero.
    [GeneratedRegex(@"^([+−][\d.]+|0(\.0+)?)$")]
    private static partial Regex SignedNumber();
}
