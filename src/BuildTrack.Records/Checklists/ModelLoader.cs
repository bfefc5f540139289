using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps models/*.yaml and layouts/*.yaml. Lengths without a unit are millimetres, as on a drawing.</summary>
internal static class ModelLoader
{
    public static readonly string[] Classes = ["A", "B", "C", "D", "E"];

    private const decimal LongestMm = 100_000;

    public static void Map(LoaderDraft draft, YamlFields file)
    {
        foreach (var model in file.Items("models", true, "a model", "id", "class", "name", "seat-length", "gauge", "bed-depth", "gradient", "travel", "power"))
        {
            var id = model.Id("id", also: "/.");
            draft.Models.Add(id, new MachineModel(
                id, model.Word("class", null, Classes), model.Text("name"), Length(model, "seat-length"), Length(model, "gauge"),
                Length(model, "bed-depth"), Gradient(model), (double?)model.NumberIfAny("travel", 1, LongestMm, "travel in mm"), Power(model)), model);
        }
    }

    public static void MapLayouts(LoaderDraft draft, YamlFields file)
    {
        foreach (var layout in file.Items("layouts", true, "a layout", "id", "generate", "pitch", "window", "stations"))
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

        var shape = layout.Word("generate", null, "rail-seats", "bridges", "targets") switch
        {
            "bridges" => LayoutShape.Bridges,
            "targets" => LayoutShape.Targets,
            _ => LayoutShape.RailSeats,
        };
        if (layout.Has("window") && shape != LayoutShape.Targets)
        {
            layout.Fault("window", "a window beside stations of the bed", "window only with generate: targets");
        }

        if (layout.Has("stations"))
        {
            layout.Fault("stations", "stations beside generate", "either of the two");
        }

        // A pitch of thousandths of a millimetre would generate stations without end.
        return new LayoutPlan(id, (double)layout.Number("pitch", 10, 10_000, "the distance of stations in mm"), [], shape, (double?)layout.NumberIfAny("window", 10, LongestMm, "the window in mm"));
    }

    private static ImmutableArray<Station> Stations(YamlFields layout)
    {
        var stations = ImmutableArray.CreateBuilder<Station>();
        var lines = new Dictionary<string, int>(StringComparer.Ordinal);
        foreach (var item in layout.Items("stations", true, "a station", "id", "x", "y"))
        {
            var id = item.Id("id");
            if (id.Length > 0 && !lines.TryAdd(id, item.Line))
            {
                item.Fault("id", FormattableString.Invariant($"a second station {Quoted.Of(id)} (first in line {lines[id]})"), "each station once");
            }

            stations.Add(new Station(
                id, (double)item.Number("x", -LongestMm, LongestMm, "x in mm"), (double)item.Number("y", -LongestMm, LongestMm, "y in mm")));
        }

        return stations.ToImmutable();
    }

    private static double Length(YamlFields model, string key) => (double)model.Number(key, 1, LongestMm, $"{key} in mm");

    private static Amount? Power(YamlFields model)
    {
        var power = model.AmountIfAny("power");
        if (power is not null && (Units.Calculated(power.Unit) != "W" || power.Value <= 0))
        {
            model.Fault("power", Quoted.Of(power.ToString()), "a power above 0 in W or kW, as in 6 kW");
        }

        return power;
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
