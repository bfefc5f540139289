using System.Collections.Immutable;
using System.Globalization;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Measuring;

namespace BuildTrack.Records.Checklists;

/// <summary>Maps what is planned of time: shifts of a work centre, the range of a step's hours, what passes by itself after it.</summary>
internal static class TimesLoader
{
    public static WorkCentre Centre(YamlFields centre, string id)
    {
        var shifts = ImmutableArray.CreateBuilder<Shift>();
        foreach (var text in centre.Texts("shifts", "shifts, as in ['mon-fri 06:00-14:00']"))
        {
            if (Shift.Read(text.Value) is not { } shift)
            {
                centre.Fault(text, Quoted.Of(text.Value), "days and times of a shift, as in mon-fri 06:00-14:00 or sat 06:00-12:00; one over midnight is written as two, to 24:00 and from 00:00");
            }
            else if (shifts.FirstOrDefault(s => s.First <= shift.Last && shift.First <= s.Last && s.From < shift.To && shift.From < s.To) is { } other)
            {
                centre.Fault(text, $"shift {shift} within shift {other}", "shifts that do not overlap: two crews at once are a greater capacity");
            }
            else
            {
                shifts.Add(shift);
            }
        }

        var planned = centre.Has("shifts");
        if (planned && shifts.Count == 0 && centre.Listed("shifts").All(t => Shift.Read(t.Value) is not null))
        {
            centre.Fault("shifts", "no shift", "at least one shift, or no key shifts where time passes around the clock");
        }

        int? capacity = planned || centre.Has("capacity") ? centre.Whole("capacity", 1, 999) : null;
        return new WorkCentre(id, centre.Text("name"), planned ? shifts.ToImmutable() : null, capacity, planned ? centre.Text("origin") : centre.TextIfAny("origin"));
    }

    /// <summary>"24-40" by class, with the planned hours of the class within it.</summary>
    public static ImmutableSortedDictionary<string, HoursRange>? Range(YamlFields step)
    {
        if (!step.Has("range"))
        {
            return null;
        }

        var ranges = step.ByClass<(decimal Low, decimal High)>("range", "least and most hours by class, as in {B: 24-40}", "least and most hours, as in 24-40: above 0, rising, at most 1000", Read);
        var hours = RouteLoader.Hours(step);
        foreach (var (machineClass, range) in ranges)
        {
            if (!hours.TryGetValue(machineClass, out var planned))
            {
                step.Fault("range", $"a range for class {machineClass} without hours", "hours for every class that has a range");
            }
            else if (planned < range.Low || planned > range.High)
            {
                step.Fault("range", FormattableString.Invariant($"{range.Low}-{range.High} for class {machineClass}, whose hours are {planned}"), "a range around the planned hours");
            }
        }

        return ranges.ToImmutableSortedDictionary(r => r.Key, r => new HoursRange(r.Value.Low, r.Value.High), StringComparer.Ordinal);
    }

    /// <summary>Three hours that do not fall: least, likely, most.</summary>
    public static StepWait? Wait(YamlFields step)
    {
        if (!step.Has("wait"))
        {
            if (step.Has("wait-for"))
            {
                step.Fault("wait-for", "what is waited for, without a time", "wait: [least, likely, most hours] beside it");
            }

            return null;
        }

        var (low, likely, high) = Three(step, "wait", 5000, "hours");
        return new StepWait(low, likely, high, step.Text("wait-for"));
    }

    /// <summary>Three numbers that do not fall; zeros beside a fault.</summary>
    public static (decimal Low, decimal Likely, decimal High) Three(YamlFields fields, string key, decimal most, string unit)
    {
        var expected = FormattableString.Invariant($"three numbers of {unit} that do not fall, from 0 to {most}: least, likely, most, as in [12, 24, 36]");
        var texts = fields.Texts(key, $"numbers of {unit}");
        var numbers = texts.Select(t => decimal.TryParse(t.Value, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var n) ? n : -1).ToArray();
        if (numbers is [>= 0 and var low, var likely, var high] && low <= likely && likely <= high && high <= most)
        {
            return (low, likely, high);
        }

        fields.Fault(key, texts.IsEmpty ? "no numbers" : Quoted.Of(string.Join(", ", texts.Select(t => t.Value))), expected);
        return default;
    }

    private static (decimal Low, decimal High)? Read(string text) =>
        text.Split('-') is [var a, var b] && decimal.TryParse(a, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var low)
            && decimal.TryParse(b, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var high) && low > 0 && low <= high && high <= 1000 ? (low, high) : null;
}
