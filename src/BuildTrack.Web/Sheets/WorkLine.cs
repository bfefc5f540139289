using System.Collections.Immutable;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Measuring;
using BuildTrack.Records.Machines;

namespace BuildTrack.Web.Sheets;

public enum WorkKind
{
    Measure,
    Release,
    Nothing,
}

/// <summary>A machine in a list of work: where it stands, and the sheet on which its next act is done.</summary>
/// <param name="Hold">The first hold point that is not released.</param>
/// <param name="Worst">The first result there that is not accepted.</param>
/// <param name="Open">A run somebody is in the middle of.</param>
/// <param name="Url">Where the next act is done.</param>
public sealed record WorkLine(
    string Serial, MachineLine Line, WorkKind Kind, HoldStanding? Hold, CharacteristicStanding? Worst, Run? Open, string Url)
{
    public static ImmutableArray<WorkLine> Of(ImmutableArray<MachineRecord> machines, ImmutableArray<MachineLine> lines)
    {
        var text = lines.ToDictionary(l => l.Serial, StringComparer.Ordinal);
        return [.. machines.Select(m => Of(m, text[m.Serial]))];
    }

    private static WorkLine Of(MachineRecord machine, MachineLine line)
    {
        var root = SheetSets.UrlOf(machine.Serial);
        var hold = machine.Revision.Holds.Select(machine.StandingOfHold).FirstOrDefault(h => h.Characteristics.Length > 0 && h.Released is null);
        if (hold is null)
        {
            return new(machine.Serial, line, WorkKind.Nothing, null, null, null, root);
        }

        var surveys = machine.SurveysOfHold(hold.Hold.Id);
        var open = machine.Measurements.Where(m => surveys.Contains(m.Survey)).Select(m => m.Open).FirstOrDefault(r => r is not null);
        if (open is not null)
        {
            return new(machine.Serial, line, WorkKind.Measure, hold, null, open, $"{root}/runs/{open.Id}");
        }

        if (hold is { Ready: true, Returned: null })
        {
            return new(machine.Serial, line, WorkKind.Release, hold, null, null, $"{root}/release/{hold.Hold.Id}");
        }

        var worst = hold.Characteristics.FirstOrDefault(c => !c.Accepted);
        var url = worst is { Standing: Standing.Calculated } ? $"{root}/results/{worst.Agreed.Characteristic.Line}" : $"{root}/step/{hold.Hold.Step}";
        return new(machine.Serial, line, WorkKind.Measure, hold, worst, null, url);
    }
}
