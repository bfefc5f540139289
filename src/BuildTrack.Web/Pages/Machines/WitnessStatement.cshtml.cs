using System.Collections.Immutable;
using BuildTrack.Domain.Checklists;
using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Rules;
using BuildTrack.Domain.Witnessing;
using BuildTrack.Records.Machines;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>The statement that a witness signs on paper: what was found, against what, and what is still open.</summary>
public sealed class WitnessStatementModel(MachineReader machines) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public HoldPoint Hold { get; private set; } = null!;

    public WitnessStanding Standing { get; private set; } = null!;

    /// <summary>The order is reviewed at this point: what is agreed stands on the statement.</summary>
    public bool Review => Hold.Id == AgreedAtReview.PointOf(Machine.Revision).Id;

    public string Code { get; private set; } = "";

    public ImmutableArray<HoldStanding> Points { get; private set; } = [];

    public async Task<IActionResult> OnGet(string serial, string hold)
    {
        await Open();
        Machine = await machines.Load(serial, Cancel);
        Hold = Machine.Revision.Holds.FirstOrDefault(h => h.Id == hold && h.Witness is { Statement: true }) ?? throw new NotFoundException($"{serial} has no statement of a witness at {hold}.");
        (Standing, Code) = (WitnessStanding.Of(Machine, Hold), WitnessStatement.Code(Machine, Hold));
        Points = [.. WitnessStatement.Points(Machine, Hold).Select(Machine.StandingOfHold).Where(p => p.Characteristics.Length > 0)];
        Name(Machine, $"Statement of the witness, {Hold.Id}", "Statement", hold, "–", $"Code {Code}", $"{SheetSets.UrlOf(serial)}/witness/{hold}");
        return Page();
    }
}
