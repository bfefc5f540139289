using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Repeats;
using BuildTrack.Records.Repeats;
using BuildTrack.Web.Sheets;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>What must be repeated on a machine, in the order of its route.</summary>
public sealed class RepeatsModel(RepeatReader repeats) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public ImmutableArray<RepeatLine> Lines { get; private set; } = [];

    public int Results => Lines.SelectMany(l => l.Lines).Select(c => c.Line).Distinct().Count();

    /// <summary>Hours that the same measurements took the last time.</summary>
    public double Hours => Lines.Sum(l => l.HoursBefore ?? 0);

    public static string Time(double hours) => hours < 0.95 ? FormattableString.Invariant($"{60 * hours:0} min") : FormattableString.Invariant($"{hours:0.0} h");

    public string UrlOf(RepeatLine line) =>
        $"{SheetSets.UrlOf(Machine.Serial)}/step/{line.Step.Number}?survey={Uri.EscapeDataString(line.Survey.Id)}{(line.Feature is { } f ? $"&feature={Uri.EscapeDataString(f)}" : "")}#begin";

    public async Task OnGet(string serial)
    {
        await Open();
        (Machine, Lines) = await repeats.Of(serial, Cancel);
        Name(Machine, "To be repeated", "List of repeats", "repeats", "–", Lines.IsEmpty ? "Nothing" : $"{Lines.Length} to measure", SheetSets.UrlOf(serial));
    }
}
