using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Instruments;
using BuildTrack.Domain.Measuring;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Temperatures;
using BuildTrack.Records.Instruments;
using BuildTrack.Records.Storage;
using BuildTrack.Records.Surveys;

namespace BuildTrack.Records.Temperatures;

/// <summary>Understands typed temperatures and named probes; every fault is collected by name.</summary>
internal sealed class TemperatureEntry(List<InputFault> faults)
{
    /// <summary>°C; a comma is a decimal comma, a unit other than °C is refused.</summary>
    public decimal Celsius(string where, string? typed)
    {
        var text = (typed ?? "").Trim();
        if (!NumberText.TryIn(text, "°C", out var value, out var fault))
        {
            faults.Add(new InputFault(where, Found(text), $"a temperature in °C like 20.35: {fault}"));
            return 0;
        }

        if (value is < TemperatureRules.Coldest or > TemperatureRules.Warmest)
        {
            faults.Add(new InputFault(where, FormattableString.Invariant($"{value} °C"), "−20 to 80 °C"));
        }

        return value;
    }

    /// <summary>Step of a display, K.</summary>
    public decimal Step(string? typed)
    {
        var text = (typed ?? "").Trim();
        if (NumberText.TryIn(text, "K", out var value, out _) && value is >= 0.0001m and <= 1)
        {
            return value;
        }

        faults.Add(new InputFault("step of the display", Found(text), "0.0001 to 1 K, like 0.01"));
        return 0;
    }

    /// <summary>The register's entries of these probes; a probe that may not be used on the day is a fault.</summary>
    public async Task<Dictionary<string, RegisterEntry>> Probes(Db db, IEnumerable<string> ids, string day, CancellationToken ct)
    {
        var entries = new Dictionary<string, RegisterEntry>(StringComparer.Ordinal);
        foreach (var id in ids.Select(i => i ?? "").Distinct())
        {
            var entry = (await InstrumentReader.Find(db, id, ct))?.Entry;
            var fault = entry is null ? new InputFault("probe", Found(id), "an instrument of the register")
                : entry.Quantity != TemperatureRules.Quantity ? new InputFault("probe", $"{id} for {entry.Quantity}", "one for temperature")
                : entry.Unit != "°C" ? new InputFault("probe", $"{id} shows {entry.Unit}", "one that shows °C")
                : entry.WhyNotValidOn(day) is { } why ? new InputFault("probe", why, "one that is in service, its calibration valid")
                : entry.FigureFor(TemperatureRules.Use, 0) is null ? new InputFault("probe", $"{id} without an uncertainty", $"a figure of the register for '{TemperatureRules.Use}'")
                : null;
            if (fault is not null)
            {
                faults.Add(fault);
            }
            else
            {
                entries[id] = entry!;
            }
        }

        return entries;
    }

    private static string Found(string text) => text.Length == 0 ? "nothing" : $"'{(text.Length > 40 ? text[..40] + "…" : text)}'";
}
