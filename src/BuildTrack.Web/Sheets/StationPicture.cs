using System.Collections.Immutable;
using System.Globalization;
using System.Net;
using System.Text;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;
using Microsoft.AspNetCore.Html;

namespace BuildTrack.Web.Sheets;

/// <summary>The bed or the rails from above with the stations of a run: those done filled, the present one larger and pointed at, those to come dashed. Shape and line tell it without colour.</summary>
/// <remarks>x in per cent, y and letters in pixels: it widens with the sheet and its lettering does not shrink (look, "Drawings").</remarks>
public sealed record StationPicture(RunView View, ImmutableArray<RunEntry> Entries, RunEntry? Now)
{
    /// <summary>Beyond this many stations in a row their numbers no longer fit into their balloons.</summary>
    private const int MostBalloons = 25;

    /// <summary>What is drawn by hand on a small screen: this many stations to either side of the present one.</summary>
    private const int Window = 2;

    private sealed record Row(double YMm, string Name, bool Rail, ImmutableArray<Station> Stations);

    /// <summary>There is something to draw: not minutes, nor places that the plan tells in words because they lie all over the machine.</summary>
    public bool Any => Layout.Shape != LayoutShape.Times && Stations.Any(s => s.Title is null);

    /// <summary>The same in words, for the title and the description.</summary>
    public string Title => $"{(Rails ? "The bed from above, operator's end at the left, R1 in front, R2 behind" : "The places from above")}: {(Now is null ? "every place is done" : $"now {Now.Place}")}";

    public string Description =>
        $"{Entries.Count(e => e.FilledIn(View.Run))} of {Entries.Length} places done. Travel toward {(Layout.Axis is { } axis ? $"{(Back ? "minus" : "plus")} {axis}." : Back ? "minus X, to the operator's end; plus Y from R1 to R2." : "plus X, away from the operator's end; plus Y from R1 to R2.")}"
        + (Level is { } plus ? $" The level's arrow points to {(plus > 0 ? "plus" : "minus")} X{(SaysItsPlus ? "" : ": plus is a rise that way")}." : "");

    private ImmutableArray<Station> Stations => View.Machine.Revision.StationsOf(View.Survey, View.Machine.Model, View.Measurement.Feature);

    private LayoutPlan Layout => View.Machine.Revision.Layouts.Single(l => l.Id == View.Survey.Layout);

    private bool Rails => Layout is { Pitch: not null, Shape: not (LayoutShape.Targets or LayoutShape.Times) };

    private bool Back => View.Run.Direction == Direction.Back;

    /// <summary>1 where the level's arrow points to +X, −1 to −X; null where no level is stepped.</summary>
    private int? Level => View.Survey.BaseLengthMm is null ? null : View.Run.Arrow == LevelArrow.MinusX ? -1 : 1;

    /// <summary>The column says in its own words what its plus is, as the turn of an autocollimator does; else it is a rise along the level's arrow.</summary>
    private bool SaysItsPlus => View.Columns.Any(c => c.Title.Contains("plus", StringComparison.Ordinal));

    private bool Stepped => View.Survey.Places == PlaceKind.Between;

    private IEnumerable<string> Here => Now is null ? [] : Feet(Now);

    public IHtmlContent Wide => Draw("place", null);

    public IHtmlContent Narrow => Draw("near", Window);

    private static string[] Feet(RunEntry entry) => Place.Parse(entry.Place) is { From: { } from } place ? place.To is { } to ? [from, to] : [from] : [];

    private List<Row> Rows()
    {
        var rows = Stations.GroupBy(s => s.YMm).Select(g => new Row(g.Key, NameOf(g.First()), Rails && Layout.Shape == LayoutShape.RailSeats, [.. g.OrderBy(s => s.XMm)])).ToList();
        if (Rails)
        {
            rows.AddRange(new[] { (Y: 0.0, Name: "R1"), (Y: View.Machine.Model.GaugeMm, Name: "R2") }.Where(r => rows.All(x => x.YMm != r.Y)).Select(r => new Row(r.Y, r.Name, true, [])));
        }

        return [.. rows.OrderByDescending(r => r.YMm)];
    }

    private static string NameOf(Station station) => station.Id.IndexOf('-', StringComparison.Ordinal) is > 0 and var at ? station.Id[..at] : "";

    private HtmlString Draw(string id, int? window)
    {
        var rows = Rows();
        var (first, last) = Range(rows, window);
        var shown = rows.SelectMany(r => r.Stations).Where(s => s.XMm >= first && s.XMm <= last).ToList();
        var (left, right, edge) = window is null ? (9, 92, 95) : (10, 86, 92);
        double At(double x) => last > first ? left + ((right - left) * (x - first) / (last - first)) : 50;

        var svg = new StringBuilder();
        var done = Entries.Where(e => e.FilledIn(View.Run)).SelectMany(Feet).ToHashSet();
        var wanted = Entries.SelectMany(Feet).ToHashSet();
        var y = 26.0;
        List<double> rails = [];
        foreach (var row in rows)
        {
            var holds = row.Stations.Any(shown.Contains);
            y += holds ? Level is not null ? 38 : 24 : 10;
            rails.Add(y);
            if (row.Rail)
            {
                svg.Append(I($"<line class=\"mid\" x1=\"6%\" x2=\"{edge}%\" y1=\"{y - 6}\" y2=\"{y - 6}\"/><line class=\"mid\" x1=\"6%\" x2=\"{edge}%\" y1=\"{y + 6}\" y2=\"{y + 6}\"/>"));
            }

            svg.Append(I($"<text x=\"{edge + 1}%\" y=\"{y + 6}\">{E(row.Name)}</text>"));
            AppendStations(svg, row, y, shown, At, done, wanted, window is not null);
            y += holds ? 22 : 12;
        }

        if (Layout.Shape == LayoutShape.Bridges && Layout.Pitch is not null && Now is not null && shown.FirstOrDefault(s => Here.Contains(s.Id)) is { } bridge)
        {
            svg.Insert(0, I($"<line class=\"thick here\" x1=\"{At(bridge.XMm):0.###}%\" x2=\"{At(bridge.XMm):0.###}%\" y1=\"{rails[0] - 12}\" y2=\"{rails[^1] + 12}\"/>"));
        }

        return new HtmlString(I($"<svg class=\"dwg {(window is null ? "wide-only" : "narrow-only")}\" height=\"{y + 24}\" role=\"img\" aria-labelledby=\"{id}-t {id}-d\"><title id=\"{id}-t\">{E(Title)}</title><desc id=\"{id}-d\">{E(Description)}</desc>")
            + Arrows(rails, y, window is not null) + svg + "</svg>");
    }

    private (double First, double Last) Range(List<Row> rows, int? window)
    {
        var all = rows.SelectMany(r => r.Stations).Select(s => s.XMm).Distinct().Order().ToList();
        if (window is not { } near || all.Count <= (2 * near) + 1)
        {
            return (all[0], all[^1]);
        }

        var here = rows.SelectMany(r => r.Stations).Where(s => Here.Contains(s.Id)).Select(s => all.IndexOf(s.XMm)).DefaultIfEmpty(0).Min();
        var from = Math.Clamp(here - near, 0, all.Count - (2 * near) - 1);
        return (all[from], all[from + (2 * near)]);
    }

    private void AppendStations(StringBuilder svg, Row row, double y, List<Station> shown, Func<double, double> at, HashSet<string> done, HashSet<string> wanted, bool near)
    {
        var stations = row.Stations.Where(shown.Contains).ToList();
        var crowded = !near && row.Stations.Length > MostBalloons;
        if (Stepped && stations.Where(s => Here.Contains(s.Id)).ToList() is [var foot, .., var other])
        {
            svg.Append(I($"<rect class=\"mid here level\" x=\"{at(foot.XMm) - 1.9:0.###}%\" width=\"{at(other.XMm) - at(foot.XMm) + 3.8:0.###}%\" y=\"{y - 19}\" height=\"38\"/>"));
            var (tail, head) = Level < 0 ? (other, foot) : (foot, other);
            svg.Append(I($"<line class=\"mid here\" x1=\"{at(tail.XMm):0.###}%\" x2=\"{at(head.XMm):0.###}%\" y1=\"{y - 26}\" y2=\"{y - 26}\"/><svg x=\"{at(head.XMm):0.###}%\" y=\"{y - 26}\"><path class=\"fill-here\" d=\"{(Level < 0 ? "M0 0L12 -5V5z" : "M0 0L-12 -5V5z")}\"/><text class=\"here {(Level < 0 ? "end-anchor" : "")}\" x=\"{(Level < 0 ? -6 : 6)}\" y=\"6\">{(SaysItsPlus ? "arrow" : "plus")}</text></svg>"));
        }

        foreach (var station in stations)
        {
            var (x, number) = (at(station.XMm), E(NumberOf(station.Id)));
            var here = Here.Contains(station.Id);
            var state = here ? "now" : done.Contains(station.Id) ? "done" : wanted.Contains(station.Id) ? "to-come" : "not-asked";
            if (crowded && !here)
            {
                svg.Append(I($"<g class=\"balloon {state}\" data-station=\"{E(station.Id)}\"><circle cx=\"{x:0.###}%\" cy=\"{y}\" r=\"5\"/>{(number.EndsWith('0') || number.EndsWith('5') ? I($"<text x=\"{x:0.###}%\" y=\"{y + 24}\" class=\"t-small\">{number}</text>") : "")}</g>"));
                continue;
            }

            if (here && !Stepped)
            {
                svg.Append(I($"<svg x=\"{x:0.###}%\" y=\"{y - 18}\"><path class=\"fill-here\" d=\"M0 0L-7 -11H7z\"/></svg>"));
            }

            svg.Append(I($"<g class=\"balloon {state}\" data-station=\"{E(station.Id)}\"><circle cx=\"{x:0.###}%\" cy=\"{y}\" r=\"{(crowded && Stepped ? 10 : here ? 15 : 13)}\"/><text x=\"{x:0.###}%\" y=\"{y}\" dy=\"{(crowded && Stepped ? 5 : 6)}\"{(crowded && Stepped ? " class=\"t-small\"" : "")}>{number}</text></g>"));
        }
    }

    // The directions that every sign refers to, and the travel of this run.
    private string Arrows(List<double> rails, double bottom, bool near)
    {
        var (from, to) = near ? (40, 54) : (24, 31);
        var travel = near ? (Tail: 26, Head: 44) : (Tail: 17, Head: 24);
        var text = new StringBuilder();
        if (Rails || Layout.Shape == LayoutShape.Targets || View.Run.Direction is not null)
        {
            text.Append(I($"<text x=\"9%\" y=\"16\" class=\"here\">travel</text><line class=\"thick here\" x1=\"{travel.Tail}%\" x2=\"{travel.Head}%\" y1=\"10\" y2=\"10\"/>"));
            text.Append(I($"<svg x=\"{(Back ? travel.Tail : travel.Head)}%\" y=\"10\"><path class=\"fill-here\" d=\"{(Back ? "M-6 0L12 -6V6z" : "M6 0L-12 -6V6z")}\"/></svg>"));
        }

        text.Append(I($"<text x=\"{(near ? 0 : 6)}%\" y=\"{bottom + 18}\">{(Rails ? "operator's end" : "start")}</text><line class=\"mid\" x1=\"{from}%\" x2=\"{to}%\" y1=\"{bottom + 12}\" y2=\"{bottom + 12}\"/><svg x=\"{to}%\" y=\"{bottom + 12}\"><path class=\"solid\" d=\"M4 0L-9 -4.5V4.5z\"/><text x=\"9\" y=\"6\">+{Layout.Axis ?? "X"}</text></svg>"));
        if (rails.Count > 1)
        {
            text.Append(I($"<svg x=\"1.6%\" y=\"0\"><path class=\"mid\" d=\"M0 {rails[^1] + 8}V{rails[0] + 2}\"/><path class=\"solid\" d=\"M0 {rails[0] - 8}L-4.5 {rails[0] + 5}H4.5z\"/><text x=\"-5\" y=\"{rails[0] - 14}\">+Y</text></svg>"));
        }

        if (View.Columns.Any(c => c.Quantity == "height"))
        {
            // An arrow that comes out of the paper.
            text.Append(I($"<svg x=\"{(near ? 74 : 40)}%\" y=\"{bottom + 12}\"><circle class=\"mid\" r=\"7\"/><circle class=\"solid\" r=\"2\"/><text x=\"12\" y=\"6\">+Z up</text></svg>"));
        }

        return text.ToString();
    }

    /// <summary>"R1-07" as its balloon shows it.</summary>
    private static string NumberOf(string id) => id[(id.IndexOf('-', StringComparison.Ordinal) + 1)..].TrimStart('0') is { Length: > 0 } number ? number : "0";

    private static string I(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private static string E(string text) => WebUtility.HtmlEncode(text);
}
