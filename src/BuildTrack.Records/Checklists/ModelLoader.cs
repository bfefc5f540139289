using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps models/*.yaml and layouts/*.yaml. Lengths without a unit are millimetres, as on a drawing.</summary>
internal static class ModelLoader
{
    public static readonly string[] Classes = ["A", "B", "C", "D", "E"];

    private const decimal LongestMm = 100_000;

    private const decimal LongestLogMinutes = 24 * 60;

    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var model in file.Items("models", true, "a model", "id", "class", "name", "seat-length", "gauge", "bed-depth", "gradient", "travel", "travel-across", "power", "coolant-source", "coolant-head", "focus-diameter", "feet", "foot-pitch"))
        {
            var id = model.Id("id", also: "/.");
            draft.Models.Add(id, new MachineModel(
                id, model.Word("class", null, Classes), model.Text("name"), Length(model, "seat-length"), Length(model, "gauge"),
                Length(model, "bed-depth"), Gradient(model), (double?)model.NumberIfAny("travel", 1, LongestMm, "travel in mm"), Rated(model, "power", "W", "a power above 0 in W or kW, as in 6 kW"), Feet(model), Pitch(model),
                (double?)model.NumberIfAny("travel-across", 1, LongestMm, "travel across in mm"), Coolant(model, "coolant-source"), Coolant(model, "coolant-head"), Rated(model, "focus-diameter", "µm", "a diameter above 0 in µm, as in 150 µm")), model);
        }
    }

    public static void MapLayouts(LoaderDraft draft, YamlFields file)
    {
        foreach (var layout in file.Items("layouts", true, "a layout", "id", "generate", "pitch", "window", "from", "axis", "radius", "stations"))
        {
            var id = layout.Id("id");
            draft.Layouts.Add(id, Plan(layout, id), layout);
        }
    }

    private static LayoutPlan Plan(YamlFields layout, string id)
    {
        if (!layout.Has("generate"))
        {
            if (layout.Has("pitch"))
            {
                layout.Fault("pitch", "pitch in a list of stations", "pitch only together with generate");
            }

            return new LayoutPlan(id, null, Stations(layout));
        }

        var shape = layout.Word("generate", null, "rail-seats", "bridges", "targets", "times", "circle", "rack-joints") switch
        {
            "bridges" => LayoutShape.Bridges,
            "targets" => LayoutShape.Targets,
            "times" => LayoutShape.Times,
            "circle" => LayoutShape.Circle,
            "rack-joints" => LayoutShape.RackJoints,
            _ => LayoutShape.RailSeats,
        };
        Only("window", shape is LayoutShape.Targets or LayoutShape.Times, "targets or times");
        Only("from", shape == LayoutShape.Times, "times");
        Only("axis", shape == LayoutShape.Targets, "targets");
        Only("radius", shape == LayoutShape.Circle, "circle");

        if (layout.Has("stations"))
        {
            layout.Fault("stations", "stations beside generate", "either of the two");
        }

        if (shape == LayoutShape.Times)
        {
            return new LayoutPlan(id, (double)layout.Number("pitch", 0.5m, 60, "the time between two readings in min"), [], shape, (double)layout.Number("window", 1, LongestLogMinutes, "the length of the log in min"),
                (double)layout.Number("from", 0, LongestLogMinutes, "the minute after switching on from which readings count"));
        }

        if (shape == LayoutShape.Circle)
        {
            var step = layout.Number("pitch", 1, 45, "the angle between two places in degrees");
            if (step > 0 && 360 % step != 0)
            {
                layout.Fault("pitch", FormattableString.Invariant($"{step} degrees"), "an angle that goes into a whole turn without a rest, as in 5");
            }

            return new LayoutPlan(id, (double)step, [], shape, RadiusMm: (double)layout.Number("radius", 10, 2000, "the radius in mm"));
        }

        // A pitch of thousandths of a millimetre would generate stations without end.
        return new LayoutPlan(
            id, (double)layout.Number("pitch", 10, 10_000, "the distance of stations in mm"), [], shape, (double?)layout.NumberIfAny("window", 10, LongestMm, "the window in mm"),
            Axis: layout.Has("axis") && layout.Word("axis", null, "X", LayoutPlan.AxisY) == LayoutPlan.AxisY ? LayoutPlan.AxisY : null);

        void Only(string key, bool allowed, string shapes)
        {
            if (layout.Has(key) && !allowed)
            {
                layout.Fault(key, $"{key} beside other stations", $"{key} only with generate: {shapes}");
            }
        }
    }

    private static ImmutableArray<Station> Stations(YamlFields layout)
    {
        var stations = ImmutableArray.CreateBuilder<Station>();
        var lines = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (var item in layout.Items("stations", true, "a station", "id", "x", "y", "title"))
        {
            var id = item.Id("id");
            if (id.Length > 0 && !lines.TryAdd(id, item.Line))
            {
                item.Fault("id", FormattableString.Invariant($"a second station {Quoted.Of(id)} (first in line {lines[id]})"), "each station once");
            }

            stations.Add(new Station(
                id, (double)item.Number("x", -LongestMm, LongestMm, "x in mm"), (double)item.Number("y", -LongestMm, LongestMm, "y in mm"), item.TextIfAny("title")));
        }

        return stations.ToImmutable();
    }

    private static double Length(YamlFields model, string key) => (double)model.Number(key, 1, LongestMm, $"{key} in mm");

    private static Amount? Rated(YamlFields model, string key, string unit, string expected)
    {
        var rated = model.AmountIfAny(key);
        if (rated is not null && (Units.Calculated(rated.Unit) != unit || rated.Value <= 0))
        {
            model.Fault(key, Quoted.Of(rated.ToString()), expected);
        }

        return rated;
    }

    private static Amount? Coolant(YamlFields model, string key) => Rated(model, key, "l/min", "a flow above 0 in l/min, as in 32 l/min");

    private static ImmutableArray<double>? Feet(YamlFields model)
    {
        if (!model.Has("feet"))
        {
            return null;
        }

        const string wanted = "2 to 32 places along the rail seat in mm, from the operator's end on, each farther than the one before, as in [250, 2000, 3750]";
        var feet = model.Texts("feet", "places in mm");
        var longest = model.Has("seat-length") && decimal.TryParse(model.TextIfAny("seat-length"), NumberStyles.Number, CultureInfo.InvariantCulture, out var seat) ? seat : LongestMm;
        var places = ImmutableArray.CreateBuilder<double>();
        foreach (var text in feet)
        {
            if (!decimal.TryParse(text.Value, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var mm) || mm > longest || (places.Count > 0 && (double)mm <= places[^1]))
            {
                model.Fault(text, Quoted.Of(text.Value), wanted);
                return [];
            }

            places.Add((double)mm);
        }

        if (places.Count is < 2 or > 32)
        {
            model.Fault("feet", FormattableString.Invariant($"{places.Count} places"), wanted);
        }

        return places.ToImmutable();
    }

    private static Amount? Pitch(YamlFields model)
    {
        var pitch = model.AmountIfAny("foot-pitch");
        if (pitch is not null && (Units.Calculated(pitch.Unit) != "µm" || pitch.Micrometres is < 10 or > 100_000))
        {
            model.Fault("foot-pitch", Quoted.Of(pitch.ToString()), "the rise by one turn, 0.01 to 100 mm, as in 2.0 mm");
        }

        return pitch;
    }

    private static Amount? Gradient(YamlFields model)
    {
        var gradient = model.AmountIfAny("gradient");
        if (gradient is not null && (gradient.Unit != "K" || gradient.Value <= 0))
        {
            model.Fault("gradient", Quoted.Of(gradient.ToString()), "a temperature difference above 0 in K, as in 0.48 K");
        }

        return gradient;
    }
}
