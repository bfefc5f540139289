using BuildTrack.Domain.Machines;
using BuildTrack.Domain.Planning;
using BuildTrack.Records.Planning;
using BuildTrack.Web.Sheets;
using Microsoft.AspNetCore.Mvc;

namespace BuildTrack.Web.Pages.Machines;

/// <summary>Before measuring: every instrument and number of passes with what it would prove.</summary>
public sealed class PlanModel(PlanReader plans) : SheetPage
{
    public MachineRecord Machine { get; private set; } = null!;

    public CharacteristicStanding Standing { get; private set; } = null!;

    public PlanAnswer Answer { get; private set; } = null!;

    public async Task<IActionResult> OnGet(string serial, string line)
    {
        await Open();
        (Machine, Standing, Answer) = await plans.Of(serial, line, null, Cancel);
        Name(Machine, $"Will it prove it? {Answer.Title}", "Plan of a measurement", line, "–", Answer.Best is null ? "No plan" : Answer.Best.Enough ? "Can be proved" : "Cannot be proved", $"{SheetSets.UrlOf(serial)}/results/{line}");
        return Page();
    }
}
